"""A file as grids: its sheets and their cells, whatever container they came in."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from ingest.files.limited import in_limits

CellValue = str | float | int | bool | date | datetime | time | timedelta | None


@dataclass
class Sheet:
    """One sheet: its name, its place in the file (from 1) and its cells from A1 on; a blank cell is None."""

    name: str
    number: int
    rows: list[list[CellValue]]
    is_hidden: bool = False
    comments: dict[tuple[int, int], str] = field(default_factory=dict)  # by row and column from 1
    shifted: set[int] = field(default_factory=set)  # rows of text with more cells than their header


@dataclass
class Container:
    """A file as grids, and what was noticed while opening it."""

    kind: str
    sheets: list[Sheet]
    notes: list[str] = field(default_factory=list)


def letter(column: int) -> str:
    """The letters by which a spreadsheet names a column, counted from 1."""
    letters = ""
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def read_container(data: bytes, name: str) -> Container:
    """Open a file of any kind that is read, in a process with limits.

    Raises:
        FileUnreadable: empty, damaged, locked, or of a kind that is not read; the message says what to do.
        FileBeyondLimits: it takes more memory or time than a class's file can need.
    """
    kind, sheets, notes = in_limits("ingest.files.opening", data, name)
    return Container(kind, [Sheet(*sheet) for sheet in sheets], notes)
