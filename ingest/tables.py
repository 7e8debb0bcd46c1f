"""Locate the tables of a sheet: where a header stands, which rows below it are data, and what the other rows are."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from ingest.clock import parse_date, parse_time
from ingest.containers import CellValue, Sheet
from ingest.folding import fold
from ingest.headers import SUMMARY_WORDS, understand_header
from ingest.numbers import parse_reading

ANCHORS = {"reading", "date", "site", "taxon", "plant", "leaf", "section", "sampling_window", "time_read", "time_cut", "observer"}
CERTAIN = 60
PLACING = {"reading", "date", "site", "taxon", "plant"}
STRONG_SUMMARY_WORDS = frozenset({"mean", "average", "avg", "total", "sum", "sd", "stdev", "median"})
HEADER_SEARCH_CELLS = 60  # no class table is wider; long rows of numbers are not searched for words
NOTE_WORDS = {
    "note",
    "notes",
    "legend",
    "key",
    "source",
    "remark",
    "nb",
    "comment",
    "comments",
    "values",
    "units",
    "data",
    "measured",
    "footnote",
}


@dataclass
class Table:
    """One table: where it stands (rows and columns counted from 1 as in the file) and its header texts by column."""

    sheet: Sheet
    header_row: int
    headers: dict[int, str]
    titles: list[str]
    data_rows: list[int] = field(default_factory=list)
    meanings: dict[int, str | None] = field(init=False)

    def __post_init__(self) -> None:
        self.meanings = {place: understand_header(text).best for place, text in self.headers.items()}

    def cell(self, row: int, column: int) -> CellValue:
        """The cell at a row and column of the file, None beyond the end of the row."""
        cells = self.sheet.rows[row - 1]
        return cells[column - 1] if column <= len(cells) else None


@dataclass
class SheetLayout:
    """All rows of a sheet: its tables, and for every row that is no data the structural code that says why."""

    sheet: Sheet
    tables: list[Table]
    other_rows: dict[int, str]


def locate(sheet: Sheet, header_row: int | None = None) -> SheetLayout:
    """Find the tables of a sheet and account for each of its rows.

    Args:
        sheet: the cells.
        header_row: the header's row where a recipe names it; else every row that reads like a header starts a table.
    """
    layout = SheetLayout(sheet, [], {})
    above: list[str] = []
    table: Table | None = None
    for number, cells in enumerate(sheet.rows, start=1):
        filled = {place: cell for place, cell in enumerate(cells, start=1) if cell is not None}
        if not filled:
            layout.other_rows[number] = "blank_row"
        elif number == header_row or (header_row is None and _is_header(filled)):
            layout.other_rows[number] = "header_row"
            headers = {place: _text(cell) for place, cell in filled.items()}
            if table is None or table.headers != headers:  # a header repeated on a later page belongs to the same table
                table = Table(sheet, number, headers, above)
                layout.tables.append(table)
            above = []
        elif table is None or (header_row is not None and number < header_row):
            layout.other_rows[number] = "title_row"
            above.extend(_text(cell) for cell in filled.values())
        else:
            code = _other_row(filled, table)
            if code is None:
                table.data_rows.append(number)
            else:
                layout.other_rows[number] = code
                above.extend(_text(cell) for cell in filled.values())
    _drop_trailing_blanks(layout)
    return layout


def _is_header(filled: Mapping[int, CellValue]) -> bool:
    if not 3 <= len(filled) <= HEADER_SEARCH_CELLS:
        return False
    texts = [cell for cell in filled.values() if isinstance(cell, str)]
    # Most rows of a long file end here: a header holds no number, date or time.
    if len(texts) < 0.8 * len(filled) or any(_is_digits(text) for text in texts):
        return False
    if any(_is_value(cell) for cell in filled.values()):
        return False
    understood = [header for header in map(understand_header, texts) if header.candidates and header.candidates[0][1] >= CERTAIN]
    named = {header.best for header in understood} & ANCHORS
    # Words of a header may stand in a remark; a row is a header where most of its cells are such words.
    return len(understood) >= 0.5 * len(filled) and (len(named) >= 3 or (len(named) >= 2 and "reading" in named))


def _is_digits(text: str) -> bool:
    return not text.isalpha() and any(map(str.isdigit, text)) and not any(map(str.isalpha, text))


def _is_value(cell: CellValue) -> bool:
    if not isinstance(cell, str):
        return cell is not None
    written = parse_reading(cell, None)
    return (written is not None and written.value is not None) or parse_date(cell) is not None or parse_time(cell) is not None


def _other_row(filled: Mapping[int, CellValue], table: Table) -> str | None:
    """The structural code of a row below a header, or None where it is data: whatever may be data stays data."""
    # Only the words that label a row are looked at: a remark may well speak of an average.
    labels = [cell for place, cell in filled.items() if isinstance(cell, str) and table.meanings.get(place) != "remark"][:2]
    is_placed = len({table.meanings.get(place) for place in filled} & PLACING) >= 3
    if any(_is_summary_label(cell, STRONG_SUMMARY_WORDS if is_placed else SUMMARY_WORDS) for cell in labels):
        return "summary_row"
    if is_placed:
        return None
    inside = {place: cell for place, cell in filled.items() if place in table.headers}
    has_number = any(not isinstance(cell, str) or re.search(r"\d", cell) for cell in inside.values())
    first = next(iter(filled.values()))
    if len(inside) <= 1 and isinstance(first, str) and (len(first.split()) > 3 or not has_number or _opens_a_note(first)):
        return "note_row"
    if len(filled) <= 2 and not has_number and len(table.headers) > 4:
        return "note_row"
    return None


@lru_cache(maxsize=65_536)
def _is_summary_label(cell: str, vocabulary: frozenset[str]) -> bool:
    words = fold(cell).split()
    return bool(words) and len(words) <= 5 and words[0] in vocabulary


def _opens_a_note(text: str) -> bool:
    return text.lstrip().startswith(("*", "†", "(")) or (fold(text).split() or [""])[0] in NOTE_WORDS


def _text(cell: CellValue) -> str:
    return cell.strip() if isinstance(cell, str) else str(cell)


def _drop_trailing_blanks(layout: SheetLayout) -> None:
    """Rows after the last filled one are no rows of the file: a sheet's declared size is not its content."""
    for number in range(len(layout.sheet.rows), 0, -1):
        if layout.other_rows.get(number) != "blank_row":
            break
        del layout.other_rows[number]
