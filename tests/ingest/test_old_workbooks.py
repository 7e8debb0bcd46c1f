"""Old workbooks: the second reader tells what it tells of new ones, agrees with the first, and is done without where it trips."""

from __future__ import annotations

import struct
from pathlib import Path
from typing import Any

import pytest
import statsmodels
import xlrd

from ingest.files.containers import read_container
from ingest.files.workbooks import shown_by
from tests.corpus.old_workbook import Computed, Look, xls_bytes
from tests.corpus.truth import Grid
from tests.corpus.writing import with_cached, xlsx_bytes

ROWS: list[list[object]] = [["Site", "Plant", "Pressure"], ["Ridge Top", 1, 12.5], ["Ridge Top", 2, 14.0], ["Creek Draw", 1, 300]]
NOT_LOOKED_FOR = "not looked for"


def shaped(rows: list[list[object]], look: Look) -> bytes:
    """The same in a new workbook."""

    def shape(book: Any) -> None:
        sheet = book["Data"]
        sheet.sheet_state = ("visible", "hidden", "veryHidden")[look.state]
        for row in look.rows:
            sheet.row_dimensions[row].hidden = True
        for column in look.columns:
            sheet.column_dimensions["ABC"[column]].hidden = True
        if look.is_filtered:
            sheet.auto_filter.ref = "A1:C4"
            sheet.auto_filter.add_filter_column(0, ["Ridge Top"])
        for place, form in look.formats.items():
            for row in range(2, 5):
                if place in (2, (row, 2)):
                    sheet.cell(row, 3).number_format = form

    kept = {"C2": "#DIV/0!", "C3": "0"}
    plain = [[f"=B{at}" if isinstance(cell, Computed) else cell for cell in row] for at, row in enumerate(rows, start=1)]
    return with_cached(xlsx_bytes(Grid("Data", plain), Grid("More", [["x"]]), shape=shape), kept)


LOOKS = {
    "nothing": Look(),
    "hidden rows": Look(rows=(2, 3)),
    "a hidden column": Look(columns=(1,)),
    "a hidden sheet": Look(state=1),
    "a sheet hidden from the menu": Look(state=2),
    "a filter": Look(rows=(4,), is_filtered=True),
    "a unit": Look(formats={2: '0.0" bar"'}),
    "letters each by itself": Look(formats={2: "0 \\p\\s\\i"}),
    "two units": Look(formats={2: '0.0" bar"', (4, 2): '0" psi"'}),
    "by size": Look(formats={2: '[<100]0.0" bar";0" psi"'}),
}


@pytest.mark.parametrize("case", LOOKS)
def test_an_old_workbook_says_what_a_new_one_says(case: str) -> None:
    look = LOOKS[case]
    rows = [row[:] for row in ROWS]
    rows[2][2] = Computed(0.0)
    if case == "nothing":
        rows[1][2] = Computed("#DIV/0!")
    old = read_container(xls_bytes({"Data": rows, "More": [["x"]]}, looks={"Data": look}), "class.xls")
    new = read_container(shaped(rows, look), "class.xlsx")
    assert [(sheet.name, sheet.rows, sheet.is_hidden) for sheet in old.sheets] == [
        (sheet.name, sheet.rows, sheet.is_hidden) for sheet in new.sheets
    ]
    assert old.notes == new.notes
    assert any("hidden" in note.lower() for note in old.notes) == bool(look.rows or look.columns or look.state)
    units = [str(row[2]).partition(" ")[2] for row in old.sheets[0].rows[1:]]
    wanted = {
        "a unit": ["bar"] * 3,
        "letters each by itself": ["psi"] * 3,
        "two units": ["bar", "bar", "psi"],
        "by size": ["bar", "bar", "psi"],
    }
    assert units == wanted.get(case, ["", "", ""])


