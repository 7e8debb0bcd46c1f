"""What stands beside the readings and holds none: lists of codes, legends, small tables of means, sheets of averages or of the weather.

A bystander is never read as readings, and never makes a file be refused; the receipt says that it was left. What may be
readings after all – a table with a header of readings, a column whose name is not known – is no bystander.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ingest.files.containers import CellValue, Sheet
from ingest.folding import fold
from ingest.tables.header_lines import below_groups, is_line_of_labels, row_of
from ingest.tables.headers import OTHER_MEASUREMENTS, SUMMARY_WORDS, is_summary_header, understand_header
from ingest.tables.labels import Labels
from ingest.tables.table_rows import ANCHORS, is_value
from ingest.tables.tables import SheetLayout, Table, is_header
from ingest.tables.wide import holds_readings
from ingest.units import units_in

SEARCHED_ROWS = 400
SPARSE = 0.5  # a block beside the table that is filled in fewer of its rows belongs to it no more than a legend does
HEADING_WORDS = SUMMARY_WORDS | {
    "means",
    "averages",
    "summary",
    "summaries",
    "pivot",
    "chart",
    "charts",
    "graph",
    "graphs",
    "plot",
    "stats",
}
EXAMPLE_TITLES = {
    "example",
    "examples",
    "for example",
    "e g",
    "example row",
    "example rows",
    "sample row",
    "sample rows",
    "example of a row",
    "like this",
}
LONGEST_EXAMPLE = 3
OF_ONE_LEAF = {"plant", "leaf", "time_read", "time_cut", "observer", "endpoint"}
_OTHER_UNIT = re.compile(r"[(\[][^()\[\]]*[^\W\d_][^()\[\]]*[)\]]\s*$")
Filled = dict[int, CellValue]


@dataclass(frozen=True)
class _Extent:
    """A header of readings: its row, and the first and last column of it."""

    row: int
    start: int
    end: int


def parted(sheet: Sheet, labels: Labels) -> list[Sheet]:
    """The sheet once for each table of readings that stands beside another, without what stands beside them; places are kept."""
    extents = _extents(sheet, labels)
    if not extents:
        return [sheet]
    starts: list[int] = []
    for extent in sorted(extents, key=lambda one: one.start):
        if not starts or extent.start > max(one.end for one in extents if one.start <= starts[-1]):
            starts.append(extent.start)
    width = max(map(len, sheet.rows))
    parts = []
    for at, start in enumerate(starts):
        until = starts[at + 1] if at + 1 < len(starts) else width + 1
        own = [extent for extent in extents if start <= extent.start < until]
        first = min(extent.row for extent in own)
        end = max(_end(sheet, extent, until, labels) for extent in own)
        # A column without a header right beside the table may hold remarks; further away nothing belongs to it.
        places = range(1 if at == 0 else start, min(end + 2, until))
        above = range(1 if at == 0 else start, until)
        parts.append(_masked(sheet, places, above, first))
    return parts


def _masked(sheet: Sheet, places: range, above: range, first: int) -> Sheet:
    if len(places) >= max(map(len, sheet.rows)):
        return sheet
    rows: list[list[CellValue]] = []
    for number, row in enumerate(sheet.rows, start=1):
        kept = above if number < first else places
        rows.append([cell if place in kept else None for place, cell in enumerate(row[: kept.stop - 1], start=1)])
    return replace(sheet, rows=rows)


def _extents(sheet: Sheet, labels: Labels) -> list[_Extent]:
    found = []
    for number, cells in enumerate(sheet.rows[:SEARCHED_ROWS], start=1):
        segments = _segments(cells)
        first = 0
        while first < len(segments):
            for last in range(first, len(segments)):
                taken = {place: cell for segment in segments[first : last + 1] for place, cell in segment.items()}
                if is_header(taken, labels.of_header) and _names_readings(taken, labels):
                    found.append(_Extent(number, min(taken), max(taken)))
                    first = last
                    break
            first += 1
    return found


def _segments(cells: Sequence[CellValue]) -> list[Filled]:
    """The runs of filled cells of a row, by column."""
    segments: list[Filled] = []
    for place, cell in enumerate(cells, start=1):
        if cell is None:
            continue
        if not segments or place - 1 not in segments[-1]:
            segments.append({})
        segments[-1][place] = cell
    return segments


def _names_readings(taken: Mapping[int, CellValue], labels: Labels) -> bool:
    texts = [str(cell) for cell in taken.values()]
    return any(labels.of_header(text) or understand_header(text).best == "reading" for text in texts if not is_summary_header(text))


def _end(sheet: Sheet, extent: _Extent, until: int, labels: Labels) -> int:
    """The last column of a table: of its header, and of what stands behind a gap and still belongs to it."""
    header = _both_lines(sheet, extent, labels)
    own = {place: str(cell) for place, cell in enumerate(header, start=1) if extent.start <= place <= extent.end and cell is not None}
    end = extent.end
    for segment in _segments([cell if end < place < until else None for place, cell in enumerate(header, start=1)]):
        if not _belongs(sheet, extent, own, segment, labels):
            return end
        end = max(segment)
    return end


def _both_lines(sheet: Sheet, extent: _Extent, labels: Labels) -> list[CellValue]:
    """The header's texts, of both its lines where the first names groups of columns."""
    header, below = row_of(sheet, extent.row), row_of(sheet, extent.row + 1)
    texts = {place: str(cell) for place, cell in header.items()}
    if is_line_of_labels(below, texts, labels.of_header):
        header = dict(below_groups(texts, below))
    return [header.get(place) for place in range(1, max(header) + 1)]


