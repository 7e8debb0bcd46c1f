"""What was typed of a sheet, a header or a name in a cell is kept under words that name no person, and is read back."""

from __future__ import annotations

from pathlib import Path

import pytest

from ingest.cells.people import MARK
from ingest.checking import Checked
from ingest.errors import RecipeInvalid
from ingest.home import Home
from ingest.received.accepting import accept
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, check, csv_bytes, loaded_rows
from tests.ingest.workbooks import xlsx_bytes

pytestmark = pytest.mark.usefixtures("opened_here")

PERSONS = ("zabreth", "quilmab")
ROWS = [[cell.lstrip(">") for cell in row] for row in TRUE_ROWS]
UNITLESS = [*HEADERS[:8], "Pressure", *HEADERS[9:]]
# The readings stand under a person's name, and their letter is another column on the other sheet.
CROSSED = xlsx_bytes(
    {
        "One": [[*HEADERS[:8], "Zabreth (bar)", "Quilmab (bar)"], *([*row[:8], "12", "13"] for row in ROWS[:4])],
        "Two": [[*HEADERS[:8], "Quilmab (bar)", "Zabreth (bar)"], *([*row[:8], "14", "15"] for row in ROWS[4:])],
    }
)
COPIED = xlsx_bytes({"Data": [list(HEADERS), *ROWS], "Zabreth's copy": [list(HEADERS), *ROWS]})
IN_PSI = xlsx_bytes({"Data": [list(HEADERS), *ROWS[:4]], "Zabreth": [UNITLESS, *([*r[:8], "200", r[9]] for r in ROWS[4:])]})
RIVALS = xlsx_bytes({"Data": [list(HEADERS), *ROWS[:4]], "Zabreth": [[*HEADERS[:8], "Zabreth (bar)", "Quilmab (bar)"], *ROWS[4:]]})

# File, what is typed, and what is kept of it in the ledger and the recipe.
TYPED = {
    "a sheet left out": (COPIED, "sheets.leave_out=Zabreth's copy", r"sheets.leave_out=[…] copy (2)"),
    "a sheet's unit": (IN_PSI, "only.zabreth.reading.unit=psi", r"only.[…] (2).reading.unit=psi"),
    "a sheet's header row": (COPIED, "sheets.header_row.Zabreth's copy=1", r"sheets.header_row.[…] copy (2)=1"),
    "a sheet's column": (RIVALS, "only.Zabreth.columns.reading=quilmab (BAR)", r"only.[…] (2).columns.reading=name_"),
    "a header of two letters": (CROSSED, "columns.reading=zabreth (bar)", r"columns.reading=name_"),
    "a person for a site": (csv_bytes(TRUE_ROWS), "constants.site=Quilmab", r"constants.site=name_"),
}


def kept(checked: Checked) -> str:
    """Everything that is kept or printed of a file."""
    receipt = checked.receipt
    recipe = checked.recipe.as_toml(receipt.open_questions(), receipt.sha256, receipt.file)
    return f"{receipt.as_text()} {receipt.as_dict()} {recipe} {checked.asked} {checked.columns}".casefold()


@pytest.mark.parametrize("case", TYPED)
def test_what_was_typed_of_a_person_is_kept_under_other_words_and_says_the_same(case: str, home: Home) -> None:
    data, typed, under = TYPED[case]
    name = "class.csv" if data[:2] != b"PK" else "class.xlsx"
    first = check(home, data, name, typed)
    assert not [person for person in PERSONS if person in kept(first)]
    (answer,) = first.asked.answers
    assert answer.startswith(under)
    again = check(home, data, name, answer)  # as the ledger has it, when every original is read again
    assert (again.columns, again.receipt.fingerprint) == (first.columns, first.receipt.fingerprint)
    assert again.asked.answers == (answer,)
    accept(home, first)
    assert check(home, data, name).columns == first.columns  # by the kept recipe alone
    written = [path.read_text("utf-8").casefold() for path in Path(home.recipes).iterdir()]
    assert not [person for person in PERSONS for text in written if person in text]


def test_the_answers_hold_for_what_they_name(home: Home) -> None:
    assert {row["source_sheet"] for row in loaded_rows(check(home, COPIED, "class.xlsx", TYPED["a sheet left out"][1]))} == {"Data"}
    pounds = loaded_rows(check(home, IN_PSI, "class.xlsx", TYPED["a sheet's unit"][1]))
    assert [row["unit_as_written"] for row in pounds] == ["bar"] * 4 + ["psi"] * 3
    crossed = loaded_rows(check(home, CROSSED, "class.xlsx", TYPED["a header of two letters"][1]))
    assert [row["reading_as_written"] for row in crossed] == ["12"] * 4 + ["15"] * 3


@pytest.mark.parametrize("answer", ["sheets.leave_out=Zabret", "only.Zabret.reading.unit=psi", "sheets.header_row.Zabret=2"])
def test_a_sheet_that_is_nowhere_is_told_the_names_of_the_sheets_without_persons(answer: str, home: Home) -> None:
    with pytest.raises(RecipeInvalid, match=r"Name one of the sheets 'Data'") as caught:
        check(home, COPIED, "class.xlsx", answer)
    assert MARK in str(caught.value)
    assert "zabreth" not in str(caught.value).casefold()


def test_a_header_of_another_sheet_is_none_of_this_one(home: Home) -> None:
    with pytest.raises(RecipeInvalid, match=r"no column is called 'Quilmab \(bar\)'"):
        check(home, RIVALS, "class.xlsx", "only.Data.columns.reading=Quilmab (bar)")
