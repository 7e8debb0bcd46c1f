"""A header that may be a person's name is told by its column's letter, wherever a receipt, a question or a recipe would repeat it."""

from __future__ import annotations

import pytest

from ingest.checking import Checked
from ingest.doubts.recipes import find_recipe
from ingest.errors import RecipeInvalid
from ingest.home import Home
from ingest.received.accepting import accept
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, check, csv_bytes, loaded_rows
from tests.ingest.workbooks import xlsx_bytes

pytestmark = pytest.mark.usefixtures("opened_here")

PERSONS = ("zabreth", "quilmab")
PLAIN = [(*row[:7], row[8], row[9]) for row in TRUE_ROWS]  # without the column of observers
NAMES = (*HEADERS[:7], *HEADERS[8:])


def headed(*readings: str, add: float = 2.0, negative: bool = False) -> bytes:
    """The true rows with a column of readings under each header, the second ones by so much higher."""
    rows = []
    for number, row in enumerate(PLAIN):
        first = float(row[7].lstrip(">"))
        values = [f"{-(first + add * at) if negative and number % 2 else first + add * at:g}" for at in range(len(readings))]
        rows.append((*row[:7], *values, ""))
    return csv_bytes(rows, (*NAMES[:7], *readings, "Remarks"))


def said(checked: Checked) -> str:
    """Everything that may be kept or printed of a file."""
    receipt = checked.receipt
    questions = checked.recipe.as_toml(receipt.open_questions(), receipt.sha256, receipt.file)
    return f"{receipt.as_text()} {receipt.as_dict()} {questions} {checked.asked} {checked.columns}".casefold()


CASES = {
    "rival readings": (headed("Zabreth (bar)", "Quilmab (bar)"), ("columns.reading=column H", "columns.reading=column I")),
    "no unit": (headed("Zabreth's reading"), ("reading.unit=bar",)),
    "psi that may be the letter": (headed("Zabreth pressure, psi or bar"), ("reading.unit=bar",)),
    "both signs": (headed("Zabreth (bar)", negative=True), ("reading.quantity=pressure",)),
    "a potential beside its pressure": (headed("Zabreth (bar)", "Quilmab potential (bar)", add=0), ("columns.reading=column H",)),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_a_person_in_a_header_is_told_by_the_column_and_the_letter_answers(case: str, lab: Home) -> None:
    data, answers = CASES[case]
    asked = check(lab, data)
    assert not [person for person in PERSONS if person in said(asked)]
    for answer in answers:
        if asked.receipt.is_refused:
            offered = [one for question in asked.receipt.open_questions() for one in question.answers]
            assert answer in offered
        checked = check(lab, data, "class.csv", answer)
        assert not checked.receipt.is_refused or case == "both signs"
        assert not [person for person in PERSONS if person in said(checked)]


def test_the_letter_chooses_the_column_and_a_typed_header_is_kept_as_its_letter(home: Home) -> None:
    data = CASES["rival readings"][0]
    readings = [row["reading_as_written"] for row in loaded_rows(check(home, data, "class.csv", "columns.reading=column I"))]
    typed = check(home, data, "class.csv", "columns.reading=Quilmab (bar)")
    assert [row["reading_as_written"] for row in loaded_rows(typed)] == readings
    assert readings[0] == f"{18.5 + 2:g}"
    accept(home, typed)
    kept = find_recipe(home.recipes, typed.recipe.shape).for_file(typed.receipt.sha256)
    assert kept.get("columns.reading") == "column I"
    assert typed.asked.answers == ("columns.reading=column I",)
    assert not [path for path in home.recipes.iterdir() if "quilmab" in path.read_text("utf-8").casefold()]


def test_two_readings_under_one_header_are_offered_by_letter(home: Home) -> None:
    data = headed("Pressure (bar)", "Pressure (bar)")
    (question,) = check(home, data).receipt.open_questions()
    assert question.answers == ("columns.reading=column H", "columns.reading=column I")
    second = loaded_rows(check(home, data, "class.csv", "columns.reading=column I"))
    assert second[0]["reading_as_written"] == "20.5"


def test_no_letter_is_offered_where_it_is_another_column_on_another_sheet(lab: Home) -> None:
    one = [[*NAMES[:7], "Zabreth (bar)", "Quilmab (bar)"], *([*row[:7], "12", "13"] for row in PLAIN[:4])]
    other = [[*NAMES[:7], "Quilmab (bar)", "Zabreth (bar)"], *([*row[:7], "14", "15"] for row in PLAIN[4:])]
    asked = check(lab, xlsx_bytes({"One": one, "Two": other}), "class.xlsx")
    assert asked.receipt.is_refused
    assert not [person for person in PERSONS if person in said(asked)]
    assert not any("column H" in one for question in asked.receipt.open_questions() for one in question.answers)


def test_an_answer_that_names_no_column_is_told_the_headers_without_persons(home: Home) -> None:
    with pytest.raises(RecipeInvalid, match=r"'Remarks'") as caught:
        check(home, CASES["rival readings"][0], "class.csv", "columns.reading=Druck")
    assert "column H, column I" in str(caught.value)
    assert not [person for person in PERSONS if person in str(caught.value).casefold()]