def _belongs(sheet: Sheet, extent: _Extent, own: Mapping[int, str], segment: Filled, labels: Labels) -> bool:
    if any(not isinstance(cell, str) or is_value(cell) for cell in segment.values()):
        return False
    texts = [str(cell) for cell in segment.values()]
    meanings = {understand_header(text).best for text in texts} - {None}
    is_labelled = any(labels.of_header(text) for text in texts)
    if not meanings and not is_labelled:
        return False
    if any(map(is_summary_header, texts)) and not meanings & {"reading", "remark"} and not is_labelled:
        return False
    plain = {understand_header(text).best for text in texts if not labels.of_header(text)}
    known = {understand_header(text).best for text in own.values() if not labels.of_header(text)}
    if plain & known & (ANCHORS - {"reading", "observer"}):
        return False
    if meanings == {"remark"}:
        return True
    below = sheet.rows[extent.row :]
    rows = sum(any(place <= len(row) and row[place - 1] is not None for place in own) for row in below)
    beside = sum(any(place <= len(row) and row[place - 1] is not None for place in segment) for row in below)
    return beside >= SPARSE * rows


def set_aside_bystanders(layouts: list[SheetLayout], labels: Labels) -> list[str]:
    """Take tables that hold no readings out of the layouts of a file that has a table of readings; returns notes for the receipt."""
    tables = [table for layout in layouts for table in layout.tables]
    true = [table for table in tables if table.data_rows and not _why_bystander(table, labels, tables)]
    if not true:
        return []
    notes = []
    for layout in layouts:
        for table in list(layout.tables):
            why = _why_bystander(table, labels, tables)
            if not why and table.data_rows:
                continue
            layout.tables.remove(table)
            layout.other_rows |= dict.fromkeys(table.data_rows, "summary_row" if why == "means" else "note_row")
            where = f"sheet {table.sheet.number}, row {table.header_row}"  # its name may hold a person's
            notes.append(f"A table of {why or 'no rows'} ({where}) was left: it holds no readings of leaves.")
    return notes


def _why_bystander(table: Table, labels: Labels, tables: Sequence[Table]) -> str:
    """What a table holds instead of readings: an example, means, or other things; nothing where it may hold readings."""
    if table.titles and fold(table.titles[0]) in EXAMPLE_TITLES and len(table.data_rows) <= LONGEST_EXAMPLE:
        return "an example"
    meanings = {meaning for meaning in table.meanings.values() if meaning}
    texts = [text for text in table.headers.values() if not is_summary_header(text)]
    wide = [text for text in texts if labels.of_header(text)]
    is_summary = any(map(is_summary_header, table.headers.values()))
    if "reading" in {understand_header(text).best for text in texts} or wide:
        if meanings & OF_ONE_LEAF:
            return ""
        around = [*table.titles, table.sheet.name]
        is_headed = any(set(fold(text).split()) & HEADING_WORDS for text in around)
        is_crossed = bool(wide) and "date" not in meanings and any("date" in other.meanings.values() for other in tables)
        return "means" if is_headed or is_crossed else ""
    if is_summary:
        return "means"
    unknown = [place for place, text in table.headers.items() if table.meanings[place] is None and not _is_other_measurement(text)]
    has_readings = any(holds_readings(table, place) for place in unknown)
    return "" if has_readings else "other things"


def _is_other_measurement(text: str) -> bool:
    words = set(re.findall(r"[^\W\d_]+", text.casefold()))
    return bool(words & OTHER_MEASUREMENTS) or (_OTHER_UNIT.search(text) is not None and not units_in(text))
