"""Lay out a sheet: tables one below the other, side by side, or turned on their side; blocks and wide tables made plain.

Each layout is turned into plain tables of one reading a row, so that every later step sees only those. What is
filled in is what the class's own way of writing says; it is told in the receipt, and where it is not plain, blank stays blank.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise

from ingest.columns import map_columns
from ingest.containers import CellValue, Sheet
from ingest.dates import MONTH_WORDS, parse_date
from ingest.folding import fold
from ingest.headers import is_summary_header, understand_header
from ingest.labels import Labels
from ingest.numbers import parse_reading
from ingest.problems import Problem, problem
from ingest.recipes import Recipe
from ingest.table_rows import ANCHORS
from ingest.tables import CERTAIN, SheetLayout, Table, is_header, locate

_MONTH = rf"(?:{'|'.join(sorted(MONTH_WORDS, key=len, reverse=True))})\b\.?"
_ORDINAL = r"\d{1,2}(?:st|nd|rd|th)?"
_DAY_IN_TEXT = re.compile(
    rf"\b\d{{4}}-\d\d-\d\d\b|\b\d{{1,2}}([/.\-])\d{{1,2}}\1\d{{2,4}}\b"
    rf"|\b{_ORDINAL} {_MONTH}(?: \d{{4}}\b)?|\b{_MONTH} {_ORDINAL}\b(?:,? \d{{4}}\b)?",
    re.IGNORECASE,
)
UNIT_ALONE = 40  # the score of a header that names nothing but a unit of pressure
LARGEST_TURNED = 400  # a table turned on its side is a sheet of paper, not a long file
DITTO = {'"', "''", "″", "”", "“", "do", "ditto", "same", "idem", "〃", '-"-', '""'}
FILLED = ("date", "site", "taxon", "plant", "section", "sampling_window", "chamber", "observer", "unit")


def lay_out(sheet: Sheet, labels: Labels, header_row: int | None = None) -> SheetLayout:
    """Find all tables of a sheet, whatever way they stand."""
    of_header = labels.of_header
    if header_row is None and _stands_sideways(sheet):
        turned, titles = _turned(sheet)
        layout = locate(turned, of_header)
        for table in layout.tables:
            table.is_transposed, table.page_titles = True, titles
        return replace(layout, sheet=sheet)
    parts = [locate(part, of_header, header_row) for part in _side_by_side(sheet, labels)]
    return parts[0] if len(parts) == 1 else _joined(sheet, parts)


def plain_tables(table: Table, other_rows: dict[int, str], labels: Labels, recipe: Recipe) -> tuple[list[Table], list[str]]:
    """The table as tables of one reading a row, and notes on what was filled in; `other_rows` learns which rows are headings."""
    notes = _headings(table, other_rows, labels)
    notes.extend(_titled_date(table, recipe))
    tables = _widened(table, labels)
    for plain in tables:
        notes.extend(_filled_down(plain, recipe))
    return tables, list(dict.fromkeys(notes))


def _side_by_side(sheet: Sheet, labels: Labels) -> list[Sheet]:
    """The sheet once for each table that stands beside another with the same headers; cells of the others blanked, places kept."""
    for cells in sheet.rows[:LARGEST_TURNED]:
        filled = {place: cell for place, cell in enumerate(cells, start=1) if cell is not None}
        if not is_header(filled, labels.of_header):
            continue
        texts = {place: fold(str(cell)) for place, cell in filled.items() if not labels.of_header(str(cell))}
        counts = Counter(text for text in texts.values() if understand_header(text).best in ANCHORS)
        repeated = [text for text, count in counts.items() if count > 1]
        if len(repeated) < 2:
            continue
        starts = [place for place, text in texts.items() if text == repeated[0]]
        last = max(len(row) for row in sheet.rows)
        shared = set(range(1, starts[0]))
        spans = [set(range(start, end)) for start, end in zip(starts, [*starts[1:], last + 1], strict=True)]
        return [_masked(sheet, shared | span) for span in spans]
    return [sheet]


def _masked(sheet: Sheet, places: set[int]) -> Sheet:
    rows: list[list[CellValue]] = [[cell if place in places else None for place, cell in enumerate(row, start=1)] for row in sheet.rows]
    return replace(sheet, rows=rows)


def _joined(sheet: Sheet, parts: list[SheetLayout]) -> SheetLayout:
    data = {row for part in parts for table in part.tables for row in table.data_rows}
    other: dict[int, str] = {}
    for part in parts:
        for row, code in part.other_rows.items():
            if row not in data and other.get(row, "blank_row") == "blank_row":
                other[row] = code
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
    return replace(sheet, rows=[[row[place] if place < len(row) else None for row in kept] for place in range(width)]), titles


def _headings(table: Table, other_rows: dict[int, str], labels: Labels) -> list[str]:
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
                if own is None or _is_ditto(own):  # what a row says of itself stands above any heading
                    table.given.setdefault(column, {})[row] = value
            continue
        cells = [cell for cell in table.sheet.rows[row - 1] if cell is not None]
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


def _titled_date(table: Table, recipe: Recipe) -> list[str]:
    """The one day that the titles name, where no column does."""
    if map_columns(table, recipe).place("date") or table.given.get("date"):
        return []
    named = {match[0] for title in (*table.titles, table.sheet.name) for match in _DAY_IN_TEXT.finditer(title)}
    days = {text for text in named if parse_date(text) is not None}
    if len(days) != 1:
        return []
    table.constants["date"] = next(iter(days))
    return [f"date: {table.constants['date']}, named above the table"]


def _widened(table: Table, labels: Labels) -> list[Table]:
    """A table for each column of readings where the headers stand for leaves, sites, plants or windows."""
    wide: dict[int, Mapping[str, str]] = {}
    for place, text in table.headers.items():
        found = labels.of_header(text)
        if found and not is_summary_header(text) and _holds_readings(table, place):
            wide[place] = found
    kinds = {tuple(sorted(found)) for found in wide.values()}
    if not wide or len(kinds) != 1 or len({tuple(found.items()) for found in wide.values()}) != len(wide):
        return [table]
    if len(wide) == 1 and understand_header(table.headers[next(iter(wide))]).best != "reading":
        return [table]
    values = {kind: {found[kind] for found in wide.values()} for kind in kinds.pop()}
    beside = {place: labels.beside(text)[0] for place, text in table.headers.items() if place not in wide}
    owned = {place: found for place, found in beside.items() if any(found.get(kind) in named for kind, named in values.items())}
    base = {place: text for place, text in table.headers.items() if place not in wide and place not in owned}
    table.questions.extend(_unknown_labels(table, base, next(iter(values)), labels))
    tables = []
    for place, found in wide.items():
        own = {other: table.headers[other] for other, label in owned.items() if label.items() <= found.items()}
        given = {column: dict(of_rows) for column, of_rows in table.given.items()}
        headers = dict(sorted((base | own | {place: table.headers[place]}).items()))
        tables.append(replace(table, headers=headers, constants={**table.constants, **found}, given=given, reading_place=place))
    return tables


def _unknown_labels(table: Table, headers: Mapping[int, str], kind: str, labels: Labels) -> list[Problem]:
    """A question for each column that holds readings beside those of a wide table, and whose header names nothing known."""
    asked = []
    for place, text in headers.items():
        candidates = understand_header(text).candidates
        is_unknown = not candidates or candidates[0] == ("reading", UNIT_ALONE)
        if is_unknown and not is_summary_header(text) and _holds_readings(table, place):
            where = {"sheet": table.sheet.name, "row": table.header_row, "column": kind, "value": repr(text)}
            if answers := labels.answers(kind, text):
                asked.append(problem("label_unknown", place=where, answers=answers))
    return asked


def _holds_readings(table: Table, place: int) -> bool:
    """True where most filled cells of a column are numbers of a reading's kind, not dates, words or whole small numbers of a count."""
    cells = [cell for row in table.data_rows if (cell := table.cell(row, place)) is not None]
    parsed = [parse_reading(cell, None) for cell in cells]
    values = [found for found in parsed if found is not None and (found.value is not None or found.is_missing or found.is_not_reached)]
    return bool(cells) and len(values) >= 0.6 * len(cells) and any(found.value is not None for found in values)


