"""Text without a separator: columns lined up by spaces, as people type them, or every text quoted; and rows with their number first."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Sequence, Sized

Cells = list[list[str | None]]
Span = tuple[int, int]
FEWEST_COLUMNS = 4
FEWEST_ROWS = 3
SHARE = 0.6  # of the lines: the others are titles and notes
_APART = re.compile(r"\S+(?: \S+)*")
_RULE = re.compile(r"[-=_+|: ]+")


def by_spaces(text: str) -> Cells | None:
    """The rows of a text whose columns are parted by spaces and by nothing else; None where it is no such text."""
    lines = text.splitlines()
    return _quoted(lines) or _lined_up(lines)


def _quoted(lines: list[str]) -> Cells | None:
    """Every text in quotes and a space between the cells, as statistics programs write tables."""
    if sum(line.count('"') >= 2 for line in lines) < SHARE * len(lines):
        return None
    rows: Cells = [[cell or None for cell in row] for row in csv.reader(lines, delimiter=" ", skipinitialspace=True)]
    count, often = _usual_width(rows)
    return rows if count >= FEWEST_COLUMNS and often >= FEWEST_ROWS else None


def _lined_up(lines: list[str]) -> Cells | None:
    """Two spaces or more between the cells; each cell belongs to the column below whose name or cells it stands."""
    spans = [[] if _RULE.fullmatch(line) else [found.span() for found in _APART.finditer(line)] for line in lines]
    widest = max(map(len, spans), default=0)
    header = next((at for at, row in enumerate(spans) if len(row) == widest), 0)
    if widest < FEWEST_COLUMNS or sum(len(row) > 2 for row in spans[header + 1 :]) < FEWEST_ROWS:
        return None
    columns = list(spans[header])
    rows: Cells = []
    for at, (line, row) in enumerate(zip(lines, spans, strict=True)):
        cells: list[str | None] = [line[start:end] for start, end in row]
        if at > header and len(row) > 1:
            places = [_place(span, columns) for span in row]
            if None not in places and len(set(places)) == len(places):
                found = dict(zip(places, zip(cells, row, strict=True), strict=True))
                cells = [found[place][0] if place in found else None for place in range(widest)]
                columns = [_joined(span, found[place][1]) if place in found else span for place, span in enumerate(columns)]
            elif len(row) > 2:
                return None  # below which names these cells stand cannot be told
        rows.append(cells)
    return rows


def _place(span: Span, columns: Sequence[Span]) -> int | None:
    """The one column below which a cell stands."""
    places = [at for at, column in enumerate(columns) if column[0] < span[1] and span[0] < column[1]]
    return places[0] if len(places) == 1 else None


def _joined(one: Span, other: Span) -> Span:
    return min(one[0], other[0]), max(one[1], other[1])


def name_row_numbers(rows: Cells) -> None:
    """Give the header a blank first cell where every row below it begins with its own number, of which the header does not speak."""
    longest = max(map(len, rows), default=0)
    below = [at for at, row in enumerate(rows) if len(row) == longest]
    if len(below) < FEWEST_ROWS or below[0] == 0 or len(rows[below[0] - 1]) != longest - 1:
        return
    if all(rows[at][0] == str(number) for number, at in enumerate(below, start=1)) and rows[below[0] - 1][0] not in (None, "1"):
        rows[below[0] - 1].insert(0, None)


def _usual_width(rows: Sequence[Sized]) -> tuple[int, int]:
    """The number of cells that most rows have, and how many have it."""
    counts = Counter(map(len, rows))
    width = max(counts, key=lambda one: counts[one], default=0)
    return width, counts[width]
