"""From bytes to grids: which container a file is, told by its content, and the cells of its sheets. Runs in a process with limits."""

from __future__ import annotations

import codecs
import importlib
import re
from pathlib import PurePath
from typing import Any

from ingest.errors import FileUnreadable
from ingest.files.archives import archive_kind
from ingest.files.containers import CellValue, Container, Sheet, letter
from ingest.files.delimited import cells_of, decode, mended, split_again, wide_encoding
from ingest.files.limited import CELL_CHARACTERS, CELLS, SHEETS
from ingest.files.old_workbooks import preload_old_details, read_old_details
from ingest.files.open_documents import preload_open_details, read_open_details
from ingest.files.web_tables import tables_of
from ingest.files.workbooks import DETAILS_UP_TO_BYTES, RawSheet, preload_details, read_details, read_workbook
from ingest.units import units_in

ENDINGS = {
    "xlsx": (".xlsx", ".xlsm"),
    "xls": (".xls",),
    "ods": (".ods",),
    "web page": (".html", ".htm"),
    "text": (".csv", ".tsv", ".txt", ".tab"),
}
KIND_WORDS = {
    "xlsx": "an Excel workbook",
    "xls": "an old Excel workbook",
    "ods": "an OpenDocument sheet",
    "text": "delimited text",
    "web page": "a web page",
}
NOT_READ = [(b"%PDF", "a PDF"), (b"\x89PNG", "a picture"), (b"\xff\xd8\xff", "a picture"), (b"\x1f\x8b", "a compressed file")]
LINKS = (".gsheet", ".url", ".webloc")
ENCODINGS = ("utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252", "cp437", "mac-roman", "latin-1", "ascii")
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
_CONTROL = re.compile(rb"[\x00-\x08\x0b\x0e-\x1f]")
_ARCHIVE, _COMPOUND = b"PK", b"\xd0\xcf\x11\xe0"


def preload(data: bytes) -> None:
    """Import what the kind of file needs: once it is shut in, the process can open no module."""
    for encoding in ENCODINGS:
        codecs.lookup(encoding)
    if data.startswith((_ARCHIVE, _COMPOUND)):
        importlib.import_module("python_calamine")
    if data.startswith(_ARCHIVE):
        preload_details()
        preload_open_details()
    if data.startswith(_COMPOUND):
        preload_old_details()


def work(data: bytes, name: str) -> tuple[str, list[tuple[Any, ...]], list[str]]:
    """A file as plain values: what makes a Container, and in it each Sheet."""
    found = open_file(data, name)
    return found.kind, [(sheet.name, sheet.number, sheet.rows, sheet.is_hidden, sheet.comments) for sheet in found.sheets], found.notes


def open_file(data: bytes, name: str) -> Container:
    """Open a file of any kind that is read, told by its content.

    Raises:
        FileUnreadable: empty, damaged, locked, or of a kind that is not read; the message says what to do.
    """
    kind = container_kind(data, name)
    if kind == "text":
        container = Container("text", [Sheet("", 1, [list(row) for row in cells_of(data, name)])])
    else:
        container = _web_page(data, name) if kind == "web page" else _workbook(data, name, kind)
        _split_lines(container)
    _hold_to_limits(container, name)
    _mend_letters(container)
    ending = PurePath(name).suffix.lower()
    if ending and ending not in ENDINGS[kind]:
        container.notes.append(f"The name ends in {ending[:12]}, and the content is {KIND_WORDS[kind]}: it was read as that.")
    hidden = [sheet.number for sheet in container.sheets if sheet.is_hidden]
    if hidden:
        container.notes.append("Hidden sheets were read too: number " + ", ".join(map(str, hidden)) + ".")
    return container


def _split_lines(container: Container) -> None:
    for sheet in container.sheets:
        if (rows := split_again(sheet.rows)) is not None:
            sheet.rows = [list(row) for row in rows]
            container.notes.append(
                f"Sheet {sheet.number} holds a whole line in each cell of its first column: the lines were split into cells."
            )


def container_kind(data: bytes, name: str) -> str:
    """Which of xlsx, xls, ods, web page or text the bytes are."""
    if not data.strip(b"\x00\r\n\t "):
        raise FileUnreadable(f"{name} is empty: save the sheet again and load that file.")
    for magic, words in NOT_READ:
        if data.startswith(magic):
            raise FileUnreadable(f"{name} is {words}: export the table as .xlsx, .ods or .csv and load that file.")
    if data.startswith(_COMPOUND):
        if _ENCRYPTED in data:
            raise FileUnreadable(f"{name} is locked with a password: save it without one and load that file.")
        return "xls"
    if data.startswith(_ARCHIVE):
        return archive_kind(data, name)
    if PurePath(name).suffix.lower() in LINKS:
        raise FileUnreadable(f"{name} is a link to a sheet, not the sheet: open it, download it as .xlsx or .csv and load that file.")
    if name.startswith("~$"):
        raise FileUnreadable(f"Load the workbook itself: {name} is the mark that a program leaves while it is open.")
    head = (decode(data[:4000]).encode() if wide_encoding(data) else data[:2000]).lstrip(b"\xef\xbb\xbf \r\n\t").lower()
    if re.match(rb"<!doctype html|<html|<table|<meta|<head|<body|<div", head) or (head.startswith(b"<?xml") and b"<html" in head):
        return "web page"
    if head.startswith(b"mime-version:"):
        raise FileUnreadable(
            f"{name} is a web page packed up, not a sheet: open it in a spreadsheet program, save as .xlsx and load that file."
        )
    if re.match(rb"<\?xml|<!", head):
        raise FileUnreadable(f"{name} is XML, not a sheet: open it in a spreadsheet program, save as .xlsx and load that file.")
    if len(_CONTROL.findall(data[:4096])) > len(data[:4096]) / 100 and wide_encoding(data) is None:
        raise FileUnreadable(f"{name} is not a sheet and not text: export the table as .xlsx, .ods or .csv and load that file.")
    return "text"


