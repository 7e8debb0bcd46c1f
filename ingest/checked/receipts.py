"""The receipt: what we answer to a file. Every row is accounted for, every decision has its reason."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass, field
from itertools import groupby
from typing import Any, Literal

from ingest.cells.people import MARK
from ingest.checked.changed import Changes
from ingest.checked.understood import Understood
from ingest.doubts.problem_kinds import KINDS
from ingest.doubts.problems import Problem
from ingest.doubts.questions import Question, questions_of
from ingest.folding import printable
from ingest.registers.aliases import Alias

Verdict = Literal["can be loaded", "loaded", "known already", "refused"]
SHOWN_ALIKE = 20  # of one code; the rest is counted, and all are in the JSON
_FOLLOW = {
    "unit_missing_here": ("unit_missing", "unit_unclear"),
    "negative_pressure": ("quantity_unclear",),
    "positive_potential": ("quantity_unclear",),
    "max_score_missing": ("max_score_unclear",),
}
"""Problems of rows that are gone once a question is answered: they would only bury it."""


@dataclass
class Receipt:
    """What was made of one file.

    `rows.in_file` is always the sum of accepted, flagged and set_aside. `fingerprint` stands for the bytes and how they were
    understood, whoever's answer or recipe it was; the upload's id is made from it.
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
    covers: list[str] = field(default_factory=list)
    date_first: str | None = None
    date_last: str | None = None
    tables: list[Understood] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    recipe: str | None = None
    fingerprint: str = ""
    changes: Changes = field(default_factory=Changes)
    aliases: list[Alias] = field(default_factory=list)

    @property
    def is_refused(self) -> bool:
        """True where a question or a problem of the whole file is open."""
        return any(problem.severity == "refuse" for problem in self.problems)

    def questions(self) -> list[Question]:
        """What is asked of the user, each once: first what refuses the file, then what may be left open."""
        return questions_of(self.problems, list(dict.fromkeys(table.sheet for table in self.tables)))

    def open_questions(self) -> list[Question]:
        """The questions for which the file is refused."""
        return [question for question in self.questions() if question.is_open]

    def as_understood(self) -> list[Any]:
        """How the tables were understood, without the reasons: the places of their columns, and what was decided."""
        places = [
            [table.sheet, table.header_row, {name: taken["letter"] for name, taken in table.columns.items()}] for table in self.tables
        ]
        return [places, [{fact: decision["value"] for fact, decision in table.facts.items()} for table in self.tables]]

    def as_dict(self) -> dict[str, Any]:
        """The receipt as a plain mapping, for JSON."""
        plain = {key: value for key, value in vars(self).items() if key not in ("tables", "problems", "aliases")}
        return {
            **plain,
            "changes": list(self.changes),
            "aliases": [asdict(alias) for alias in self.aliases],
            "tables": [table.as_dict() for table in self.tables],
            "questions": [asdict(question) for question in self.questions()],
            "problems": [found.as_dict() for found in self.problems],
        }

    def as_text(self) -> str:
        """The receipt as lines for a person."""
        return "\n".join(map(printable, self._lines()))

    def _lines(self) -> Iterable[str]:
        questions = self.open_questions()
        if questions:
            yield f"{self.file}: refused; to load it, {questions[0].to_do}."
            yield from self._question_lines(questions)
        else:
            yield f"{self.file}: {self.verdict}" + (f" as upload {self.upload_id}" if self.upload_id else "")
        for table in self.tables[:SHOWN_ALIKE]:
            yield from _table_lines(table)
        if len(self.tables) > SHOWN_ALIKE:
            yield f"  and {len(self.tables) - SHOWN_ALIKE} more tables"
        yield from _few([f"  · {note}" for note in self.notes])
        if any(MARK in question.text() for question in questions):
            yield f"  · {MARK} stands for words that may name a person: look at the cell, and answer by the key that is given"
        if self.rows:
            counts = self.rows
            parts = f"{counts['accepted']} accepted + {counts['flagged']} flagged + {counts['set_aside']} set aside"
            yield f"  {counted_rows(counts['in_file'])} in the file = {parts}"
        yield from self._reason_lines()
        yield from self._problem_lines()
        is_done = self.verdict in ("loaded", "known already")
        verb, when = ("is", "") if is_done else ("will be", " when the file is loaded")
        remembered = [
            (alias.written, f"{verb} remembered in {alias.register} as another spelling of {alias.code}") for alias in self.aliases
        ]
        yield from _few([f"  {written!r} {said}{when}" for written, said in remembered])
        yield from self.change_lines()

    @staticmethod
    def _question_lines(questions: list[Question]) -> Iterable[str]:
        """Each question and what to do, at most so many of one code; what to do for the first one stands above them."""
        kinds: dict[str, list[Question]] = {}
        for question in questions:
            kinds.setdefault(question.code, []).append(question)
        for alike in kinds.values():
            for question in alike[:SHOWN_ALIKE]:
                yield f"  ? {question.text()}"
                yield from [f"    to do: {question.to_do}"] if question is not questions[0] else []
            if len(alike) > SHOWN_ALIKE:
                yield f"    and {len(alike) - SHOWN_ALIKE} more like it"

    def change_lines(self) -> Iterable[str]:
        """What changes against the upload that the file replaces, as lines."""
        for shown, count in self.changes.lines(SHOWN_ALIKE):
            yield from _few(shown, count)

    def _reason_lines(self) -> Iterable[str]:
        for code, count in self.reasons.items():
            if KINDS[code].structural:
                yield f"    {count} × {KINDS[code].message}"

    def _problem_lines(self) -> Iterable[str]:
        asked = {found.code for found in self.problems if found.severity == "refuse"}
        shown = [found for found in self.problems if found.severity != "refuse" and not asked & set(_FOLLOW.get(found.code, ()))]
        rows = sorted(shown, key=lambda found: (found.severity == "flag", found.code))
        for (_, code), group in groupby(rows, key=lambda found: (found.severity, found.code)):
            alike = list(group)
            words = {"flag": "flagged", "set_aside": "set aside", "refuse": "refused"}[alike[0].severity]
            yield f"  {words}, {code}: {sum(found.count for found in alike)}"
            for found in alike[:SHOWN_ALIKE]:
                yield f"    {_placed(found)}{found.message}"
            if len(alike) > SHOWN_ALIKE:
                yield f"    and {len(alike) - SHOWN_ALIKE} more like it"
            yield f"    to do: {alike[0].suggestion}"


