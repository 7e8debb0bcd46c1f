"""The sheets of a workbook. Macros are never run: the readers know no macros. No reader opens a connection."""

from __future__ import annotations

import importlib
import io
import operator
import re
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from ingest.errors import FileUnreadable

DETAILS_UP_TO_BYTES = 3_000_000  # formats and formulas are looked at in files of a class's size
COMMENT_CHARACTERS = 1000
_BEGINNING, _PASSWORD = b"\x09\x08", b"\x2f\x00"  # record numbers
_WORDS_SHOWN = re.compile(r'"([^"]+)"|\\(\w)')
_PARTS = re.compile(r';(?=(?:[^"]*"[^"]*")*[^"]*$)')
_CONDITION = re.compile(r"\[(<>|[<>]=?|=)(-?\d+(?:\.\d+)?)\]")
_HOLDS = {">": operator.gt, "<": operator.lt, ">=": operator.ge, "<=": operator.le, "=": operator.eq, "<>": operator.ne}
_STRICT = (ValueError, TypeError, KeyError, IndexError, AttributeError, SyntaxError)  # what it raises at styles or names it dislikes


@dataclass
class RawSheet:
    """A sheet as read: cells from A1 on, and what a reader of values alone would miss.

    Attributes:
        hidden: sheet, rows, columns or filter where any of it is hidden.
        units: by row and column from 0, the unit that the cell's number format shows ("0.0 \\"bar\\"").
        formulas: by row and column from 0, what is odd about a computed cell: zero, error, or no value (none is kept).
        comments: by row and column from 0, the comment on a cell, without its author's name.
    """

    name: str
    rows: list[list[Any]]
    hidden: list[str] = field(default_factory=list)
    units: dict[tuple[int, int], str] = field(default_factory=dict)
    formulas: dict[tuple[int, int], str] = field(default_factory=dict)
    comments: dict[tuple[int, int], str] = field(default_factory=dict)


def preload_details() -> None:
    """Import the second reader, without the array library that it would use and that takes most of the time."""
    sys.modules.setdefault("numpy", None)  # type: ignore[arg-type]  # the documented way to make an import fail
    importlib.import_module("openpyxl.reader.excel")


def read_workbook(data: bytes, name: str) -> list[RawSheet]:
    """The sheets of a workbook.

    Raises:
        FileUnreadable: it is locked with a password.
    """
    import python_calamine as calamine

    if _is_locked(data):
        raise FileUnreadable(f"{name} is locked with a password: save it without one and load that file.")
    book = calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
    sheets = []
    for metadata in book.sheets_metadata:
        if metadata.typ != calamine.SheetTypeEnum.WorkSheet:
            continue
        grid = book.get_sheet_by_name(metadata.name).to_python(skip_empty_area=False)
        hidden = ["sheet"] if metadata.visible != calamine.SheetVisibleEnum.Visible else []
        sheets.append(RawSheet(metadata.name, grid, hidden))
    return sheets


def _is_locked(data: bytes) -> bool:
    """Whether an old workbook says, right behind its beginning, that a password hides the rest ([MS-XLS], BOF and FilePass)."""
    for sector in range(512, len(data) - 4, 512):
        place = sector
        for _ in range(3):  # the beginning, perhaps a protection against writing, and the password
            if data[sector : sector + 2] != _BEGINNING:
                break
            if data[place : place + 2] == _PASSWORD:
                return True
            place += 4 + int.from_bytes(data[place + 2 : place + 4], "little")
    return False