def _mend_letters(container: Container) -> None:
    """Put right what a program decoded by the wrong code page and saved so, and say it."""
    count = 0
    for sheet in container.sheets:
        for row in sheet.rows:
            for place, cell in enumerate(row):
                if isinstance(cell, str) and not cell.isascii() and (right := mended(cell)) != cell:
                    row[place] = right
                    count += 1
    if count:
        container.notes.append(f"Letters that a program had spoilt by decoding them twice were put right in {count} cells.")


def _hold_to_limits(container: Container, name: str) -> None:
    """Refuse what would be small in the file and large in memory."""
    if len(container.sheets) > SHEETS or sum(len(row) + 1 for sheet in container.sheets for row in sheet.rows) > CELLS:
        raise FileUnreadable(f"{name} holds more than {SHEETS} sheets or {CELLS:,} cells: load the semesters one by one.")
    if container.kind == "text":
        return  # held to it while it was split
    for sheet in container.sheets:
        for number, row in enumerate(sheet.rows, start=1):
            if any(isinstance(cell, str) and len(cell) > CELL_CHARACTERS for cell in row):
                where = f"sheet {sheet.number}, row {number}"
                raise FileUnreadable(f"{name}, {where}: a cell holds more than {CELL_CHARACTERS:,} characters: shorten it and load again.")


def _workbook(data: bytes, name: str, kind: str) -> Container:
    container = Container(kind, [])
    sheets = read_workbook(data, name)
    look = {"xlsx": read_details, "xls": read_old_details, "ods": read_open_details}[kind]
    if not (len(data) <= DETAILS_UP_TO_BYTES and look(data, sheets)):
        container.notes.append(
            "What is hidden, formats that show a unit and formulas without a value were not looked for in this workbook."
        )
    for number, raw in enumerate(sheets, start=1):
        rows: list[list[CellValue]] = [_row(row) for row in raw.rows]
        for (row, column), literal in raw.units.items():
            if row < len(rows) and column < len(rows[row]) and isinstance(rows[row][column], (int, float)) and units_in(literal):
                rows[row][column] = f"{rows[row][column]:g} {literal}"  # the format shows the unit, so the class saw it there
        comments = {(row + 1, column + 1): said for (row, column), said in raw.comments.items() if said}
        container.sheets.append(Sheet(raw.name, number, rows, "sheet" in raw.hidden, comments))
        container.notes.extend(_hidden_notes(number, raw))
    return container


def _row(cells: list[Any]) -> list[CellValue]:
    """The cells of a row up to its last filled one: one stray cell far to the right makes every row of a workbook as wide."""
    row = [None if isinstance(cell, str) and not cell.strip() else cell for cell in cells]
    while row and row[-1] is None:
        row.pop()
    return row


def _hidden_notes(number: int, raw: RawSheet) -> list[str]:
    notes = [f"Sheet {number} has hidden {what}: they were read too." for what in raw.hidden if what != "sheet"]
    kinds = ("zero", "error", "no value")
    zeros, errors, unkept = ([place for place, what in raw.formulas.items() if what == kind] for kind in kinds)
    if raw.comments:
        notes.append(f"Sheet {number} has comments on cells, read as remarks of their rows: {_few(list(raw.comments))}.")
    if zeros:
        notes.append(f"Sheet {number} has formulas that came out as 0, perhaps of a blank: {_few(zeros)}.")
    if errors:
        notes.append(f"Sheet {number} has cells that came out as errors: {_few(errors)}.")
    if unkept:
        notes.append(f"Sheet {number} has formulas without a kept value: {_few(unkept)}. Open and save the file to keep them.")
    return notes


def _few(places: list[tuple[int, int]]) -> str:
    addresses = [f"{letter(column + 1)}{row + 1}" for row, column in places[:5]]
    return ", ".join(addresses) + (f" and {len(places) - 5} more" if len(places) > 5 else "")


def _web_page(data: bytes, name: str) -> Container:
    found = tables_of(decode(data))
    if not found:
        raise FileUnreadable(f"{name} is a web page without a table: open it in a spreadsheet program, save as .xlsx and load that file.")
    return Container(
        "web page",
        [Sheet(f"table {number}" if len(found) > 1 else "", number, [list(row) for row in rows]) for number, rows in enumerate(found, 1)],
    )
