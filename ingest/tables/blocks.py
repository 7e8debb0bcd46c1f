"""What is written once for several rows: headings between the rows, a day in the titles, cells above blanks and ditto marks."""

from __future__ import annotations

import re
from itertools import pairwise

from ingest.cells.dates import MONTH_WORDS, parse_date
from ingest.doubts.recipes import Recipe
from ingest.files.containers import CellValue
from ingest.folding import fold
from ingest.tables.columns import map_columns
from ingest.tables.labels import Labels
from ingest.tables.tables import Table

_MONTH = rf"(?:{'|'.join(sorted(MONTH_WORDS, key=len, reverse=True))})\b\.?"
_ORDINAL = r"\d{1,2}(?:st|nd|rd|th)?"
_DAY_IN_TEXT = re.compile(
    rf"\b\d{{4}}-\d\d-\d\d\b|\b\d{{1,2}}([/.\-])\d{{1,2}}\1\d{{2,4}}\b"
    rf"|\b{_ORDINAL} {_MONTH}(?: \d{{4}}\b)?|\b{_MONTH} {_ORDINAL}\b(?:,? \d{{4}}\b)?",
    re.IGNORECASE,
)
DITTO_SIGNS = {"v", "↓", "|", ",,", "„", "-''-", "' '", "…", "..."}  # as written: a V may be a plant's tag
DITTO = {'"', "''", "″", "”", "“", "do", "ditto", "same", "idem", "id", "same as above", "as above", "see above", "〃", '-"-', '""'}
FILLED = ("date", "site", "taxon", "plant", "section", "sampling_window", "chamber", "observer", "unit")


def read_headings(table: Table, other_rows: dict[int, str], labels: Labels) -> list[str]:
    """Rows between the readings that name a site, a plant, a window or a day for the rows below them."""
    if not table.data_rows:
        return []
    current: dict[str, CellValue] = {}
    notes = []
    rows = sorted([*table.data_rows, *(row for row, code in other_rows.items() if code in ("note_row", "title_row"))])
    data = set(table.data_rows)
    places = {meaning: place for place, meaning in table.meanings.items() if meaning}
    for row in rows:
        if row in data:
            for column, value in current.items():
                own = table.cell(row, places[column]) if column in places else None
                if own is None or is_ditto(own):  # what a row says of itself stands above any heading
                    table.given.setdefault(column, {})[row] = value
            continue
        cells = list({cell for cell in table.sheet.rows[row - 1] if cell is not None})
        if len(cells) != 1 or not table.header_row - 3 <= row <= table.data_rows[-1]:
            continue
        found = _heading(cells[0], labels)
        if found and row > table.header_row:
            current |= found
            other_rows[row] = "heading_row"
            notes.append(f"row {row} is a heading: it gives the {', '.join(found)} of the rows below it")
    return notes


def _heading(cell: CellValue, labels: Labels) -> dict[str, CellValue]:
    day = parse_date(cell)
    if day is not None:
        return {"date": cell}
    return dict(labels.of_heading(cell)) if isinstance(cell, str) else {}


def titled_date(table: Table, recipe: Recipe) -> list[str]:
    """The one day that the titles name, where no column does."""
    if map_columns(table, recipe).place("date") or table.given.get("date"):
        return []
    named = {match[0] for title in (*table.titles, table.sheet.name) for match in _DAY_IN_TEXT.finditer(title)}
    days = {text for text in named if parse_date(text) is not None}
    if len(days) != 1:
        return []
    table.constants["date"] = next(iter(days))
    return [f"date: {table.constants['date']}, named above the table"]


def fill_down(table: Table, recipe: Recipe) -> list[str]:
    """Fill what a class typed once for a block: ditto marks always, blanks where the column never repeats itself."""
    mapped = map_columns(table, recipe)
    notes = []
    for column in FILLED:
        place = mapped.place(column)
        if place is None or len(table.data_rows) < 2:
            continue
        cells = table.column(place)
        if not any(cell is None or is_ditto(cell) for cell in set(cells)):
            continue
        is_once = _is_typed_once(cells)
        filled, last = 0, None
        given = table.given.setdefault(column, {})
        for row, cell in zip(table.data_rows, cells, strict=True):
            is_repeat = is_ditto(cell)
            if cell is not None and not is_repeat:
                last = cell
            elif last is not None and (is_repeat or is_once) and row not in given:
                given[row] = last
                filled += 1
        if filled:
            notes.append(f"{column}: written once for a block and taken for the rows below it too ({filled} rows)")
    return notes


def is_ditto(cell: CellValue) -> bool:
    """True for the marks by which people repeat what stands above."""
    return isinstance(cell, str) and (cell.strip() in DITTO | DITTO_SIGNS or fold(cell) in DITTO)


def _is_typed_once(cells: list[CellValue]) -> bool:
    """True where values are typed once for a block: blanks are many, and no value is typed twice in a row."""
    blanks = sum(cell is None for cell in cells)
    if cells[0] is None or blanks < 0.4 * len(cells):
        return False
    return all(cell is None or cell != before for before, cell in pairwise(cells))
