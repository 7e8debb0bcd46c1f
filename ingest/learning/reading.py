"""Read the tables of a file of scores or levels into rows: who, where, what was reached, and what contradicts it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ingest.checked.file_columns import ASSESSMENT_COLUMNS, RUBRIC_COLUMNS
from ingest.checked.kept_answers import sheet_shown
from ingest.checked.receipts import Receipt
from ingest.checked.rows import Place, Rows
from ingest.checked.understood import Reading, Understood
from ingest.doubts.problems import Problem, problem
from ingest.doubts.questions import within_reason
from ingest.files.containers import letter
from ingest.learning.assessment import fill_scores, items_unknown
from ingest.learning.checks import check_levels, check_scores
from ingest.learning.columns import plan_scores
from ingest.learning.people import students_of
from ingest.learning.placing import Around, place_sections, place_semesters
from ingest.learning.rubric import fill_levels, plan_levels
from ingest.learning.tables import LearningSheet, LearningTable
from ingest.progress import begun, counted


@dataclass(frozen=True)
class LearningKind:
    """How one kind is read: its columns, what to call it, and its own steps.

    Attributes:
        columns: of the checked file, name to type.
        value: the column of what each cell holds.
        what: what a table of it holds, in words.
        plan: says which columns hold scores or levels.
        fill: fills the rows of one table.
        check: marks what fails the suite or contradicts, and returns what the receipt says of pairs.
        parts: the columns that say what a row covers; a file that covers the same has to replace the other, or add to it.
    """

    columns: Mapping[str, str]
    value: str
    what: str
    plan: Callable[[LearningTable, Reading], Any]
    fill: Callable[[Around, Any, Mapping[tuple[int, int], int], Rows, int], None]
    check: Callable[[Rows, Sequence[int], Mapping[int, str]], list[str]]
    parts: tuple[str, ...]


LEARNING: Mapping[str, LearningKind] = {
    "assessment": LearningKind(
        ASSESSMENT_COLUMNS, "score", "scores", plan_scores, fill_scores, check_scores, ("instrument", "phase", "semester", "section")
    ),
    "rubric": LearningKind(RUBRIC_COLUMNS, "level", "levels", plan_levels, fill_levels, check_levels, ("outcome", "semester", "section")),
}


def read_learning(layouts: Sequence[LearningSheet], reading: Reading, pseudonym: Callable[[str], str], receipt: Receipt) -> Rows:
    """Read all sheets of a file and fill the receipt; every row of every sheet becomes a row of the result.

    A student's row becomes one row for each column of scores or levels. `pseudonym` turns a student's name into a keyed code.
    """
    kind = LEARNING[receipt.kind]
    rows = Rows(reading.scrub, reading.header, kind.columns)
    names: dict[int, str] = {}
    tables = sum(len(layout.tables) for layout in layouts)
    for layout in layouts:
        names.update(_read_sheet(layout, kind, tables, reading, rows, receipt))
    data = sorted(names)
    for index in counted(reading.tell, "Giving students their pseudonyms", data):
        rows.columns["student"][index] = pseudonym(names[index]) if names[index] else None
    if not tables:
        receipt.problems.append(problem("no_learning_table", what=kind.what, answers=["sheets.header_row=ROW"]))
    elif not data:
        receipt.problems.append(problem("no_rows", place={"row": receipt.tables[0].header_row}))
    elif not receipt.is_refused:
        begun(reading.tell, f"Checking the {kind.what}", len(data))
        receipt.notes.extend(kind.check(rows, data, names))
        strange, notes = items_unknown(rows, reading, data) if "item" in kind.columns else ([], [])
        receipt.problems.extend(strange)
        receipt.notes.extend(notes)
        if all(rows.is_aside(index) for index in data):
            receipt.problems.append(problem("no_scores_left"))
    rows.settle()
    receipt.problems = [*within_reason(receipt.problems), *rows.problems]
    receipt.rows, receipt.reasons = rows.counts(), rows.reasons()
    _cover(rows, kind, receipt)
    return rows


def _read_sheet(layout: LearningSheet, kind: LearningKind, tables: int, reading: Reading, rows: Rows, receipt: Receipt) -> dict[int, str]:
    """Add all rows of a sheet, then read its tables; returns the student of each data row, by index."""
    plans = [kind.plan(table, reading) for table in layout.tables]
    entries: list[tuple[int, int, int]] = [(row, -1, 0) for row in layout.other_rows]
    for number, (table, plan) in enumerate(zip(layout.tables, plans, strict=True)):
        places = [measure.place for measure in plan.measures] or [0]
        entries.extend((row, number, place) for row in table.table.data_rows for place in places)
    entries.sort()
    start = rows.add(len(entries))
    every = range(start, start + len(entries))
    shown = sheet_shown(layout.sheet, reading.scrub) or None
    rows.put("source_sheet", every, [shown] * len(entries))
    rows.put("source_row", every, [row for row, _, _ in entries])
    at: dict[int, dict[tuple[int, int], int]] = {}
    for index, (row, number, place) in zip(every, entries, strict=True):
        if number < 0:
            rows.mark(index, layout.other_rows[row])
        else:
            at.setdefault(number, {})[row, place] = index
    names: dict[int, str] = {}
    for number, (table, plan) in enumerate(zip(layout.tables, plans, strict=True)):
        found = at.get(number, {})
        said = Understood(shown or "", table.table.header_row, len(table.table.data_rows))
        names.update(_read_table(table, plan, found, kind, tables, reading, said, rows))
        receipt.problems.extend(reading.asked(question, said.sheet or None) for question in said.questions)
        receipt.tables.append(said)
    return names


def _read_table(
    table: LearningTable,
    plan: Any,
    indices: Mapping[tuple[int, int], int],
    kind: LearningKind,
    tables: int,
    reading: Reading,
    said: Understood,
    rows: Rows,
) -> dict[int, str]:
    reading = reading.for_sheet(table.table.sheet)
    at = Around(table, reading, said)
    students, role = students_of(table)
    number_of = {row: number for number, row in enumerate(table.table.data_rows)}
    names = {index: students[number_of[row]] for (row, _), index in indices.items()}
    student = table.places(role)[0] if role else None
    placed = {name: found[0] for name in kind.columns if (found := table.places(name))} | ({"student": student} if student else {})
    for (row, place), index in indices.items():
        rows.places[index] = Place(table.table, row, placed | {kind.value: place})
        if not names[index]:
            rows.mark(index, "student_missing", "student")
    if role is None:
        said.questions.append(_missing(table, "student"))
    elif student:
        header = {"header": reading.scrub(table.table.headers[student]), "letter": letter(student)}
        said.columns["student"] = {**header, "why": f"as pseudonyms, made of {_SAID[role]}"}
    said.headers = {letter(place): reading.scrub(text) for place, text in table.table.headers.items()}
    if not plan.measures:
        said.questions.append(_missing(table, kind.value))
        return names
    semesters = place_semesters(at)
    sections = place_sections(at, semesters.values)
    for (row, _), index in indices.items():
        semester = semesters.values[number_of[row]]
        rows.columns["semester"][index], rows.columns["section"][index] = semester, sections[number_of[row]]
        if semester is None and semesters.is_by_row:
            rows.mark(index, "semester_missing", "semester")
    begun(reading.tell, f"Reading the {kind.what}", len(indices))
    kind.fill(at, plan, indices, rows, tables)
    return names


_SAID = {
    "student_code": "the code",
    "student": "the name",
    "first_name": "first and last name",
    "last_name": "the last name",
    "person_detail": "the address",
}


def _missing(table: LearningTable, column: str) -> Problem:
    place = {"sheet": table.table.sheet.name, "row": table.table.header_row, "column": column}
    answers = [f"columns.{column}=column {letter(place)}" for place, heading in table.headings.items() if heading.role is None]
    return problem("column_missing", place=place, answers=answers or [f"columns.{column}=HEADER"])


def _cover(rows: Rows, kind: LearningKind, receipt: Receipt) -> None:
    """Which semesters, sections and tests or outcomes the loaded rows cover."""
    columns = rows.columns
    kept = [index for index, status in enumerate(columns["status"]) if status != "set_aside"]
    receipt.semesters = sorted({columns["semester"][index] for index in kept if columns["semester"][index]})
    receipt.sections = sorted({f"{columns['semester'][index]}/{columns['section'][index]}" for index in kept if columns["section"][index]})
    receipt.covers = sorted({"/".join(columns[name][index] or "-" for name in kind.parts) for index in kept})