def counted_rows(count: int) -> str:
    """A number of rows in words."""
    return f"{count} row" if count == 1 else f"{count} rows"


def _placed(found: Problem) -> str:
    sheet = f"sheet {found.sheet}, " if found.sheet else ""
    place = f"{sheet}{found.cell or f'row {found.row}'}: " if found.row else f"{sheet}{found.column}: " if found.column else ""
    return place + (f"({found.count} rows) " if found.count > 1 else "")


def _table_lines(table: Understood) -> Iterable[str]:
    sheet = f"sheet {table.sheet}: " if table.sheet else ""
    yield f"  {sheet}table of {counted_rows(table.rows)} under the header in row {table.header_row}"
    for column, taken in table.columns.items():
        yield f"    {column} ← {taken['letter']} {taken['header']!r} ({taken['why']})"
    yield from _few([f"    {fact}: {_decided(decision)}" for fact, decision in table.facts.items()])
    if table.unused:
        more = [f"and {len(table.unused) - SHOWN_ALIKE} more"] if len(table.unused) > SHOWN_ALIKE else []
        yield "    not used: " + ", ".join([*map(repr, table.unused[:SHOWN_ALIKE]), *more])
    yield from _few([f"    {note}" for note in table.notes])


def _decided(decision: dict[str, str | None]) -> str:
    value = decision["value"] or ("row by row" if decision["why"] else "open")
    return value + (f" ({decision['why']})" if decision["why"] else "")


def _few(lines: list[str], count: int | None = None) -> list[str]:
    """At most so many lines, and how many more there are; `count` of them in all, where not all are given."""
    rest = (len(lines) if count is None else count) - SHOWN_ALIKE
    indent = lines[0][: len(lines[0]) - len(lines[0].lstrip())] if lines else ""
    return lines if rest <= 0 else [*lines[:SHOWN_ALIKE], f"{indent}and {rest} more like it"]
