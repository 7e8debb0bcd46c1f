"""The sheets of a workbook. Macros are never run: the readers know no macros. No reader opens a connection."""

from __future__ import annotations

import importlib
import io
import re
import sys
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from ingest.errors import FileUnreadable

DETAILS_UP_TO_BYTES = 3_000_000  # formats and formulas are looked at in files of a class's size
_BEGINNING, _PASSWORD = b"\x09\x08", b"\x2f\x00"  # record numbers
_STRICT = (ValueError, TypeError, KeyError, IndexError, AttributeError, SyntaxError)  # what it raises at styles or names it dislikes


@dataclass
class RawSheet:
    """A sheet as read: cells from A1 on, and what a reader of values alone would miss.

    Attributes:
        hidden: sheet, rows, columns or filter where any of it is hidden.
        units: address to the unit that the cell's number format shows ("0.0 \\"bar\\"").
        formulas: addresses of cells that are computed and came out as 0, or have no value kept.
    """

    name: str
    rows: list[list[Any]]
    hidden: list[str] = field(default_factory=list)
    units: dict[str, str] = field(default_factory=dict)
    formulas: dict[str, str] = field(default_factory=dict)


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
    return True


def hidden_in_ods(data: bytes, sheets: list[RawSheet]) -> None:
    """Add what an OpenDocument sheet hides, from its own text: the reader of values skips these marks."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        pages = archive.read("content.xml").split(b"<table:table ")[1:]
    for sheet, page in zip(sheets, pages, strict=False):
        for what, pattern in (("rows", b"row"), ("columns", b"column")):
            if re.search(rb"<table:table-" + pattern + rb'\b[^>]*table:visibility="collapse"', page):
                sheet.hidden.append(what)
        if re.search(rb'<table:table-row\b[^>]*table:visibility="filter"', page):
            sheet.hidden.append("rows by a filter")


def _cell_details(sheet: RawSheet, cell: Any) -> None:
    shown = re.findall(r'"([^"]+)"|\\(\w)', cell.number_format or "")
    literal = "".join(quoted or escaped for quoted, escaped in shown).strip()
    if literal and isinstance(cell.value, (int, float)):
        sheet.units[cell.coordinate] = literal
    if cell.data_type == "f":
        rows, row, column = sheet.rows, cell.row - 1, cell.column - 1
        value = rows[row][column] if row < len(rows) and column < len(rows[row]) else None
        if value in ("", None, 0):
            sheet.formulas[cell.coordinate] = "zero" if value == 0 and value != "" else "no value"
