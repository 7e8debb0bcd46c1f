"""Lay out a sheet: tables one below the other, side by side, or turned on their side; blocks and wide tables made plain.

Each layout is turned into plain tables of one reading a row, so that every later step sees only those. What is
filled in is what the class's own way of writing says; it is told in the receipt, and where it is not plain, blank stays blank.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from ingest.doubts.recipes import Recipe
from ingest.files.containers import CellValue, Sheet
from ingest.folding import fold
from ingest.tables.blocks import fill_down, read_headings, share_page_headings, titled_date
from ingest.tables.bystanders import parted
from ingest.tables.columns import map_columns
from ingest.tables.headers import understand_header
from ingest.tables.joined import join_columns
from ingest.tables.labels import Labels
from ingest.tables.margins import name_contents, name_margins
from ingest.tables.table_rows import ANCHORS, is_zero_row
from ingest.tables.tables import CERTAIN, SheetLayout, Table, is_header, locate
from ingest.tables.wide import readers_asked, widened

LARGEST_TURNED = 400  # a table turned on its side is a sheet of paper, not a long file


def lay_out(sheet: Sheet, labels: Labels, header_row: int | None = None) -> SheetLayout:
    """Find all tables of a sheet, whatever way they stand."""
    of_header = labels.of_header
    if header_row is None and _stands_sideways(sheet):
        turned, titles = _turned(sheet)
        layout = locate(turned, of_header)
        for table in layout.tables:
            table.is_transposed, table.page_titles = True, titles
        return replace(layout, sheet=sheet)
    beside = _side_by_side(sheet, labels)
    if len(beside) == 1 and header_row is None:
        beside = parted(sheet, labels)
    layout = _joined(sheet, [locate(part, of_header, header_row) for part in beside])
    share_page_headings(layout.tables, labels)
    for table in layout.tables:
        name_margins(table, labels)
        name_contents(table, labels)
    return layout


def plain_tables(table: Table, other_rows: dict[int, str], labels: Labels, recipe: Recipe) -> tuple[list[Table], list[str]]:
    """The table as tables of one reading a row, and notes on what was filled in; `other_rows` learns which rows are headings."""
    notes = read_headings(table, other_rows, labels)
    notes.extend(join_columns(table))
    notes.extend(titled_date(table, recipe))
    tables = widened(table, labels)
    if len(tables) == 1 and map_columns(table, recipe).place("reading") is None:
        table.questions.extend(readers_asked(table, labels))
    for plain in tables:
        notes.extend(fill_down(plain, recipe))
    return tables, list(dict.fromkeys(notes))


def _side_by_side(sheet: Sheet, labels: Labels) -> list[Sheet]:
    """The sheet once for each table that stands beside another with the same headers; cells of the others blanked, places kept."""
    for at, cells in enumerate(sheet.rows[:LARGEST_TURNED], start=1):
        filled = {place: cell for place, cell in enumerate(cells, start=1) if cell is not None}
        if not is_header(filled, labels.of_header):
            continue
        texts = {place: fold(str(cell)) for place, cell in filled.items() if not labels.of_header(str(cell))}
        counts = Counter(text for text in texts.values() if understand_header(text).best in ANCHORS)
        repeated = [text for text, count in counts.items() if count > 1]
        if len(repeated) < 2 or not _repeats_readings(filled, repeated, labels):
            continue
        starts = [place for place, text in texts.items() if text == repeated[0]]
        last = max(len(row) for row in sheet.rows)
        shared = set(range(1, starts[0]))
        spans = [set(range(start, end)) for start, end in zip(starts, [*starts[1:], last + 1], strict=True)]
        own = _own_titles(sheet, filled_from=at, spans=[shared | spans[0], *spans[1:]])
        return [_masked(sheet, shared | span, own) for span in spans]
    return [sheet]


def _own_titles(sheet: Sheet, filled_from: int, spans: Sequence[set[int]]) -> int:
    """The first row in which each table has a title of its own, else the sheet's first: what stands above it is said of all."""
    for number, cells in enumerate(sheet.rows[: filled_from - 1], start=1):
        filled = {place for place, cell in enumerate(cells, start=1) if cell is not None}
        if all(filled & span for span in spans):
            return number
    return 1


def _repeats_readings(filled: Mapping[int, CellValue], repeated: Sequence[str], labels: Labels) -> bool:
    """True where the columns of readings are there twice too; a list or small table beside the readings repeats other names alone."""
    if any(understand_header(text).best == "reading" for text in repeated):
        return True
    wide = [fold(str(cell)) for cell in filled.values() if labels.of_header(str(cell))]
    return len(set(wide)) < len(wide)


def _masked(sheet: Sheet, places: set[int], first: int) -> Sheet:
    """The sheet with nothing but some columns from a row on; above it everything."""
    rows: list[list[CellValue]] = [
        row if number < first else [cell if place in places else None for place, cell in enumerate(row, start=1)]
        for number, row in enumerate(sheet.rows, start=1)
    ]
    return replace(sheet, rows=rows)


def _joined(sheet: Sheet, parts: list[SheetLayout]) -> SheetLayout:
    data = {row for part in parts for table in part.tables for row in table.data_rows}
    other: dict[int, str] = {}
    for part in parts:
        for row, code in part.other_rows.items():
            if row not in data and other.get(row, "blank_row") == "blank_row":
                other[row] = code
    for row, cells in enumerate(sheet.rows, start=1):  # filled by nothing but what stands beside the tables
        if row not in data and other.get(row, "blank_row") == "blank_row" and any(cell is not None for cell in cells):
            other[row] = "blank_row" if is_zero_row(dict(enumerate(cells))) else "note_row"
    return SheetLayout(sheet, [table for part in parts for table in part.tables], other)


def _stands_sideways(sheet: Sheet) -> bool:
    """True where the first column, not a row, holds the names of the columns: each record is a column."""
    if len(sheet.rows) > LARGEST_TURNED:
        return False
    firsts = [row[0] for row in sheet.rows if row and isinstance(row[0], str) and sum(cell is not None for cell in row) > 1]
    understood = [understand_header(text) for text in firsts]
    named = {header.best for header in understood if header.candidates and header.candidates[0][1] >= CERTAIN} & ANCHORS
    return len(named) >= 4 and "reading" in named and len(firsts) <= 3 * len(named)


def _turned(sheet: Sheet) -> tuple[Sheet, list[str]]:
    """The sheet with rows for columns, and the titles: rows that hold one cell."""
    titles = [str(cells[0]) for row in sheet.rows if len(cells := [cell for cell in row if cell is not None]) == 1]
    kept = [row if sum(cell is not None for cell in row) > 1 else [] for row in sheet.rows]
    width = max((len(row) for row in kept), default=0)
    comments = {(column, row): said for (row, column), said in sheet.comments.items()}
    turned = [[row[place] if place < len(row) else None for row in kept] for place in range(width)]
    return replace(sheet, rows=turned, comments=comments), titles
