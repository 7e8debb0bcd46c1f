"""What a reader of values alone misses in an OpenDocument sheet: what is hidden, numbers shown with a unit, formulas of no value."""

from __future__ import annotations

import importlib
import io
import re
import zipfile
from collections.abc import Mapping

from ingest.files.workbooks import COMMENT_CHARACTERS, RawSheet, note_error, value_at

CONTENT_UP_TO_BYTES = 60_000_000  # unpacked: twenty times a class's file
_HIDDEN = {("table-row", "collapse"): "rows", ("table-row", "filter"): "rows by a filter", ("table-column", "collapse"): "columns"}
_CELLS = ("table-cell", "covered-table-cell")
_NUMBER = re.compile(r"[-+−]?\d[\d.,'\s]*")
_MOST_REPEATED = 10_000  # equal cells and rows are written once, with a count; a sheet's rest is a million blank ones


def preload_open_details() -> None:
    """Import the reader of the document's own text."""
    importlib.import_module("xml.parsers.expat")


def read_open_details(data: bytes, sheets: list[RawSheet]) -> bool:
    """Add what the document's own text says of the sheets; returns False, and adds nothing, where it is too long to look through."""
    from xml.parsers import expat

    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        content = archive.read("content.xml")
    if len(content) > CONTENT_UP_TO_BYTES:
        return False
    pages, parser = _Pages(sheets), expat.ParserCreate()
    parser.StartElementHandler, parser.EndElementHandler, parser.CharacterDataHandler = pages.start, pages.end, pages.text
    try:
        parser.Parse(content, True)
    except expat.ExpatError:
        return False
    return True


class _Pages:
    """Walks through a document and counts rows and columns from 0; what is written once for many counts as many."""

    def __init__(self, sheets: list[RawSheet]) -> None:
        self._sheets = iter(sheets)
        self._sheet: RawSheet | None = None
        self._row = self._column = self._remark = 0
        self._cell: Mapping[str, str] | None = None
        self._rows = 1
        self._shown = self._said = ""
        self._within = ""

    def start(self, name: str, attributes: Mapping[str, str]) -> None:
        """Open an element."""
        self._within = name = _plain(name)
        if name == "table":
            self._sheet, self._row = next(self._sheets, None), 0
        elif name in ("table-row", "table-column") and self._sheet:
            what = _HIDDEN.get((name, attributes.get("table:visibility", "")))
            if what and what not in self._sheet.hidden:
                self._sheet.hidden.append(what)
            if name == "table-row":
                self._column, self._rows = 0, _count(attributes, "rows")
        elif name in _CELLS:
            self._cell, self._shown, self._said = attributes, "", ""
        elif name == "annotation":
            self._remark += 1

    def end(self, name: str) -> None:
        """Close an element."""
        name = _plain(name)
        if name == "table-row":
            self._row += self._rows
        elif name == "annotation":
            self._remark -= 1
        elif name in _CELLS and self._cell is not None:
            columns = _count(self._cell, "columns")
            if self._sheet and self._said:
                self._sheet.comments[self._row, self._column] = self._said.strip()[:COMMENT_CHARACTERS]
            if self._sheet and (self._shown or "table:formula" in self._cell):
                for row in range(self._row, self._row + min(self._rows, _MOST_REPEATED)):
                    for column in range(self._column, self._column + min(columns, _MOST_REPEATED)):
                        _note(self._sheet, row, column, self._cell, self._shown)
            self._column += columns
            self._cell = None

    def text(self, text: str) -> None:
        """Take the text that a cell shows; a comment on it is none."""
        if self._cell is not None and not self._remark:
            self._shown += text
        elif self._remark and self._within in ("p", "span"):  # not its author and day
            self._said += text


def _note(sheet: RawSheet, row: int, column: int, cell: Mapping[str, str], shown: str) -> None:
    value = value_at(sheet, row, column)
    if cell.get("calcext:value-type") == "error":
        note_error(sheet, row, column, shown or "#N/A")
    elif cell.get("office:value-type") == "float" and (found := _NUMBER.match(shown)) and (unit := shown[found.end() :].strip()):
        sheet.units[row, column] = unit
    if "table:formula" in cell and value == 0 and value != "":
        sheet.formulas[row, column] = "zero"


def _count(attributes: Mapping[str, str], what: str) -> int:
    text = attributes.get(f"table:number-{what}-repeated", "1")
    return int(text) if text.isdecimal() and len(text) < 8 else 1


def _plain(name: str) -> str:
    return name.rpartition(":")[2]
