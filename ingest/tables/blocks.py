"""What is written once for several rows: headings between the rows, a day in the titles, cells above blanks and ditto marks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from ingest.cells.dates import parse_date
from ingest.doubts.recipes import Recipe
from ingest.files.containers import CellValue
from ingest.folding import fold
from ingest.tables.columns import map_columns
from ingest.tables.labels import DAY_IN_TEXT, Labels
from ingest.tables.table_rows import states
from ingest.tables.tables import Table

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
        filled = {place: cell for place, cell in enumerate(table.sheet.rows[row - 1], start=1) if cell is not None}
        cells = list(dict.fromkeys(filled.values()))
        if (len(cells) != 1 and not states(filled)) or not table.header_row - 3 <= row <= table.data_rows[-1]:
            continue
        found = {column: value for cell in cells for column, value in _heading(cell, labels).items()}
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
    days, where = days_in((*table.titles, table.sheet.name)), "above the table"
    if not days:
        days, where = days_in(table.page_headings), "at the top of the sheet"
    if len(days) != 1:
        return []
    table.constants["date"] = next(iter(days))
    return [f"date: {table.constants['date']}, named {where}"]


def share_page_headings(tables: Sequence[Table], labels: Labels) -> None:
    """What the top of a sheet says is said of all its tables, where each has a heading of its own below it; not a day beside others."""
    if not tables or not all(table.titles and labels.of_heading(table.titles[0]) for table in tables):
        return
    first, others = tables[0], [table for table in tables if table.titles != tables[0].titles]
    is_day_theirs = bool(days_in(title for table in others for title in table.titles) or days_in(first.titles[:1]))
    for table in others:
        table.page_headings = [title for title in first.titles[1:] if not (is_day_theirs and days_in([title]))]


def days_in(texts: Iterable[str]) -> set[str]:
    """The days that texts name, as written."""
    named = {match[0] for text in texts for match in DAY_IN_TEXT.finditer(text)}
    return {text for text in named if parse_date(text) is not None}


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
