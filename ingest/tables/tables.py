"""Locate the tables of a sheet: where a header stands, which rows below it are data, and what the other rows are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ingest.doubts.problems import Problem
from ingest.files.containers import CellValue, Sheet, letter
from ingest.tables.header_lines import BRACKETED, header_texts, is_number, row_of, text_of
from ingest.tables.headers import understand_header
from ingest.tables.labels import DAY_IN_TEXT
from ingest.tables.table_rows import ANCHORS, KnownRows, LabelsOf, is_value, is_zero_row, opens_crossed_means, opens_small_table, other_row

CERTAIN = 60
UNFAMILIAR_WITHIN = 30
HEADER_SEARCH_CELLS = 60  # no class table is wider; long rows of numbers are not searched for words


@dataclass
class Table:
    """One table: where it stands (rows and columns counted from 1 as in the file) and its header texts by column.

    Attributes:
        titles: texts above the table, the nearest first: they speak of this table.
        page_titles: texts at the top of the sheet, where they stand above another table: unit, semester and section may be there.
        page_headings: those of them that are said of all tables of the sheet: a day and a window may be there too.
        notes_below: texts below the last table of the sheet.
        constants: values that stand for all rows, by contract column (a wide table's column label, a title).
        given: values that stand for single rows, by contract column and row (a block's heading, a cell typed once for a block).
        reading_place: the column of the readings, where the layout settles it.
        leaves: the numbers of all leaves of which a row holds readings, in a table with a column for each.
        questions: what the layout could not tell.
        keeps_unit: its header names a unit, and an answer about the unit is about others.
        told: columns that say by their cells what they hold, where the header does not: contract column by place.
        is_transposed: each record is a column of the sheet: rows and columns are swapped here, and swapped back in addresses.
    """

    sheet: Sheet
    header_row: int
    headers: dict[int, str]
    titles: list[str]
    page_titles: list[str] = field(default_factory=list)
    page_headings: list[str] = field(default_factory=list)
    notes_below: list[str] = field(default_factory=list)
    data_rows: list[int] = field(default_factory=list)
    constants: dict[str, str] = field(default_factory=dict)
    given: dict[str, dict[int, CellValue]] = field(default_factory=dict)
    reading_place: int | None = None
    leaves: frozenset[str] = frozenset()
    keeps_unit: bool = False
    is_transposed: bool = False
    questions: list[Problem] = field(default_factory=list)
    told: dict[int, str] = field(default_factory=dict)
    meanings: dict[int, str | None] = field(init=False)

    def __post_init__(self) -> None:
        self.meanings = {place: self.told.get(place, understand_header(text).best) for place, text in self.headers.items()}

    def cell(self, row: int, column: int) -> CellValue:
        """The cell at a row and column of the table's grid, None beyond the end of the row."""
        cells = self.sheet.rows[row - 1]
        return cells[column - 1] if column <= len(cells) else None

    def column(self, place: int) -> list[CellValue]:
        """The cells of a column by data row."""
        rows = self.sheet.rows
        return [cells[place - 1] if place <= len(cells := rows[row - 1]) else None for row in self.data_rows]

    def address(self, row: int, column: int) -> str:
        """The cell's address in the file, such as F12."""
        return f"{letter(row)}{column}" if self.is_transposed else f"{letter(column)}{row}"


@dataclass
class SheetLayout:
    """All rows of a sheet: its tables, and for every row that is no data the structural code that says why."""

    sheet: Sheet
    tables: list[Table]
    other_rows: dict[int, str]


def locate(sheet: Sheet, labels: LabelsOf, header_row: int | None = None) -> SheetLayout:
    """Find the tables of a sheet that stand one below the other, and account for each of its rows.

    Args:
        sheet: the cells.
        labels: what values a header may stand for, for wide tables.
        header_row: the header's row where a recipe names it; else every row that reads like a header starts a table.
    """
    if header_row is None:
        header_row = _unfamiliar_header(sheet, labels)
    layout = SheetLayout(sheet, [], {})
    top: list[str] = []
    above: list[str] = []
    table: Table | None = None
    in_means = False
    known = KnownRows({})
    for number, cells in enumerate(sheet.rows, start=1):
        if number in layout.other_rows:
            continue  # the second line of a header
        if table is not None and not in_means and number != header_row and known.is_plain(cells):
            table.data_rows.append(number)
            above = []
            continue
        filled = {place: cell for place, cell in enumerate(cells, start=1) if cell is not None}
        if not filled or is_zero_row(filled):
            layout.other_rows[number] = "blank_row"
            in_means = False
        elif number == header_row or (header_row is None and is_header(filled, labels)):
            headers = header_texts(sheet, layout.other_rows, number, labels)
            # A header repeated on a later page belongs to the same table; below a title of its own it starts another.
            if table is None or table.headers != headers or above:
                if table is not None and table.header_row == number - 1:
                    layout.tables.pop()  # its header was a line of group names over this one
                    above = table.titles[::-1]
                table = Table(sheet, number, headers, above[::-1], top[::-1] if layout.tables else [])
                known = KnownRows(table.meanings)
                top = top or above
                layout.tables.append(table)
            above, in_means = [], False
        elif table is None or (header_row is not None and number < header_row):
            layout.other_rows[number] = "title_row"
            above.extend(text_of(cell) for cell in filled.values())
        else:
            in_means = in_means and not known.is_measured(filled)
            after_summary = layout.other_rows.get(number - 1) == "summary_row"
            code = "summary_row" if in_means else other_row(filled, table.headers, table.meanings, after_summary=after_summary)
            in_means = in_means or (code == "summary_row" and opens_small_table(filled)) or opens_crossed_means(filled, labels)
            code = "summary_row" if in_means else code
            if code is None:
                table.data_rows.append(number)
                known.learn(filled)
                above = []
            else:
                layout.other_rows[number] = code
                above.extend(text_of(cell) for cell in filled.values())
    _close(layout, above)
    return layout


def _unfamiliar_header(sheet: Sheet, labels: LabelsOf) -> int | None:
    """The header's row of a sheet in which no row reads like one: words over values, two of them known; its columns are asked."""
    if any(is_header(row_of(sheet, number), labels) for number in range(1, len(sheet.rows) + 1)):
        return None
    for number in range(1, min(len(sheet.rows), UNFAMILIAR_WITHIN)):
        texts = [cell for cell in row_of(sheet, number).values() if isinstance(cell, str)]
        below = row_of(sheet, number + 1)
        if len(texts) < 4 or len(texts) < len(row_of(sheet, number)) or any(is_value(text) for text in texts):
            continue
        known = {understand_header(text).best for text in texts} & ANCHORS
        if len(known) >= 2 and "reading" in known and sum(is_value(cell) for cell in below.values()) >= 2:
            return number
    return None


def is_header(filled: Mapping[int, CellValue], labels: LabelsOf) -> bool:
    """True where the cells of a row read like the header of a table of readings."""
    if not 3 <= len(filled) <= HEADER_SEARCH_CELLS or _holds_a_number(filled):
        return False  # most rows of a long file end here: a header holds no number or time, and no day but those of its columns
    if all(BRACKETED.fullmatch(text_of(cell)) for cell in filled.values()):
        return False  # units below a header
    asked = sum(isinstance(cell, str) and cell.rstrip().endswith(":") for cell in filled.values())
    if 0 < asked < len(filled):
        return False  # "Site:" beside its value
    understood, wide = [], []
    for cell in filled.values():
        text = text_of(cell)
        header = understand_header(text) if isinstance(cell, str) else None
        if header and header.candidates and header.candidates[0][1] >= CERTAIN and not labels(text):
            understood.append(header)
        elif found := labels(text):
            wide.append(tuple(sorted(found.items())))
        elif is_value(cell):
            return False
    kinds = {tuple(kind for kind, _ in found) for found in wide}
    # A row of data names a site, a plant and a window; the columns of a wide table all name the same kind of thing, each another.
    count_wide = len(wide) if len(kinds) == 1 and len(set(wide)) > 1 else 0
    named = {header.best for header in understood} & ANCHORS | ({"reading"} if count_wide else set())
    # Words of a header may stand in a remark; a row is a header where most of its cells are such words.
    is_mostly = len(understood) + max(count_wide, len(wide) if understood else 0) >= 0.5 * len(filled)
    return is_mostly and (len(named) >= 3 or (len(named) >= 2 and "reading" in named)) and bool(understood)


def _holds_a_number(filled: Mapping[int, CellValue]) -> bool:
    """True where a cell is a number, a time or a day; not where it is days alone, two or more: a column of readings for each."""
    days: list[str] = []
    for cell in filled.values():
        if isinstance(cell, str) and is_number(cell):
            if not DAY_IN_TEXT.fullmatch(cell.strip()):
                return True
            days.append(cell)
    return bool(days) and len(set(days)) < max(len(days), 2)


def _close(layout: SheetLayout, below: list[str]) -> None:
    """Give the last table the notes below it, and drop blank rows at the end: a sheet's declared size is not its content."""
    if layout.tables:
        layout.tables[-1].notes_below = below
    for number in range(len(layout.sheet.rows), 0, -1):
        if layout.other_rows.get(number) != "blank_row" or any(cell is not None for cell in layout.sheet.rows[number - 1]):
            break  # zeros that a formula left count as blank, and are there
        del layout.other_rows[number]
