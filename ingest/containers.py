"""From bytes to grids: which container a file is, told by its content, and the cells of its sheets."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import PurePath
from typing import Any

from ingest.errors import FileUnreadable
from ingest.units import units_in
from ingest.web_tables import tables_of
from ingest.workbooks import RawSheet, open_workbook

CellValue = str | float | int | bool | date | datetime | time | timedelta | None

UNPACKED_LIMIT_MB = 400  # a class workbook unpacks to a few MB; beyond this the archive is built to exhaust memory
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


@dataclass
class Sheet:
    """One sheet: its name, its place in the file (from 1) and its cells from A1 on; a blank cell is None."""

    name: str
    number: int
    rows: list[list[CellValue]]
    is_hidden: bool = False


@dataclass
class Container:
    """A file as grids, and what was noticed while opening it."""

    kind: str
    sheets: list[Sheet]
    notes: list[str] = field(default_factory=list)


def read_container(data: bytes, name: str) -> Container:
    """Open a file of any kind that is read, told by its content.

    Raises:
        FileUnreadable: empty, damaged, locked, or of a kind that is not read; the message says what to do.
    """
    kind = container_kind(data, name)
    if kind == "text":
        container = Container("text", [_text_sheet(data, name)])
    else:
        container = _web_page(data, name) if kind == "web page" else _workbook(data, name, kind)
    ending = PurePath(name).suffix.lower()
    if ending and ending not in ENDINGS[kind]:
        container.notes.append(f"The name ends in {ending[:12]}, and the content is {KIND_WORDS[kind]}: it was read as that.")
    hidden = [sheet.number for sheet in container.sheets if sheet.is_hidden]
    if hidden:
        container.notes.append("Hidden sheets were read too: number " + ", ".join(map(str, hidden)) + ".")
    return container


def container_kind(data: bytes, name: str) -> str:
    """Which of xlsx, xls, ods or text the bytes are."""
    if not data.strip(b"\x00\r\n\t "):
        raise FileUnreadable(f"{name} is empty: save the sheet again and load that file.")
    for magic, words in NOT_READ:
        if data.startswith(magic):
            raise FileUnreadable(f"{name} is {words}: export the table as .xlsx, .ods or .csv and load that file.")
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        if b"E\x00n\x00c\x00r\x00y\x00p\x00t" in data:
            raise FileUnreadable(f"{name} is locked with a password: save it without one and load that file.")
        return "xls"
    if data.startswith(b"PK"):
        return _archive_kind(data, name)
    head = data[:2000].lstrip(b"\xef\xbb\xbf \r\n\t").lower()
    if re.match(rb"<!doctype html|<html|<table|<meta|<head|<body|<div", head) or (head.startswith(b"<?xml") and b"<html" in head):
        return "web page"
    if re.match(rb"<\?xml|<!", head):
        raise FileUnreadable(f"{name} is XML, not a sheet: open it in a spreadsheet program, save as .xlsx and load that file.")
    if b"\x00" in data[:4096] and _wide_encoding(data) is None:
        raise FileUnreadable(f"{name} is not a sheet and not text: export the table as .xlsx, .ods or .csv and load that file.")
    return "text"


def _archive_kind(data: bytes, name: str) -> str:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = archive.infolist()
            names = {member.filename for member in members}
    except (zipfile.BadZipFile, ValueError, EOFError) as damage:
        raise FileUnreadable(f"{name} is damaged or only part of a workbook: send or download it again.") from damage
    if sum(member.file_size for member in members) > UNPACKED_LIMIT_MB * 1_000_000:
        raise FileUnreadable(f"{name} unpacks to more than {UNPACKED_LIMIT_MB} MB: copy the table into a new workbook and load that.")
    if "xl/workbook.xml" in names:
        return "xlsx"
    if "content.xml" in names:
        return "ods"
    raise FileUnreadable(f"{name} is an archive without a sheet in it: unpack it and load the sheet.")


def _workbook(data: bytes, name: str, kind: str) -> Container:
    container = Container(kind, [])
    for number, raw in enumerate(open_workbook(data, name, kind), start=1):
        rows: list[list[CellValue]] = [[_blank(value) for value in row] for row in raw.rows]
        for address, literal in raw.units.items():
            row, column = _place(address)
            if row < len(rows) and column < len(rows[row]) and isinstance(rows[row][column], (int, float)) and units_in(literal):
                rows[row][column] = f"{rows[row][column]:g} {literal}"  # the format shows the unit, so the class saw it there
        container.sheets.append(Sheet(raw.name, number, rows, "sheet" in raw.hidden))
        container.notes.extend(_hidden_notes(number, raw))
    return container


def _hidden_notes(number: int, raw: RawSheet) -> list[str]:
    notes = [f"Sheet {number} has hidden {what}: they were read too." for what in raw.hidden if what != "sheet"]
    zeros, blanks = ([address for address, what in raw.formulas.items() if what == kind] for kind in ("zero", "no value"))
    if zeros:
        notes.append(f"Sheet {number} has formulas that came out as 0, perhaps of a blank: {_few(zeros)}.")
    if blanks:
        notes.append(
            f"Sheet {number} has formulas without a kept value, taken as blank: {_few(blanks)}. Open and save the file to keep them."
        )
    return notes


def _few(addresses: list[str]) -> str:
    return ", ".join(addresses[:5]) + (f" and {len(addresses) - 5} more" if len(addresses) > 5 else "")


def _place(address: str) -> tuple[int, int]:
    letters, digits = re.fullmatch(r"([A-Z]+)(\d+)", address).groups()  # type: ignore[union-attr]  # openpyxl writes no other
    column = 0
    for letter in letters:
        column = column * 26 + ord(letter) - 64
    return int(digits) - 1, column - 1


def _blank(value: Any) -> CellValue:
    if isinstance(value, str) and not value.strip():
        return None
    return value  # type: ignore[no-any-return]  # the reader's cells are of the types of CellValue


def _web_page(data: bytes, name: str) -> Container:
    found = tables_of(_decode(data))
    if not found:
        raise FileUnreadable(f"{name} is a web page without a table: open it in a spreadsheet program, save as .xlsx and load that file.")
    return Container(
        "web page",
        [Sheet(f"table {number}" if len(found) > 1 else "", number, [list(row) for row in rows]) for number, rows in enumerate(found, 1)],
    )


def _text_sheet(data: bytes, name: str) -> Sheet:
    text = _decode(data)
    try:
        separator = _separator(text)
    except csv.Error as damage:
        raise FileUnreadable(f"{name} cannot be split into cells ({damage}): save it again as .csv or .xlsx.") from damage
    repeated: dict[str, str] = {}  # one object per distinct text keeps a long file small
    rows: list[list[CellValue]] = []
    try:
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator, skipinitialspace=True):
            rows.append([repeated.setdefault(cell, cell) if cell.strip() else None for cell in row])
    except csv.Error as damage:
        raise FileUnreadable(f"{name} cannot be split into cells ({damage}): save it again as .csv or .xlsx.") from damage
    return Sheet("", 1, rows)


def _decode(data: bytes) -> str:
    if data.startswith(b"\xef\xbb\xbf"):
        return data.decode("utf-8-sig", errors="replace")
    if wide := _wide_encoding(data):
        return data.decode(wide, errors="replace")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        # What is no UTF-8 from a spreadsheet program is nearly always its western code page; files glued together hold both.
        return "".join(_decode_line(line) for line in data.splitlines(keepends=True))


def _decode_line(line: bytes) -> str:
    try:
        return line.decode("utf-8")
    except UnicodeDecodeError:
        return line.decode("cp1252", errors="replace")


def _wide_encoding(data: bytes) -> str | None:
    """UTF-16 by its mark, or, without one, by the zero in every other byte of plain letters."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    head = data[:2000]
    odd, even = head[1::2].count(0), head[::2].count(0)
    if len(head) >= 8 and max(odd, even) > 0.6 * len(head) / 2 and min(odd, even) < 0.1 * len(head) / 2:
        return "utf-16-le" if odd > even else "utf-16-be"
    return None


def _separator(text: str) -> str:
    lines = [line for line in text[:200_000].splitlines()[:200] if line.strip()]
    scores = {}
    for candidate in "\t;,|":
        counts = [len(row) for row in csv.reader(lines, delimiter=candidate)]
        wide = [count for count in counts if count > 2]
        # The separator is the one that most often splits lines into the same number of cells.
        scores[candidate] = max((wide.count(count) for count in set(wide)), default=0)
    best = max(scores, key=lambda candidate: scores[candidate])
    return best if scores[best] else ","
