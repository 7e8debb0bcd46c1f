"""Delimited text: bytes to text, text to cells, whatever programs and hands have done to encodings, quotes and separators."""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import islice

from ingest.errors import FileUnreadable
from ingest.files.aligned import by_spaces, name_row_numbers
from ingest.files.limited import CELL_CHARACTERS

Cells = list[list[str | None]]
SEPARATORS = "\t;,|"
WIDE_SHARE = 0.6  # of every other byte: letters in UTF-16 have a zero there
_RULE = re.compile(r"[-=:+_ ]*[-=_]{2,}[-=:+_ ]*")
# A spreadsheet's mark of text, before what would run as a formula; two apostrophes alone are a ditto mark.
_MARKED_AS_TEXT = re.compile(r"'(?=[=+\-@\t\r]|'.)", re.DOTALL)
_BETWEEN_OTHERS = re.compile(r"[^\t;|]+")
_WITH_DECIMAL = re.compile(r"[^,.]*\d,\d[^,.]*")
_NOT_ASCII = re.compile(r"[^\x00-\x7f]+")


def _byte_of_page(byte: int) -> str:
    """A byte in the western code page; its five holes stand for themselves, as programs read them."""
    return bytes([byte]).decode("cp1252", errors="ignore") or chr(byte)


_PAGE = {_byte_of_page(byte): byte for byte in range(0x80, 0x100)}


def _take_from_page(error: UnicodeError) -> tuple[str, int]:
    # What is no UTF-8 from a spreadsheet program is nearly always its western code page; files glued together hold both.
    if not isinstance(error, UnicodeDecodeError):
        raise error
    return "".join(map(_byte_of_page, error.object[error.start : error.end])), error.end


codecs.register_error("tautleaf.page", _take_from_page)


def decode(data: bytes) -> str:
    """The text of a file: UTF-16 by its mark or zeros, else UTF-8 with the western code page where it is none; no zeros."""
    if wide := wide_encoding(data):
        return data.decode(wide, errors="replace").lstrip("\ufeff")
    return data.removeprefix(codecs.BOM_UTF8).replace(b"\x00", b"").decode("utf-8", errors="tautleaf.page")


