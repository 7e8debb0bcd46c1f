"""What a reader of values alone misses in an old workbook (.xls): what is hidden, formats that show a unit, formulas of no value.

Record numbers follow Microsoft's open specification [MS-XLS].
"""

from __future__ import annotations

import importlib
import io
import struct
from collections.abc import Iterator
from typing import Any

from ingest.files.workbooks import RawSheet, note_error, shown_by, value_at

_BEGIN, _END, _FORMULA, _FILTER = 0x809, 0x0A, 0x06, 0x9B
_NUMBERS = (2, 3)  # the second reader's numbers and dates: it takes some formats with letters for those of dates
_TRIPS = (struct.error, ValueError, TypeError, LookupError, AttributeError, AssertionError, ArithmeticError, RuntimeError, OSError)


def preload_old_details() -> None:
    """Import the second reader of old workbooks."""
    importlib.import_module("xlrd")


def read_old_details(data: bytes, sheets: list[RawSheet]) -> bool:
    """Add what the second reader sees to the sheets that the first has read.

    Returns False, and adds nothing, where that reader, who is stricter than the first, does not take the workbook.
    """
    import xlrd

    talk = io.StringIO()  # it would speak on the standard output, where the answer goes
    try:
        book = xlrd.open_workbook(file_contents=data, formatting_info=True, on_demand=True, ragged_rows=True, logfile=talk)
        pages = {page.name: page for page in map(book.sheet_by_index, range(book.nsheets))}
        records = {name: list(_records(book.mem, start)) for name, start in zip(book.sheet_names(), book._sh_abs_posn, strict=True)}
        formats = {number: book.format_map[form.format_key].format_str or "" for number, form in enumerate(book.xf_list)}
    except (xlrd.XLRDError, xlrd.compdoc.CompDocError, *_TRIPS):
        return False
    for sheet in sheets:
        if sheet.name in pages:
            _look(sheet, pages[sheet.name], formats)
            _look_at_records(sheet, records[sheet.name])
    return True


def _look(sheet: RawSheet, page: Any, formats: dict[int, str]) -> None:
    """What is hidden on a page, the cells whose numbers show a unit, and those that hold an error."""
    import xlrd

    if page.visibility and "sheet" not in sheet.hidden:
        sheet.hidden.append("sheet")
    if any(row.hidden for row in page.rowinfo_map.values()):
        sheet.hidden.append("rows")
    if any(column.hidden for column in page.colinfo_map.values()):
        sheet.hidden.append("columns")
    for row in range(page.nrows):
        for column, kind in enumerate(page.row_types(row)):
            if kind == xlrd.XL_CELL_ERROR:
                text = xlrd.error_text_from_code.get(page.cell_value(row, column), "#N/A")
                note_error(sheet, row, column, text)
            elif kind in _NUMBERS and (unit := shown_by(formats.get(page.cell_xf_index(row, column)), page.cell_value(row, column))):
                sheet.units[row, column] = unit


def _look_at_records(sheet: RawSheet, records: list[tuple[int, int, int]]) -> None:
    """What the second reader passes over: an active filter, and which cells are computed."""
    for number, row, column in records:
        value = value_at(sheet, row, column)
        if number == _FILTER:
            sheet.hidden.append("rows by a filter")
        elif value == 0 and value != "":
            sheet.formulas[row, column] = "zero"


def _records(stream: bytes, place: int) -> Iterator[tuple[int, int, int]]:
    """The filter and the formulas of the sheet that begins at a place, each with its row and column from 0.

    A chart within the sheet has a beginning and an end of its own.
    """
    depth = 0
    while place + 4 <= len(stream):
        number, length = struct.unpack_from("<HH", stream, place)
        depth += (number == _BEGIN) - (number == _END)
        if depth == 0:
            return
        if depth == 1 and number in (_FORMULA, _FILTER):
            yield number, *(struct.unpack_from("<HH", stream, place + 4) if number == _FORMULA else (0, 0))
        place += 4 + length
