"""Locate the tables of scores and levels of a sheet: the header, the students' rows, and what every other row is."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from ingest.cells.words import words_for
from ingest.files.containers import CellValue, Sheet
from ingest.folding import fold
from ingest.learning.headers import STUDENT, Heading, number_of, phase_within, understand
from ingest.tables.column_cells import text_of
from ingest.tables.headers import SUMMARY_WORDS, understand_header
from ingest.tables.labels import Labels
from ingest.tables.table_rows import NOTE_WORDS, STRONG_SUMMARY_WORDS, is_value
from ingest.tables.tables import Table

MOST_COLUMNS = 400
_OF_FIELD_DAY = {"site", "taxon", "chamber", "time_cut", "sampling_window", "leaf_state", "endpoint"}
_POINTS_CELL = re.compile(r"\s*(?:[(/]|out of|max\.?)?\s*(\d+(?:[.,]\d+)?)\s*(?:pts?\.?|points?|marks?)?\s*\)?\s*", re.IGNORECASE)
LONGEST_NAME = 5  # words


@dataclass
class LearningTable:
    """One table of students: `headings` by column from 1, and the highest scores that stand in a row of their own, by column."""

    table: Table
    headings: dict[int, Heading]
    maxima: dict[int, float] = field(default_factory=dict)

    def places(self, *roles: str) -> list[int]:
        """The columns of some roles, in the order of the sheet."""
        return [place for place, heading in self.headings.items() if heading.role in roles]


@dataclass
class LearningSheet:
    """All rows of a sheet: its tables, and the structural code of every row that is no student's."""

    sheet: Sheet
    tables: list[LearningTable]
    other_rows: dict[int, str]


Row = dict[int, CellValue]
Known = Callable[[str], bool]


def filled_cells(cells: Sequence[CellValue]) -> Row:
    """The cells that hold something, by column from 1."""
    return {place: cell for place, cell in enumerate(cells, start=1) if text_of(cell)}


def header_of(filled: Row, above: Row, kind: str, is_measure: Known) -> dict[int, Heading] | None:
    """The headings of a row that reads like the header of a table of scores or levels, else None.

    It names a student, and an item, total, score or level; `is_measure` tells a text that the registers know as such.
    """
    if not 2 <= len(filled) <= MOST_COLUMNS or any(is_value(cell) and not _is_count(cell) for cell in filled.values()):
        return None
    headings = {place: understand(text_of(cell), kind, _over(above, place)) for place, cell in filled.items()}
    if not any(heading.is_student for heading in headings.values()):
        return None
    measured = [heading for heading in headings.values() if _measures(heading, kind) or is_measure(heading.text)]
    return headings if measured and not is_of_field_day(headings) else None


def _measures(heading: Heading, kind: str) -> bool:
    if kind == "rubric":
        return heading.role in ("level", "outcome")
    is_named = heading.role in ("total", "score") or (heading.role == "one_item" and not heading.is_numbered)
    return is_named or heading.maximum is not None or (heading.role is None and heading.phase is not None)


def is_of_field_day(headings: Mapping[int, Heading]) -> bool:
    """True where a header names a site, a plant or a pressure: a table of readings names its students too."""
    for heading in headings.values():
        found = understand_header(heading.text)
        if found.unit or (found.best in _OF_FIELD_DAY and found.candidates[0][1] >= 90 and heading.role is None):
            return True
    return False


def _is_count(cell: CellValue) -> bool:
    """Items may be headed by their numbers alone."""
    text = text_of(cell)
    return not isinstance(cell, bool) and text.isdecimal() and 0 < int(text) < MOST_COLUMNS


def _over(above: Row, place: int) -> str:
    """What stands over a column in the row above, or over the next column on its left: "Pre" over five items."""
    left = [at for at in above if at <= place]
    return text_of(above[max(left)]) if left else ""


def locate_learning(sheet: Sheet, kind: str, labels: Labels, is_measure: Known, header_row: int | None = None) -> LearningSheet:
    """Find the tables of a sheet and account for each of its rows.

    Args:
        sheet: the cells.
        kind: assessment or rubric.
        labels: to know a heading that names a section.
        is_measure: tells a header that names an item or an outcome of the registers.
        header_row: the header's row, where a recipe names it.
    """
    found = LearningSheet(sheet, [], {})
    titles: list[str] = []
    page: list[str] = []
    table: LearningTable | None = None
    given: dict[str, str] = {}
    for number, cells in enumerate(sheet.rows, start=1):
        filled = filled_cells(cells)
        above = filled_cells(sheet.rows[number - 2]) if number > 1 and found.other_rows.get(number - 1) in ("title_row", "note_row") else {}
        if not filled:
            found.other_rows[number] = "blank_row"
        elif (headings := _headings(filled, above, number, kind, is_measure, header_row)) is not None:
            found.other_rows[number] = "header_row"
            if len(above) > 1 and any(phase_within(text_of(cell)) for cell in above.values()):
                found.other_rows[number - 1] = "header_row"
            texts = {place: text_of(cell) for place, cell in filled.items()}
            if table is None or table.table.headers != texts or titles:
                table = LearningTable(Table(sheet, number, texts, titles[::-1], page[::-1]), headings)
                page = page or titles
                found.tables.append(table)
            titles, given = [], {}
        elif table is None:
            found.other_rows[number] = "title_row"
            titles.extend(map(text_of, filled.values()))
        else:
            code = _other_row(sheet, table, number, filled, found.other_rows.get(number - 1), labels)
            if code is None:
                table.table.data_rows.append(number)
                for name, value in given.items():
                    table.table.given.setdefault(name, {})[number] = value
                continue
            found.other_rows[number] = code
            given = {**given, **_headed(text_of(next(iter(filled.values()))), labels)} if code == "heading_row" else given
            titles.extend(map(text_of, filled.values()) if code in ("heading_row", "note_row") else [])
    _close(found)
    return found


