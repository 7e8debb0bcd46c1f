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

CellValue = str | float | int | bool | date | datetime | time | timedelta | None

UNPACKED_LIMIT_MB = 400  # a class workbook unpacks to a few MB; beyond this the archive is built to exhaust memory
ENDINGS = {"xlsx": (".xlsx", ".xlsm"), "xls": (".xls",), "ods": (".ods",), "text": (".csv", ".tsv", ".txt", ".tab")}
KIND_WORDS = {"xlsx": "an Excel workbook", "xls": "an old Excel workbook", "ods": "an OpenDocument sheet", "text": "delimited text"}
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
    container = Container("text", [_text_sheet(data, name)]) if kind == "text" else _workbook(data, name, kind)
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
    if re.match(rb"\s*(<!doctype html|<html|<table|<\?xml)", data[:200], re.IGNORECASE):
        raise FileUnreadable(
            f"{name} is a web page or XML, not a sheet: open it in a spreadsheet program, save as .xlsx and load that file."
        )
    if b"\x00" in data[:4096] and not data.startswith((b"\xff\xfe", b"\xfe\xff")):
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
    import python_calamine as calamine

    try:
        book = calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
        sheets = []
        for number, metadata in enumerate(book.sheets_metadata, start=1):
            if metadata.typ != calamine.SheetTypeEnum.WorkSheet:
                continue
            grid = book.get_sheet_by_name(metadata.name).to_python(skip_empty_area=False)
            hidden = metadata.visible != calamine.SheetVisibleEnum.Visible
            sheets.append(Sheet(metadata.name, number, [[_blank(value) for value in row] for row in grid], hidden))
    except (calamine.CalamineError, OSError, ValueError, KeyError) as damage:
        raise FileUnreadable(f"{name} is damaged or only part of a workbook: open it, save it again and load that file.") from damage
    return Container(kind, sheets)


def _blank(value: Any) -> CellValue:
    if isinstance(value, str) and not value.strip():
        return None
    return value  # type: ignore[no-any-return]  # calamine's cells are of the types of CellValue


def _text_sheet(data: bytes, name: str) -> Sheet:
    text = _decode(data)
    separator = _separator(text)
    repeated: dict[str, str] = {}  # one object per distinct text keeps a long file small
    rows: list[list[CellValue]] = []
    try:
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator, skipinitialspace=True):
            rows.append([repeated.setdefault(cell, cell) if cell.strip() else None for cell in row])
    except csv.Error as damage:
        raise FileUnreadable(f"{name} cannot be split into cells ({damage}): save it again as .csv or .xlsx.") from damage
    return Sheet("", 1, rows)


def _decode(data: bytes) -> str:
    for mark, encoding in ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if data.startswith(mark):
            return data.decode(encoding, errors="replace")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        # What is no UTF-8 from a spreadsheet program is nearly always its western code page.
        return data.decode("cp1252", errors="replace")


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
