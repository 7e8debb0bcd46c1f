"""Delimited text: its encoding, its separator and its cells."""

from __future__ import annotations

import csv
import io

from ingest.errors import FileUnreadable
from ingest.limited import CELL_CHARACTERS

Cells = list[list[str | None]]


def cells_of(data: bytes, name: str) -> Cells:
    """The rows of a text file as cells; a blank one is None.

    Raises:
        FileUnreadable: a cell is longer than any can be, which is nearly always a quotation mark that is not closed.
    """
    csv.field_size_limit(CELL_CHARACTERS)
    text = decode(data)
    repeated: dict[str, str] = {}  # one object per distinct text keeps a long file small
    rows: Cells = []
    try:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=_separator(text), skipinitialspace=True)
        for row in reader:
            rows.append([repeated.setdefault(cell, cell) if cell and not cell.isspace() else None for cell in row])
    except csv.Error as damage:
        raise FileUnreadable(
            f"{name} cannot be split into cells behind row {len(rows)} ({damage}): look there for a quotation mark that is not closed, "
            "or save it again as .xlsx."
        ) from damage
    return rows


def decode(data: bytes) -> str:
    """The text of a file, in whichever encoding a spreadsheet program wrote it."""
    if data.startswith(b"\xef\xbb\xbf"):
        return data.decode("utf-8-sig", errors="replace")
    if wide := wide_encoding(data):
        return data.decode(wide, errors="replace")
    data = data.replace(b"\x00", b"")  # a stray one in a cell; a text holds none
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


def wide_encoding(data: bytes) -> str | None:
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
