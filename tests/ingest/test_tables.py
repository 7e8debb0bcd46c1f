"""Where tables stand in a sheet: titles, headers, data, averages, notes and blanks; no row is lost, and doubtful rows stay data."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from ingest.files.containers import CellValue, Sheet
from ingest.tables.tables import SheetLayout, locate

HEADER = ["Date", "Site", "Species", "Plant", "Leaf", "Pressure (bar)", "Notes"]
DATA: list[CellValue] = ["2024-09-17", "ridge", "ange", "1", "1", "18.5", None]


def laid_out(*rows: Sequence[CellValue], header_row: int | None = None) -> SheetLayout:
    sheet = Sheet("Sheet1", 1, [[cell if cell != "" else None for cell in row] for row in rows])
    return locate(sheet, lambda _: {}, header_row)


def test_titles_above_data_below_and_the_rest_named() -> None:
    layout = laid_out(
        ["Field lab, Fall 2024, Section A"],
        [],
        HEADER,
        DATA,
        DATA,
        [],
        ["Average", "", "", "", "", 18.5],
        ["* leaf was cut twice"],
        ["n = 2"],
    )
    (table,) = layout.tables
    assert (table.header_row, table.data_rows) == (3, [4, 5])
    assert table.titles[0] == "Field lab, Fall 2024, Section A"
    assert table.headers[6] == "Pressure (bar)"
    assert layout.other_rows == {
        1: "title_row",
        2: "blank_row",
        3: "header_row",
        6: "blank_row",
        7: "summary_row",
        8: "note_row",
        9: "summary_row",
    }


def test_a_header_repeated_on_a_later_page_belongs_to_the_same_table() -> None:
    layout = laid_out(HEADER, DATA, HEADER, DATA)
    assert [table.data_rows for table in layout.tables] == [[2, 4]]
    assert layout.other_rows == {1: "header_row", 3: "header_row"}


def test_a_header_of_its_own_starts_a_second_table() -> None:
    other = ["Day", "Location", "Plant species", "Individual", "Rep", "Reading (psi)"]
    layout = laid_out(HEADER, DATA, [], other, DATA)
    assert [(table.header_row, table.data_rows) for table in layout.tables] == [(1, [2]), (4, [5])]


# row below a header, and the structural code that it has (None: it stays data)
BELOW: list[tuple[list[CellValue], str | None]] = [
    (DATA, None),
    (["2024-09-17", "ridge", "ange", "1", "1", 0, None], None),
    (["2024-09-17", "ridge", "ange", "1", "1", None, "leaf lost"], None),
    ([None, None, None, None, "2", "19", None], None),
    (["2024-09-17", "ridge", "ange", "1", "mean", "19", None], "summary_row"),
    (["2024-09-17", "ridge", "ange", "1", "1", "19", "average of two"], None),
    (["2024-09-17", "ridge", "ange", "n", "1", "19", None], None),
    (["Mean", None, None, None, None, "18.7", None], "summary_row"),
    ([None, None, "Mean ANGE", None, None, "18.7", None], "summary_row"),
    (["SD", None, None, None, None, "0.4", None], "summary_row"),
    (["Note: the gauge was read to half a bar"], "note_row"),
    (["All readings by Section A"], "note_row"),
    ([None, None], "blank_row"),
]


@pytest.mark.parametrize(("row", "code"), BELOW)
def test_a_row_below_a_header_is_data_unless_it_surely_is_none(row: list[CellValue], code: str | None) -> None:
    layout = laid_out(HEADER, DATA, row, DATA)
    assert layout.other_rows.get(3) == code
    assert (3 in layout.tables[0].data_rows) is (code is None)


NO_HEADERS: list[list[CellValue]] = [
    ["Date", "Notes"],
    ["ridge", "ange", "1"],
    ["Date", "Site", "2024-09-17", "18.5"],
    ["Date of birth", "Height (cm)", "Weight (kg)"],
    ["We wrote the date, site and pressure of each leaf"],
]


@pytest.mark.parametrize("row", NO_HEADERS)
def test_a_row_that_is_no_header_starts_no_table(row: list[CellValue]) -> None:
    assert laid_out(row, DATA).tables == []


def test_a_recipe_may_name_the_row_of_the_header() -> None:
    layout = laid_out(["who", "knows"], ["A", "B", "Druck"], ["ridge", "ange", "18.5"], header_row=2)
    assert layout.tables[0].headers == {1: "A", 2: "B", 3: "Druck"}
    assert layout.tables[0].data_rows == [3]


def test_rows_after_the_last_filled_one_are_no_rows_of_the_file() -> None:
    assert laid_out(HEADER, DATA, [], [], []).other_rows == {1: "header_row"}


CELLS = st.none() | st.sampled_from([*HEADER, "ridge", "18.5", "Mean", "n", "note", "2024-09-17"]) | st.floats(0, 50) | st.text(max_size=8)


@example([[0.0, 0.0]])
@given(st.lists(st.lists(CELLS, max_size=8), max_size=12))
def test_every_row_is_data_or_has_a_code_and_never_both(rows: list[list[CellValue]]) -> None:
    layout = laid_out(*rows)
    filled = [number for number, cells in enumerate(rows, start=1) if any(cell not in (None, "") for cell in cells)]
    last = max(filled, default=0)
    seen = sorted([*layout.other_rows, *(row for table in layout.tables for row in table.data_rows)])
    assert seen == list(range(1, last + 1))