def wide_encoding(data: bytes) -> str | None:
    """UTF-16 by its mark, or, without one, by the zero in every other byte of plain letters."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    head = data[:2000]
    odd, even = head[1::2].count(0), head[::2].count(0)
    if len(head) >= 8 and max(odd, even) > WIDE_SHARE * len(head) / 2 and min(odd, even) < 0.1 * len(head) / 2:
        return "utf-16-le" if odd > even else "utf-16-be"
    return None


def mended(text: str) -> str:
    """A text whose letters were decoded by the wrong page and saved so ("CaÃ±ada"), as it was before; any other stays."""
    return text if text.isascii() else _NOT_ASCII.sub(_mended, text)


def _mended(run: re.Match[str]) -> str:
    try:
        return bytes(_PAGE[character] for character in run[0]).decode("utf-8")
    except (KeyError, UnicodeDecodeError):
        return run[0]


def cells_of(data: bytes, name: str) -> Cells:
    """The rows of a text file as cells; a blank one is None.

    Raises:
        FileUnreadable: a cell is longer than any can be, or the text cannot be split.
    """
    csv.field_size_limit(CELL_CHARACTERS)
    try:
        return split(decode(data))
    except csv.Error as damage:
        raise FileUnreadable(
            f"Look for a cell without end, or save it again as .xlsx: {name} cannot be split into cells ({damage})."
        ) from damage


def split(text: str) -> Cells:
    """The rows of cells of a text; blank cells are None.

    Raises:
        csv.Error: it cannot be split.
    """
    separator = _separator(text)
    rows = list(_rows(text, separator))
    if _is_quoted_whole(rows):  # each line was quoted once more: its one cell is the line
        text = "\n".join(row[0] or "" if row else "" for row in rows)
        separator = _separator(text)
        rows = list(_rows(text, separator))
    if separator == "," and not any(len(row) > 2 for row in rows):
        rows = by_spaces(text) or rows
    name_row_numbers(rows)
    return [_ruled(row) for row in rows] if separator == "|" else rows


def split_again(rows: Sequence[Sequence[object]]) -> Cells | None:
    """The cells of a sheet into which whole lines were pasted, each line in its first cell; None where it is no such sheet."""
    if any(cell is not None for row in rows for cell in row[1:]):
        return None
    lines = [row[0] if row else None for row in rows]
    texts = [line for line in lines if isinstance(line, str)]
    if (
        any("\n" in text for text in texts)
        or len(texts) < sum(line is not None for line in lines)
        or not _is_quoted_whole([[t] for t in texts])
    ):
        return None
    return split("\n".join(str(line or "") for line in lines))


def _separator(text: str) -> str:
    """The separator that most often splits lines into the same number of cells; two of them, where none makes as many lines wider."""
    lines = [line for line in text[:200_000].splitlines()[:200] if line.strip()]
    candidates = [candidate for candidate in SEPARATORS if candidate != "," or not _is_decimal_mark(lines)]
    cells = {candidate: [len(row) for row in csv.reader(lines, delimiter=candidate)] for candidate in candidates}
    wide = {candidate: [count for count in counts if count > 2] for candidate, counts in cells.items()}
    best = max(wide, key=lambda candidate: max(Counter(wide[candidate]).values(), default=0))
    narrow = max(cells, key=lambda candidate: cells[candidate].count(2))
    if cells[narrow].count(2) > len(wide[best]):  # a title with commas in it is wider than a table of two columns, but one line
        return narrow
    return best if wide[best] else ","


def _is_decimal_mark(lines: list[str]) -> bool:
    """True where another separator splits most lines, and in most of those with commas each is the one of a number."""
    split = [cells for line in lines if len(cells := _BETWEEN_OTHERS.findall(line)) > 1]
    numbers = [all(_WITH_DECIMAL.fullmatch(cell) for cell in cells if "," in cell) for cells in split if any("," in cell for cell in cells)]
    return 2 * len(split) >= len(lines) and 2 * sum(numbers) > len(numbers)


def _rows(text: str, separator: str) -> Iterator[list[str | None]]:
    lines = list(io.StringIO(text, newline=""))
    repeated: dict[str, str] = {}  # one object per distinct text keeps a long file small
    counts = [line.count(separator) for line in lines] if '"' in text else []
    complete = [count for line, count in zip(lines, counts, strict=False) if line.strip() and line.count('"') % 2 == 0]
    whole = max(set(complete), key=complete.count, default=0)
    at = 0
    while at < len(lines):
        reader = csv.reader(islice(lines, at, None), delimiter=separator, skipinitialspace=True)
        start, taken = at, 0
        try:
            for row in reader:
                if reader.line_num - taken > 1 and _is_swallowed(counts[start + taken : start + reader.line_num], whole):
                    break
                taken = reader.line_num
                yield [
                    repeated.setdefault(cell, cell[1:] if _MARKED_AS_TEXT.match(cell) else cell) if cell.strip() else None for cell in row
                ]
            else:
                return
        except csv.Error:
            if start + taken >= len(lines) or '"' not in lines[start + taken]:
                raise
        # A quote that opens a cell and never closes is a quote and no more: that line is taken by itself.
        at = start + taken + 1
        if len(lines[at - 1]) > CELL_CHARACTERS:
            raise csv.Error(f"a quotation mark in line {at} is not closed")
        yield [cell if cell.strip() else None for cell in lines[at - 1].rstrip("\r\n").split(separator)]


def _is_swallowed(counts: list[int], whole: int) -> bool:
    """True where the lines that one row took hold separators enough for two rows, and one of the later lines is a row by itself."""
    return whole >= 2 and sum(counts) >= 2 * whole and max(counts[1:]) >= whole


def _is_quoted_whole(rows: list[list[str | None]]) -> bool:
    filled = [row[0] for row in rows if row and row[0]]
    return len(filled) > 2 and all(len(row) <= 1 for row in rows) and sum(_separators_in(cell) >= 2 for cell in filled) > len(filled) / 2


def _separators_in(cell: str) -> int:
    return max(cell.count(separator) for separator in SEPARATORS)


def _ruled(row: list[str | None]) -> list[str | None]:
    """Cells between upright strokes, without the spaces that line them up; a rule is a blank row."""
    is_rule = any(row) and all(cell is None or _RULE.fullmatch(cell) for cell in row)
    return [None if is_rule or cell is None else cell.strip() for cell in row]
