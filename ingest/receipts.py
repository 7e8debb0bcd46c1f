"""The receipt: what we answer to a file. Every row is accounted for, every decision has its reason."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any, Literal

from ingest.folding import printable
from ingest.problem_kinds import KINDS
from ingest.problems import Problem
from ingest.understood import Understood

Verdict = Literal["can be loaded", "loaded", "known already", "refused"]
SHOWN_ALIKE = 20  # of one code; the rest is counted, and all are in the JSON


@dataclass
class Receipt:
    """What was made of one file.

    `rows.in_file` is always the sum of accepted, flagged and set_aside. `fingerprint` stands for the bytes and how they were
    understood; the upload's id is made from it.
    """

    file: str
    sha256: str
    kind: str
    verdict: Verdict = "refused"
    upload_id: str | None = None
    rows: dict[str, int] = field(default_factory=dict)
    reasons: dict[str, int] = field(default_factory=dict)
    semesters: list[str] = field(default_factory=list)
    sections: list[str] = field(default_factory=list)
    gauges: list[str] = field(default_factory=list)
    date_first: str | None = None
    date_last: str | None = None
    tables: list[Understood] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    recipe: str | None = None
    fingerprint: str = ""
    changes: list[dict[str, Any]] = field(default_factory=list)

    @property
    def is_refused(self) -> bool:
        """True where a question or a problem of the whole file is open."""
        return any(problem.severity == "refuse" for problem in self.problems)

    def open_questions(self) -> str:
        """The open questions as lines for the head of a recipe."""
        asked = [found for found in self.problems if found.severity == "refuse"]
        return "\n".join(printable(f"OPEN: {found.message} {found.suggestion}") for found in asked)

    def as_dict(self) -> dict[str, Any]:
        """The receipt as a plain mapping, for JSON."""
        plain = {key: value for key, value in vars(self).items() if key not in ("tables", "problems")}
        return {**plain, "tables": [table.as_dict() for table in self.tables], "problems": [found.as_dict() for found in self.problems]}

    def as_text(self) -> str:
        """The receipt as lines for a person."""
        return "\n".join(map(printable, self._lines()))

    def _lines(self) -> Iterable[str]:
        questions = [found for found in self.problems if found.severity == "refuse"]
        if questions:
            yield f"{self.file}: refused. {_first_step(questions[0])}"
            yield from (f"  ? {_placed(found)}{found.message} To do: {found.suggestion}" for found in questions)
        else:
            yield f"{self.file}: {self.verdict}" + (f" as upload {self.upload_id}" if self.upload_id else "")
        for table in self.tables:
            yield from _table_lines(table)
        yield from (f"  · {note}" for note in self.notes)
        if self.rows:
            counts = self.rows
            parts = f"{counts['accepted']} accepted + {counts['flagged']} flagged + {counts['set_aside']} set aside"
            yield f"  {counts['in_file']} rows in the file = {parts}"
        yield from self._reason_lines()
        yield from self._problem_lines()
        yield from (f"  changed: {change['place']}: {change['before']} → {change['after']}" for change in self.changes[:SHOWN_ALIKE])
        if len(self.changes) > SHOWN_ALIKE:
            yield f"  and {len(self.changes) - SHOWN_ALIKE} more changes"

    def _reason_lines(self) -> Iterable[str]:
        for code, count in self.reasons.items():
            if KINDS[code].structural:
                yield f"    {count} × {KINDS[code].message}"

    def _problem_lines(self) -> Iterable[str]:
        rows = sorted(
            (found for found in self.problems if found.severity != "refuse"), key=lambda found: (found.severity == "flag", found.code)
        )
        for (_, code), group in groupby(rows, key=lambda found: (found.severity, found.code)):
            alike = list(group)
            words = {"flag": "flagged", "set_aside": "set aside", "refuse": "refused"}[alike[0].severity]
            yield f"  {words}, {code}: {sum(found.count for found in alike)}"
            for found in alike[:SHOWN_ALIKE]:
                yield f"    {_placed(found)}{found.message}"
            if len(alike) > SHOWN_ALIKE:
                yield f"    and {len(alike) - SHOWN_ALIKE} more like it"
            yield f"    to do: {alike[0].suggestion}"


def _first_step(question: Problem) -> str:
    return f"To do first: {question.suggestion}"


def _placed(found: Problem) -> str:
    sheet = f"sheet {found.sheet}, " if found.sheet else ""
    place = f"{sheet}{found.cell or f'row {found.row}'}: " if found.row else f"{sheet}{found.column}: " if found.column else ""
    return place + (f"({found.count} rows) " if found.count > 1 else "")


def _table_lines(table: Understood) -> Iterable[str]:
    sheet = f"sheet {table.sheet}: " if table.sheet else ""
    yield f"  {sheet}table of {table.rows} rows under the header in row {table.header_row}"
    for column, taken in table.columns.items():
        yield f"    {column} ← {taken['letter']} {taken['header']!r} ({taken['why']})"
    for fact, decision in table.facts.items():
        yield f"    {fact}: {decision['value'] or 'row by row'} ({decision['why']})"
    if table.unused:
        yield "    not used: " + ", ".join(repr(header) for header in table.unused)
    yield from (f"    {note}" for note in table.notes)
