"""Locate the tables of a sheet: where a header stands, which rows below it are data, and what the other rows are."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from ingest.doubts.problems import Problem
from ingest.files.containers import CellValue, Sheet, letter
from ingest.folding import fold
from ingest.tables.headers import understand_header
from ingest.tables.table_rows import ANCHORS, KnownRows, LabelsOf, is_value, is_zero_row, opens_crossed_means, opens_small_table, other_row

CERTAIN = 60
UNFAMILIAR_WITHIN = 30
HEADER_SEARCH_CELLS = 60  # no class table is wider; long rows of numbers are not searched for words
_BRACKETED = re.compile(r"[(\[][^()\[\]]{1,22}[)\]]")
_FORMAT = re.compile(
    r"\(?(hh?[:.]mm([:.]ss)?|24 ?h(ours?)?|([mdy]{1,4}[/.-]){2}[mdy]{1,4})\)?"
)  # how a date or time is written, below its name


@dataclass
class Table:
    """One table: where it stands (rows and columns counted from 1 as in the file) and its header texts by column.

    Attributes:
        titles: texts above the table, the nearest first: they speak of this table.
        page_titles: texts at the top of the sheet, where they stand above another table: unit, semester and section may be there.
        notes_below: texts below the last table of the sheet.
        constants: values that stand for all rows, by contract column (a wide table's column label, a title).
        given: values that stand for single rows, by contract column and row (a block's heading, a cell typed once for a block).
        reading_place: the column of the readings, where the layout settles it.
        leaves: the numbers of all leaves of which a row holds readings, in a table with a column for each.
        questions: what the layout could not tell.
        is_transposed: each record is a column of the sheet: rows and columns are swapped here, and swapped back in addresses.
    """

    sheet: Sheet
    header_row: int
    headers: dict[int, str]
    titles: list[str]
    page_titles: list[str] = field(default_factory=list)
    notes_below: list[str] = field(default_factory=list)
    data_rows: list[int] = field(default_factory=list)
    constants: dict[str, str] = field(default_factory=dict)
    given: dict[str, dict[int, CellValue]] = field(default_factory=dict)
    reading_place: int | None = None
    leaves: frozenset[str] = frozenset()
    is_transposed: bool = False
    questions: list[Problem] = field(default_factory=list)
    meanings: dict[int, str | None] = field(init=False)

    def __post_init__(self) -> None:
        self.meanings = {place: understand_header(text).best for place, text in self.headers.items()}

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
            headers = _headers(layout, number, filled, labels)
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
            above.extend(_text(cell) for cell in filled.values())
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
                above.extend(_text(cell) for cell in filled.values())
    _close(layout, above)
    return layout


def _unfamiliar_header(sheet: Sheet, labels: LabelsOf) -> int | None:
    """The header's row of a sheet in which no row reads like one: words over values, two of them known; its columns are asked."""
    if any(is_header(_row(sheet, number), labels) for number in range(1, len(sheet.rows) + 1)):
        return None
    for number in range(1, min(len(sheet.rows), UNFAMILIAR_WITHIN)):
        texts = [cell for cell in _row(sheet, number).values() if isinstance(cell, str)]
        below = _row(sheet, number + 1)
        if len(texts) < 4 or len(texts) < len(_row(sheet, number)) or any(is_value(text) for text in texts):
            continue
        known = {understand_header(text).best for text in texts} & ANCHORS
        if len(known) >= 2 and "reading" in known and sum(is_value(cell) for cell in below.values()) >= 2:
            return number
    return None


def is_header(filled: Mapping[int, CellValue], labels: LabelsOf) -> bool:
    """True where the cells of a row read like the header of a table of readings."""
    if not 3 <= len(filled) <= HEADER_SEARCH_CELLS or any(isinstance(cell, str) and _is_number(cell) for cell in filled.values()):
        return False  # most rows of a long file end here: a header holds no number, date or time
    if all(_BRACKETED.fullmatch(_text(cell)) for cell in filled.values()):
        return False  # units below a header
    asked = sum(isinstance(cell, str) and cell.rstrip().endswith(":") for cell in filled.values())
    if 0 < asked < len(filled):
        return False  # "Site:" beside its value
    understood, wide = [], []
    for cell in filled.values():
        text = _text(cell)
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


def _headers(layout: SheetLayout, number: int, filled: Mapping[int, CellValue], labels: LabelsOf) -> dict[int, str]:
    """The header texts, joined with a line of group labels above or of units below, where there is one."""
    layout.other_rows[number] = "header_row"
    headers = {place: _text(cell) for place, cell in filled.items()}
    below = _row(layout.sheet, number + 1)
    if below and _is_second_line(below, headers, labels):
        layout.other_rows[number + 1] = "header_row"
        is_full = len(below) == len(headers)  # says of each column what it is in, "(name)" too: only that of a reading is more than a word
        plain = {place for place, text in headers.items() if is_full and understand_header(text).best not in (None, "reading")}
        headers = {
            place: f"{text} {_text(below[place])}" if place in below and place not in plain else text for place, text in headers.items()
        }
    group = _row(layout.sheet, number - 1) if layout.other_rows.get(number - 1) in ("title_row", "note_row", "header_row") else {}
    repeated = {fold(text) for text in headers.values() if list(headers.values()).count(text) > 1}
    grouped = [place for place, text in headers.items() if fold(text) in repeated or labels(text)]
    if group and grouped and max(group) > min(headers) and any(place in grouped for place in group):
        layout.other_rows[number - 1] = "header_row"
        for place in grouped:
            over = [above for above in group if above <= place]
            if over:
                headers[place] = f"{_text(group[max(over)])} {headers[place]}"
    return headers


def _row(sheet: Sheet, number: int) -> dict[int, CellValue]:
    if not 1 <= number <= len(sheet.rows):
        return {}
    return {place: cell for place, cell in enumerate(sheet.rows[number - 1], start=1) if cell is not None}


def _is_second_line(below: Mapping[int, CellValue], headers: Mapping[int, str], labels: LabelsOf) -> bool:
    """True for a line of units or further words of the header: short texts, no digits, no name, below fewer headers or all bracketed."""
    texts = [cell for cell in below.values() if isinstance(cell, str)]
    if len(texts) != len(below) or not set(below) <= set(headers):
        return False
    if len(below) == len(headers):
        return all(_BRACKETED.fullmatch(text.strip()) and not any(map(str.isdigit, text)) for text in texts)
    if len(below) == 1 and understand_header(headers[next(iter(below))]).best != "reading":
        return False  # a lone word is the heading of a block
    return all(_FORMAT.fullmatch(text.casefold()) or _is_unit_or_word(text, labels) for text in texts)


def _is_unit_or_word(text: str, labels: LabelsOf) -> bool:
    return len(text) <= 24 and not any(map(str.isdigit, text)) and ":" not in text and not labels(text) and not is_value(text)


def _is_number(text: str) -> bool:
    """Digits without letters, longer than the number of a leaf: 12.5, 2024-09-17, 6:05."""
    return len(text) > 2 and not text.isalpha() and any(map(str.isdigit, text)) and not any(map(str.isalpha, text))


def _text(cell: CellValue) -> str:
    if isinstance(cell, str):
        return cell.strip()
    return f"{cell:.0f}" if isinstance(cell, float) and cell.is_integer() else str(cell)


def _close(layout: SheetLayout, below: list[str]) -> None:
    """Give the last table the notes below it, and drop blank rows at the end: a sheet's declared size is not its content."""
    if layout.tables:
        layout.tables[-1].notes_below = below
    for number in range(len(layout.sheet.rows), 0, -1):
        if layout.other_rows.get(number) != "blank_row":
            break
        del layout.other_rows[number]