def read_details(data: bytes, sheets: list[RawSheet]) -> bool:
    """Look with a second reader at what is hidden, at formats that carry a unit, and at formulas without a value of their own.

    Returns False where that reader, who is stricter than the first, does not take the workbook.
    """
    import openpyxl

    try:
        book = openpyxl.load_workbook(io.BytesIO(data), data_only=False, keep_vba=False, keep_links=False)
    except _STRICT:
        return False
    by_name: Mapping[str, RawSheet] = {sheet.name: sheet for sheet in sheets}
    for page in book.worksheets:
        sheet = by_name.get(page.title)
        if sheet is None:
            continue
        if any(of_row.hidden for of_row in page.row_dimensions.values()):
            sheet.hidden.append("rows")
        if any(of_column.hidden for of_column in page.column_dimensions.values()):
            sheet.hidden.append("columns")
        if page.auto_filter.ref and page.auto_filter.filterColumn:
            sheet.hidden.append("rows by a filter")
        for cell in page._cells.values():  # the cells that there are; its own walk makes millions more on the way to a stray one
            if cell.value is not None:
                _cell_details(sheet, cell)
            if cell.comment is not None:
                said = str(cell.comment.text).strip().removeprefix(f"{cell.comment.author}:").strip()
                sheet.comments[cell.row - 1, cell.column - 1] = said[:COMMENT_CHARACTERS]
    _look_into_blanks(data, by_name, book)
    return True


def shown_by(number_format: str | None, value: float) -> str:
    """The words that a number format shows beside a number: of its part for numbers of this sign, or of the condition that holds."""
    if not number_format or not _WORDS_SHOWN.search(number_format):
        return ""
    parts = _PARTS.split(number_format)
    conditions = [_CONDITION.search(part) for part in parts]
    if any(conditions):
        held = (part for part, said in zip(parts, conditions, strict=True) if said is None or _HOLDS[said[1]](value, float(said[2])))
        part = next(held, "")
    else:
        part = parts[1] if value < 0 and len(parts) > 1 else parts[2] if value == 0 and len(parts) > 2 else parts[0]
    return "".join(quoted or escaped for quoted, escaped in _WORDS_SHOWN.findall(part)).strip()


def value_at(sheet: RawSheet, row: int, column: int) -> Any:
    """The value of a cell (row and column from 0), None beyond the end of the rows."""
    return sheet.rows[row][column] if row < len(sheet.rows) and column < len(sheet.rows[row]) else None


def note_error(sheet: RawSheet, row: int, column: int, text: str) -> None:
    """Write into a cell (row and column from 0) the error that stands there: the reader of values takes it for blank.

    A blank may mean "as above"; an error is a value that nobody knows.
    """
    sheet.rows.extend([] for _ in range(row + 1 - len(sheet.rows)))
    cells = sheet.rows[row]
    cells.extend([None] * (column + 1 - len(cells)))
    cells[column] = text
    sheet.formulas[row, column] = "no value" if text.startswith("=") else "error"


def _cell_details(sheet: RawSheet, cell: Any) -> None:
    row, column = cell.row - 1, cell.column - 1
    value = value_at(sheet, row, column)
    if isinstance(value, (int, float)) and (literal := shown_by(cell.number_format, value)):
        sheet.units[row, column] = literal
    if cell.data_type == "e":
        note_error(sheet, row, column, str(cell.value))
    elif cell.data_type == "f" and value in ("", None, 0):
        sheet.formulas[row, column] = "zero" if value == 0 and value != "" else "no value"


def _look_into_blanks(data: bytes, by_name: Mapping[str, RawSheet], book: Any) -> None:
    """Tell the formulas apart that seem to have no value: a text of no letters is blank, an error is one, and some were never computed."""
    import openpyxl

    if all("no value" not in sheet.formulas.values() for sheet in by_name.values()):
        return
    kept = openpyxl.load_workbook(io.BytesIO(data), data_only=True, keep_vba=False, keep_links=False)
    for name, sheet in by_name.items():
        for row, column in [place for place, what in sheet.formulas.items() if what == "no value"]:
            cell = kept[name].cell(row + 1, column + 1)
            if cell.data_type in ("str", "s"):
                del sheet.formulas[row, column]
            else:
                formula = book[name].cell(row + 1, column + 1).value
                text = cell.value if cell.data_type == "e" else formula if isinstance(formula, str) else formula.text
                note_error(sheet, row, column, str(text))