def _headings(filled: Row, above: Row, number: int, kind: str, is_measure: Known, header_row: int | None) -> dict[int, Heading] | None:
    if header_row is None:
        return header_of(filled, above, kind, is_measure)
    if number != header_row:
        return None
    return {place: understand(text_of(cell), kind, _over(above, place)) for place, cell in filled.items()}


def _other_row(sheet: Sheet, table: LearningTable, number: int, filled: Row, before: str | None, labels: Labels) -> str | None:
    """The structural code of a row below a header, or None where it is a student's."""
    named = {place: filled[place] for place in table.places(*STUDENT) if place in filled}
    label = text_of(next(iter(named.values()), next(iter(filled.values()))))
    numbers = {place: cell for place, cell in filled.items() if place in table.headings and not table.headings[place].is_student}
    is_first = number == table.table.header_row + 1 or before == "maximum_row"
    if _is_maximum(fold(label), numbers, is_first, has_name=bool(named)):
        table.maxima.update({place: value for place, cell in numbers.items() if (value := _points(cell)) is not None})
        return "maximum_row"
    words = fold(label).split()
    is_apart = before in ("summary_row", "blank_row") or _opens_summary(sheet, table, number + 1)
    vocabulary = SUMMARY_WORDS if is_apart else STRONG_SUMMARY_WORDS
    if words and len(words) <= LONGEST_NAME and _is_summary(words, vocabulary):
        return "summary_row"
    if len(filled) == 1:
        return _lone_cell(label, bool(named), labels)
    return "note_row" if not named and not numbers else None


def _is_maximum(label: str, numbers: Row, is_first: bool, *, has_name: bool) -> bool:
    """True for a row that gives the highest scores: named so, or directly under the header with points alone ("2 pts", "/2")."""
    points = [_points(cell) for cell in numbers.values()]
    named = words_for("highest_score").get(label)
    if named == "surely" and any(points):
        return True  # "(read only)" may stand beside them
    if not points or None in points:
        return False
    if named:
        return is_first
    return is_first and not has_name and all(isinstance(cell, str) and not cell.strip().isdecimal() for cell in numbers.values())


def _points(cell: CellValue) -> float | None:
    found = _POINTS_CELL.fullmatch(text_of(cell)) if isinstance(cell, (str, int, float)) and not isinstance(cell, bool) else None
    return number_of(found[1]) if found else None


def _is_summary(words: list[str], vocabulary: frozenset[str]) -> bool:
    return words[0] in vocabulary or (len(words) > 1 and words[-1] in STRONG_SUMMARY_WORDS)


def _opens_summary(sheet: Sheet, table: LearningTable, number: int) -> bool:
    """True where the row is a summary by a word that is no name: "Max" above "Mean" is no student."""
    filled = filled_cells(sheet.rows[number - 1]) if number <= len(sheet.rows) else {}
    named = [text_of(filled[place]) for place in table.places(*STUDENT) if place in filled]
    return bool(named) and _is_summary(fold(named[0]).split() or [""], STRONG_SUMMARY_WORDS)


def _lone_cell(text: str, is_in_names: bool, labels: Labels) -> str | None:
    """A row of one cell: a heading, a note, or a student without any score."""
    words = fold(text).split()
    if _headed(text, labels):
        return "heading_row"
    is_name = is_in_names and 0 < len(words) <= LONGEST_NAME and words[0] not in NOTE_WORDS and not re.search(r"[:*†!?;]", text)
    return None if is_name else "note_row"


def _headed(text: str, labels: Labels) -> dict[str, str]:
    """The section and the phase that a heading between the rows names."""
    said = {"section": labels.of_heading(text).get("section"), "phase": phase_within(text)}
    return {name: value for name, value in said.items() if value}


def _close(found: LearningSheet) -> None:
    """Drop blank rows at the end: a sheet's declared size is not its content."""
    for number in range(len(found.sheet.rows), 0, -1):
        if found.other_rows.get(number) != "blank_row":
            break
        del found.other_rows[number]
