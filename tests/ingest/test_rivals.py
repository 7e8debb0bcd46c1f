"""Two columns that could each hold the readings: one is chosen on somebody's word, and what the other holds is not lost in silence."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.ingest.small_lab import check, loaded_rows, small_lab, table_of

PRESSURES = ("18.5", "19", "21", "12")
# the other column's header and cells; the rows (from 1) that are marked, and whether the table says that the columns differ
CASES = {
    "a few corrections": ("Corrected pressure (bar)", ("", "20", "", ""), {2}, False),
    "the same pressures in another unit": ("Pressure (psi)", ("268", "276", "305", "174"), set(), False),
    "the potentials computed from them": ("Water potential (MPa)", ("-1.85", "-1.9", "-2.1", "-1.2"), set(), False),
    "one of the potentials is another": ("Water potential (MPa)", ("-1.85", "-1.9", "-2.9", "-1.2"), {3}, False),
    "another measurement": ("Second pressure (bar)", ("17", "18", "20.5", "12"), set(), True),
    "no number, but a word": ("Corrected pressure (bar)", ("", "see above", "", ""), set(), False),
}


@pytest.mark.parametrize("case", CASES)
def test_a_number_that_was_passed_over_marks_its_row(case: str, tmp_path: Path) -> None:
    header, cells, marked, is_said = CASES[case]
    home = small_lab(tmp_path / "home")
    checked = check(home, table_of(**{"Pressure (bar)": PRESSURES, header: cells}), "class.csv", "columns.reading=Pressure (bar)")
    rows = loaded_rows(checked)
    assert [row["reading_as_written"] for row in rows] == list(PRESSURES)
    assert {number for number, row in enumerate(rows, start=1) if row["flags"] == "reading_elsewhere"} == marked
    assert {number for number, row in enumerate(rows, start=1) if not row["usable"]} == marked
    assert any("holds other numbers" in note for note in checked.receipt.tables[0].notes) is is_said


def test_a_number_beside_an_empty_cell_is_told_where_the_row_is_set_aside(tmp_path: Path) -> None:
    home = small_lab(tmp_path / "home")
    data = table_of(**{"Pressure (bar)": PRESSURES, "Corrected pressure (bar)": ("", "20", "", "")})
    checked = check(home, data, "class.csv", "columns.reading=Corrected pressure (bar)")
    told = {(found.row, found.value) for found in checked.receipt.problems if found.code == "reading_elsewhere"}
    assert told == {(2, "18.5"), (4, "21"), (5, "12")}


def test_a_word_about_the_unit_is_not_about_the_column_that_was_passed_over(tmp_path: Path) -> None:
    home = small_lab(tmp_path / "home")
    potentials = ("-1.85", "-1.9", "-2.9", "-1.2")
    data = table_of(**{"Pressure (bar)": PRESSURES, "Water potential (MPa)": potentials}).replace(b"Pressure (bar)", b"Pressure")
    checked = check(home, data, "class.csv", "columns.reading=Pressure", "reading.unit=bar")
    assert [row["flags"] for row in loaded_rows(checked)] == ["", "", "reading_elsewhere", ""]