def _filled_down(table: Table, recipe: Recipe) -> list[str]:
    """Fill what a class typed once for a block: ditto marks always, blanks where the column never repeats itself."""
    mapped = map_columns(table, recipe)
    notes = []
    for column in FILLED:
        place = mapped.place(column)
        if place is None or len(table.data_rows) < 2:
            continue
        cells = table.column(place)
        if not any(cell is None or _is_ditto(cell) for cell in set(cells)):
            continue
        is_once = _is_typed_once(cells)
        filled, last = 0, None
        given = table.given.setdefault(column, {})
        for row, cell in zip(table.data_rows, cells, strict=True):
            is_ditto = _is_ditto(cell)
            if cell is not None and not is_ditto:
                last = cell
            elif last is not None and (is_ditto or is_once) and row not in given:
                given[row] = last
                filled += 1
        if filled:
            notes.append(f"{column}: written once for a block and taken for the rows below it too ({filled} rows)")
    return notes


def _is_ditto(cell: CellValue) -> bool:
    return isinstance(cell, str) and (cell.strip() in DITTO or fold(cell) in DITTO)


def _is_typed_once(cells: list[CellValue]) -> bool:
    """True where values are typed once for a block: blanks are many, and no value is typed twice in a row."""
    blanks = sum(cell is None for cell in cells)
    if cells[0] is None or blanks < 0.4 * len(cells):
        return False
    return all(cell is None or cell != before for before, cell in pairwise(cells))
