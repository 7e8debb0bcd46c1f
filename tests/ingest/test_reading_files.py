"""One true table in the ways of many classes gives the same readings; what is undecidable is asked, what is broken is named."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import date, time
from pathlib import Path
from typing import Any

import pytest

from ingest.checking import Asked, check_path
from ingest.doubts.recipes import find_recipe
from ingest.errors import FileUnreadable, RecipeInvalid
from ingest.home import Home
from ingest.received.accepting import accept
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, check, csv_bytes, every_row, loaded_rows, meant, refusals, table_of, tree_hash
from tests.ingest.workbooks import ods_bytes, xlsx_bytes

Row = tuple[Any, ...]


def rewritten(header: Sequence[str], make: Callable[[Row], Sequence[Any]]) -> list[Sequence[Any]]:
    """The true table under another header, each row made anew."""
    return [header, *(make(row) for row in TRUE_ROWS)]


def real(row: Row) -> list[Any]:
    """A row with real dates, times and numbers, as a spreadsheet keeps them."""
    pressure: Any = row[8] if row[8].startswith(">") else float(row[8])
    return [date.fromisoformat(row[0]), time.fromisoformat(row[1]), *row[2:5], int(row[5]), int(row[6]), row[7], pressure, row[9]]


def text(rows: Sequence[Sequence[Any]], separator: str = ",") -> bytes:
    return csv_bytes([[str(cell) for cell in row] for row in rows[1:]], rows[0], separator)


def under(header: str, make: Callable[[str], str] = str, *, column: int = 8) -> bytes:
    """The true table with another header over one column (the pressure's), and its cells made anew."""
    rows = [(*row[:column], make(row[column]), *row[column + 1 :]) for row in TRUE_ROWS]
    return csv_bytes(rows, (*HEADERS[:column], header, *HEADERS[column + 1 :]))


def size(reading: str, factor: float) -> str:
    number = f"{float(reading.removeprefix('>')) * factor:.3f}"
    return f">{number}" if reading.startswith(">") else number


def potential(reading: str) -> str:
    """The potential in MPa of a pressure in bar: a bound from above becomes one from below."""
    return size(reading, 0.1).replace(">", "<-") if reading.startswith(">") else f"-{size(reading, 0.1)}"


def american(row: Row) -> list[str]:
    return [f"9/{row[0][-2:]}/2024", f"{int(row[1][:2]) - 12}{row[1][2:]} PM", *row[2:]]


def aliased(row: Row) -> list[str]:
    sites, taxa = {"ridge": "Hilltop", "swale": "LOW"}, {"ange": "Turkey foot", "codr": "C. drummondii", "quma": "bur oak"}
    return [*row[:2], f"Section {row[2].upper()}", sites[row[3]], taxa[row[4]], *row[5:]]


def tenth(day: str) -> str:
    """A day that is one of the semester whether day or month stands first."""
    return f"{int(day[-2:]) - 7}/9/2024"


PLAIN = rewritten(HEADERS, list)
REAL = rewritten(HEADERS, real)
OWN_NAMES = ("Sampling date", "Clock", "Lab", "Hill position", "What plant", "Individual", "Blade", "Who", "End pressure (bar)", "Odd?")
BARE = (*HEADERS[:8], "Pressure", "Remarks")
TITLED = [["Field lab, Fall 2024"], ["Readings in bar"], [], *rewritten(BARE, list), [], ["Mean", *[""] * 7, 18.9], ["* written by hand"]]
TWO_SHEETS = {f"Section {one.upper()}": [[*row[:2], *row[3:]] for row in REAL if row[2] in ("Section", one)] for one in "ab"}
COMMAS = [[str(cell).replace(".", ",") for cell in row] for row in PLAIN]

SHAPES: dict[str, tuple[str, bytes]] = {
    "csv": ("class.csv", text(PLAIN)),
    "csv with semicolons and decimal commas": ("class.csv", text(COMMAS, ";")),
    "tsv": ("class.tsv", text(PLAIN, "\t")),
    "csv of a western code page": ("class.csv", text([*PLAIN[:-1], [*PLAIN[-1][:9], "très sec"]]).decode().encode("cp1252")),
    "csv with a byte order mark and CRLF": ("class.csv", b"\xef\xbb\xbf" + text(PLAIN).replace(b"\n", b"\r\n")),
    "utf-16 text": ("class.txt", text(PLAIN, "\t").decode().encode("utf-16")),
    "xlsx with texts": ("class.xlsx", xlsx_bytes({"Sheet1": PLAIN})),
    "xlsx with real dates, times and numbers": ("class.xlsx", xlsx_bytes({"Sheet1": REAL})),
    "ods with real dates, times and numbers": ("class.ods", ods_bytes({"Sheet1": REAL})),
    "a workbook that is called csv": ("class.csv", xlsx_bytes({"Sheet1": REAL})),
    "own column names": ("class.csv", text(rewritten(OWN_NAMES, list))),
    "titles, a unit above, averages and notes below": ("class.xlsx", xlsx_bytes({"Sheet1": TITLED})),
    "a unit in each cell": ("class.csv", under("Pressure", lambda reading: f"{reading} bar")),
    "a unit column": ("class.csv", text(rewritten((*BARE, "Unit"), lambda row: [*row, "bars"]))),
    "kPa": ("class.csv", under("P [kPa]", lambda reading: size(reading, 100))),
    "negative potentials in MPa": ("class.csv", under("Water potential (MPa)", potential)),
    "potentials with a typographic minus": ("class.csv", under("Ψ leaf (MPa)", lambda reading: potential(reading).replace("-", "−"))),
    "sizes of potentials under a minus in the header": ("class.csv", under("Ψ (−MPa)", lambda reading: size(reading, 0.1))),
    "American dates and twelve-hour clocks": ("class.csv", text(rewritten(HEADERS, american))),
    "days without a year in a named semester": ("Fall 2024 class.csv", under("Date", lambda day: f"Sep {day[-2:]}", column=0)),
    "sections on two sheets": ("class.xlsx", xlsx_bytes(TWO_SHEETS)),
    "names by alias": ("class.csv", text(rewritten(HEADERS, aliased))),
    "a pressure and the potential computed from it": (
        "class.csv",
        text(rewritten((*HEADERS, "Psi (MPa)"), lambda r: [*r, potential(r[8])])),
    ),
    "a blank row and the header again on the second page": ("class.csv", text([*PLAIN[:4], [], HEADERS, *PLAIN[4:]])),
}


@pytest.fixture(scope="module")
def truth(lab: Home) -> list[tuple[Any, ...]]:
    """What the true table says."""
    return meant(check(lab, csv_bytes(TRUE_ROWS)))


@pytest.mark.parametrize("name", SHAPES)
def test_the_same_readings_however_they_are_written(name: str, lab: Home, truth: list[tuple[Any, ...]]) -> None:
    file, data = SHAPES[name]
    checked = check(lab, data, file)
    assert meant(checked) == truth
    counts = checked.receipt.rows
    assert counts["in_file"] == counts["accepted"] + counts["flagged"] + counts["set_aside"]
    assert all(re.fullmatch(r"[A-Z]\d+", row["source_cell"]) for row in loaded_rows(checked))


def test_a_lying_ending_is_told(lab: Home) -> None:
    name, data = SHAPES["a workbook that is called csv"]
    checked = check(lab, data, name)
    assert any("Excel workbook" in note for note in checked.receipt.notes)


# file, answer that settles it, code of the question
QUESTIONS: dict[str, tuple[bytes, str, str]] = {
    "no unit": (under("Pressure"), "reading.unit=bar", "unit_missing"),
    "two units in the header": (under("Pressure (bar or psi)"), "reading.unit=bar", "unit_missing"),
    "psi, letter or unit": (under("psi"), "reading.unit=bar", "unit_unclear"),
    "positive numbers under potential": (under("Water potential (bar)"), "reading.quantity=pressure", "quantity_unclear"),
    "day or month first": (under("Date", tenth, column=0), "dates.order=day-first", "date_order_unclear"),
    "hours without a.m. or p.m.": (under("Time", lambda clock: f"1{clock[2:]}", column=1), "clock.hours=afternoon", "clock_unclear"),
    "two candidate columns": (text(rewritten((*HEADERS, "site"), lambda r: [*r, r[3]])), "columns.site=Site", "column_unclear"),
    "two readings that differ": (
        text(rewritten((*HEADERS, "Pressure two (bar)"), lambda row: [*row, "7"])), "columns.reading=Pressure (bar)", "column_unclear",
    ),
    "an unknown site": (under("Site", lambda site: site.replace("ridge", "Dune"), column=3), "names.site.Dune=ridge", "site_unknown"),
    "an unknown taxon": (under("Species", lambda name: name.replace("quma", "moss"), column=4), "names.taxon.moss=quma", "taxon_unknown"),
    "an unknown section": (under("Section", lambda name: name.replace("a", "Z"), column=2), "names.section.Z=a", "section_unknown"),
}  # fmt: skip


def recipe_line(answer: str) -> str:
    """An answer of the command line as lines of a recipe."""
    key, _, value = answer.partition("=")
    section, _, name = key.rpartition(".")
    return f"[{section}]\n'{name}' = '{value}'\n"


@pytest.mark.parametrize("name", QUESTIONS)
def test_what_the_file_cannot_decide_is_asked_and_settled_by_an_answer_or_a_recipe(
    name: str, lab: Home, truth: list[tuple[Any, ...]]
) -> None:
    data, answer, code = QUESTIONS[name]
    asked = check(lab, data)
    assert set(refusals(asked)) == {code}
    answered = check(lab, data, "class.csv", answer)
    assert meant(answered) == truth or name == "day or month first"
    assert len(loaded_rows(answered)) == len(TRUE_ROWS)
    recipe = lab.recipes / "ours.toml"
    recipe.write_text(f"[recipe]\nshape = '{asked.recipe.shape}'\n{recipe_line(answer)}", "utf-8")
    try:
        assert meant(check(lab, data)) == meant(answered)
    finally:
        recipe.unlink()


def test_a_recipe_is_kept_on_loading_and_serves_the_next_file_of_its_shape(home: Home) -> None:
    data = csv_bytes(TRUE_ROWS, (*HEADERS[:8], "Druck (bar)", "Remarks"))
    checked = check(home, data)
    accept(home, checked)
    kept = find_recipe(home.recipes, checked.recipe.shape)
    assert kept.get("columns.reading") == "column I"  # no word of ours: it may be a person's
    assert kept.get("columns.site") == "Site"
    assert "observer" not in kept.answers["columns"]
    assert checked.receipt.recipe == f"recipes/{checked.recipe.shape}.toml"


def test_a_sheet_may_be_left_out_and_a_header_s_row_named(home: Home) -> None:
    data = xlsx_bytes({"Data": PLAIN, "Last year": [HEADERS, [*TRUE_ROWS[0][:8], 99, "moved"]]})
    checked = check(home, data, "class.xlsx", "sheets.leave_out=Last year")
    assert len(loaded_rows(checked)) == len(TRUE_ROWS)
    assert checked.receipt.reasons["sheet_left_out"] == 2
    strange = csv_bytes([(row[0], row[3], row[4], row[8], "a", row[1]) for row in TRUE_ROWS], ("q1", "q2", "q3", "q4", "q5", "q6"))
    columns = {"date": "q1", "site": "q2", "taxon": "q3", "reading": "q4", "section": "q5", "time_read": "q6"}
    assert refusals(check(home, strange)) == ["no_table"]
    answers = ["sheets.header_row=1", "reading.unit=bar", *(f"columns.{column}={header}" for column, header in columns.items())]
    assert len(loaded_rows(check(home, strange, "class.csv", *answers))) == len(TRUE_ROWS)


def test_an_answer_that_fits_nothing_is_refused_and_not_ignored(home: Home) -> None:
    with pytest.raises(RecipeInvalid, match="no column is called 'Presure'"):
        check(home, csv_bytes(TRUE_ROWS), "class.csv", "columns.reading=Presure")


def test_all_decimals_of_a_computed_reading_are_kept_as_written(lab: Home) -> None:
    # Ten digits in a row are a student's number elsewhere, and scrubbed.
    (row,) = loaded_rows(check(lab, table_of(**{"Pressure (bar)": "17.857142857"})))
    assert '"Pressure (bar)": "17.857142857"' in row["values_as_written"]


def test_zero_is_a_measurement_blank_is_missing_and_never_reached_is_a_bound(lab: Home) -> None:
    checked = check(lab, table_of(**{"Pressure (bar)": ["0", "", "no water at 38", "12"]}))
    rows = [row for row in every_row(checked) if not row["is_structural"]]
    assert [row["balance_pressure_mpa"] for row in rows] == [0.0, None, pytest.approx(3.8), pytest.approx(1.2)]
    assert [row["status"] for row in rows] == ["flagged", "set_aside", "flagged", "accepted"]
    assert [row["below_limit"] for row in rows] == [False, None, True, False]


WORKBOOK = xlsx_bytes({"Sheet1": REAL})
BROKEN: list[tuple[str, bytes, str]] = [
    ("empty.csv", b"", "empty"),
    ("blank.csv", b" \n\r\n\t", "empty"),
    ("cut.xlsx", WORKBOOK[: len(WORKBOOK) // 2], "damaged"),
    ("cut.ods", SHAPES["ods with real dates, times and numbers"][1][:900], "damaged"),
    ("bent.xlsx", WORKBOOK.replace(b"xl/worksheets/sheet1.xml", b"xl/worksheets/sheet9.xml"), "damaged"),
    ("scan.xlsx", b"%PDF-1.7\n1 0 obj", "PDF"),
    ("photo.csv", b"\x89PNG\r\n\x1a\n" + bytes(40), "picture"),
    ("page.xls", b"<html><p>no table</p></html>", "web page"),
    ("feed.csv", b"<?xml version='1.0'?><rows/>", "XML"),
    ("locked.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + "EncryptedPackage".encode("utf-16-le"), "password"),
    ("old.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(2000), "damaged"),
    ("noise.csv", bytes(range(256)) * 8, "not a sheet"),
]


@pytest.mark.parametrize(("name", "data", "word"), BROKEN, ids=[case[0] for case in BROKEN])
def test_a_broken_file_is_named_with_what_to_do_and_nothing_changes(name: str, data: bytes, word: str, home: Home, tmp_path: Path) -> None:
    before = tree_hash(home.root)
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(FileUnreadable) as caught:
        check_path(home, path)
    assert name in str(caught.value)
    assert word in str(caught.value)
    assert tree_hash(home.root) == before


REFUSED_FILES: list[tuple[str, bytes, str]] = [
    ("header only.csv", csv_bytes([]), "no_rows"),
    ("no pressure.csv", csv_bytes([(*row[:8], row[9]) for row in TRUE_ROWS], (*HEADERS[:8], HEADERS[9])), "column_missing"),
    ("no site.csv", csv_bytes([(*row[:3], *row[4:]) for row in TRUE_ROWS], (*HEADERS[:3], *HEADERS[4:])), "column_missing"),
    ("prose.txt", b"We went out and it rained, so there is no table.\n", "no_table"),
    ("no unit.csv", csv_bytes(TRUE_ROWS, BARE), "unit_missing"),
    ("moon.csv", table_of(Site="Moon"), "site_unknown"),
    ("empty sheets.xlsx", xlsx_bytes({"Sheet1": [], "Sheet2": []}), "no_table"),
]


@pytest.mark.parametrize(("name", "data", "code"), REFUSED_FILES, ids=[case[0] for case in REFUSED_FILES])
def test_a_file_that_cannot_be_used_is_refused_by_name_and_nothing_changes(
    name: str, data: bytes, code: str, home: Home, tmp_path: Path
) -> None:
    before = tree_hash(home.root)
    path = tmp_path / name
    path.write_bytes(data)
    checked = check_path(home, path, Asked())
    assert checked.receipt.verdict == "refused"
    assert code in refusals(checked)
    assert checked.receipt.as_text().startswith(f"{checked.receipt.file}: refused; to load it, ")
    assert tree_hash(home.root) == before
    with pytest.raises(ValueError, match="refused"):
        accept(home, checked)
    assert tree_hash(home.root) == before


def test_a_file_that_is_too_large_is_not_even_opened(home: Home, tmp_path: Path) -> None:
    home.settings_file.write_text(home.settings_file.read_text("utf-8").replace("max_file_mb = 200", "max_file_mb = 1"), "utf-8")
    path = tmp_path / "long.csv"
    path.write_bytes(b"x" * 1_000_001)
    with pytest.raises(FileUnreadable, match=r"Load long\.csv in parts, or raise max_file_mb"):
        check_path(home, path)


def test_a_file_that_is_not_there_is_named(home: Home, tmp_path: Path) -> None:
    with pytest.raises(FileUnreadable, match=r"Look whether the name .*nowhere\.csv is right"):
        check_path(home, tmp_path / "nowhere.csv")