@pytest.mark.parametrize(
    ("number_format", "value", "wanted"),
    [
        ("General", 1.0, ""),
        ('0.0" bar"', 1.0, "bar"),
        ('0.0" bar";-0.0" MPa"', -1.0, "MPa"),
        ('0.0" bar";-0.0" MPa";"none"', 0.0, "none"),
        ('0.0" bar; or so";-0.0" MPa"', 1.0, "bar; or so"),
        ('[>40]"over";0.0" bar"', 12.0, "bar"),
        ('[>40]"over";0.0" bar"', 41.0, "over"),
        ('[<>0]0" kPa";0" bar"', 0.0, "bar"),
        ('[<=1]0" MPa";[<=60]0" bar";0" psi"', 300.0, "psi"),
        (None, 1.0, ""),
    ],
)
def test_a_format_shows_the_words_of_the_part_that_holds(number_format: str | None, value: float, wanted: str) -> None:
    assert shown_by(number_format, value) == wanted


OWN = Path(statsmodels.__file__).parent
REAL = [
    OWN / "datasets/macrodata/src/macrodata.xls/macrodata.xls",
    OWN / "tsa/statespace/tests/results/frbny_nowcast/Nowcasting/data/US/2016-07-29.xls",
]


@pytest.mark.parametrize("path", REAL, ids=lambda path: path.name)
def test_workbooks_that_the_program_itself_wrote_are_read_alike_by_both_readers(path: Path) -> None:
    """Data files of statsmodels 0.14, written by spreadsheet programs in the formats of 1995 and 1997: every number, exactly."""
    data = path.read_bytes()
    found = read_container(data, "class.xls")
    book = xlrd.open_workbook(file_contents=data)
    assert not any(NOT_LOOKED_FOR in note for note in found.notes)
    assert [sheet.name for sheet in found.sheets] == book.sheet_names()
    numbers = 0
    for sheet, page in zip(found.sheets, book.sheets(), strict=True):
        for row in range(page.nrows):
            for column in range(page.ncols):
                if page.cell_type(row, column) == xlrd.XL_CELL_NUMBER:
                    assert sheet.rows[row][column] == page.cell_value(row, column)
                    numbers += 1
    assert numbers > 1000


def test_where_the_second_reader_trips_the_first_goes_on_and_the_receipt_says_so() -> None:
    rows: list[list[object]] = [["Pressure"], [12.5]]
    number = struct.pack("<HHHHH", 0x203, 14, 1, 0, 0)
    data = xls_bytes({"Data": rows}, looks={"Data": Look(rows=(2,))})
    assert data.count(number) == 1
    bent = data.replace(number, struct.pack("<HHHHH", 0x203, 14, 1, 0, 999))  # of a format that is not there
    found = read_container(bent, "class.xls")
    assert found.sheets[0].rows == rows
    assert [note for note in found.notes if NOT_LOOKED_FOR in note]
    assert not [note for note in found.notes if "has hidden" in note]


def test_a_chart_in_a_sheet_is_stepped_over_on_the_way_to_the_filter() -> None:
    rows: list[list[object]] = [["Pressure"], [Computed(0.0)]]
    data = xls_bytes({"Data": rows}, looks={"Data": Look(is_filtered=True)})
    mark, begin, end = (
        struct.pack("<HH", 0x9B, 0),
        struct.pack("<HHHHHHII", 0x809, 16, 0x600, 0x20, 0, 0, 0, 0),
        struct.pack("<HH", 0x0A, 0),
    )
    assert data.count(mark) == 1
    at = data.index(mark)
    chart = begin + struct.pack("<HHHHHd", 0x06, 14, 9, 9, 0, 0.0) + end
    end_of_stream = 512 + 4096  # behind it stand the tables of the compound file, which may not move
    longer = data[:at] + chart + data[at : end_of_stream - len(chart)] + data[end_of_stream:]
    found = read_container(longer, "class.xls")
    assert "Sheet 1 has hidden rows by a filter: they were read too." in found.notes
    assert "Sheet 1 has formulas that came out as 0, perhaps of a blank: A2." in found.notes
