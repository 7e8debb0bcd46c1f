"""What was understood of a table, and what every table of a file is read with."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

from ingest.cells.people import MARK
from ingest.checked.kept_answers import is_called
from ingest.doubts.answers import answer_line, one_line, split_answer
from ingest.doubts.problems import Problem, problem
from ingest.doubts.recipes import Recipe
from ingest.files.containers import Sheet
from ingest.folding import fold
from ingest.progress import Tell, nobody
from ingest.registers.aliases import may_be_remembered
from ingest.registers.names import NameIndex, chamber_index, site_index, taxon_index
from ingest.registers.registers import Registers
from ingest.registers.spellings import Spellings
from ingest.settings import Settings
from ingest.tables.labels import Labels


@dataclass(frozen=True)
class Reading:
    """What every table of one file is read with.

    `scrub` takes the words of free text that name no person; `pseudonym` turns an observer's name into a keyed code;
    `people` are the folded words of all observers' names in the file; `told` says how headers are told that may hold others;
    `tell` is told how far a long file is.
    """

    registers: Registers
    settings: Settings
    recipe: Recipe
    sites: NameIndex
    taxa: NameIndex
    chambers: NameIndex
    scrub: Callable[[str], str]
    pseudonym: Callable[[str], str]
    people: frozenset[str]
    spellings: Spellings
    labels: Labels
    file_name: str
    told: Mapping[str, str] = field(default_factory=dict)
    tell: Tell = nobody

    def header(self, text: str) -> str:
        """A header as a problem may name it."""
        return self.told.get(one_line(text)) or self.shown(text)

    def shown(self, text: str) -> str:
        """A text of the file as a receipt may repeat it: without headers that may name a person, and scrubbed as below."""
        for header, told in self.told.items():
            text = text.replace(f"{header!r} ({told.removeprefix('column ')})", told).replace(repr(header), told)
        return self._without_persons(text)

    def _without_persons(self, text: str) -> str:
        """A text scrubbed where an observer, an address or a long number is in it."""
        is_personal = "@" in text or re.search(r"\d{6}|\bby [A-Z]", text) or self.people & set(re.findall(r"[^\W\d_]+", fold(text)))
        return self.scrub(text) if is_personal else text

    def name_answers(self, kind: str, written: str, codes: Iterable[str]) -> list[str]:
        """The answers to what a name stands for: remembered as an alias, or for one file alone where it may be a person's."""
        is_kept = self.spellings.is_repeated(written) and may_be_remembered(written)
        return [f"{'alias' if is_kept else 'names'}.{kind}.{self.spellings.key(written)}={code}" for code in codes]

    def for_sheet(self, sheet: Sheet) -> Reading:
        """The same with the answers that hold for one sheet alone."""
        return replace(self, recipe=self.recipe.for_sheet(partial(is_called, sheet=sheet))) if self.recipe.answers.get("only") else self

    def asked(self, question: Problem, sheet: str | None) -> Problem:
        """A question without persons; its sheet is named as shown. What cannot be repeated cannot be answered here either."""
        offered = [self._by_letter(answer) for answer in question.answers]
        answers = tuple(answer for answer in offered if MARK not in answer and self.shown(answer) == answer)
        # A label beside those of a wide table is a name like any in a cell, and repeated where such a name may be.
        shown = self._without_persons if question.code == "label_unknown" else self.shown
        value = shown(question.value) if question.value else None
        message = question.message.replace(question.value, str(value)) if question.value else question.message
        is_answerable = bool(answers) or not question.answers
        suggestion = question.suggestion.replace(answer_line(question.answers), answer_line(offered))
        suggestion = suggestion if is_answerable else problem(question.code, place={"value": value}).suggestion
        column = self.header(question.column) if question.column else None
        texts = {"message": shown(message), "suggestion": shown(suggestion)}
        return question.at(sheet=sheet, answers=answers, value=value, column=column, **texts)

    def _by_letter(self, answer: str) -> str:
        """An answer that names a header as it may be offered and kept."""
        key, value = split_answer(answer)
        return f"{key}={self.told.get(one_line(value), value)}" if key.startswith("columns.") else answer

    @classmethod
    def for_file(cls, registers: Registers, settings: Settings, recipe: Recipe, spellings: Spellings, **texts: Any) -> Reading:
        """Index the names of the registers under a file's recipe."""
        return cls(
            registers=registers,
            settings=settings,
            recipe=recipe,
            sites=site_index(registers, recipe),
            taxa=taxon_index(registers, recipe),
            chambers=chamber_index(registers, recipe),
            labels=Labels(registers, recipe, spellings),
            spellings=spellings,
            **texts,
        )


@dataclass
class Understood:
    """What one table was taken for: a line for the receipt each, and the questions that stayed open.

    Attributes:
        sheet: name of the sheet.
        header_row: the header's row, from 1.
        rows: number of data rows.
        columns: per contract column: its header, its column letter and why it was taken.
        unused: headers of columns that were not used.
        headers: every header by its column letter, in the order of the file.
        facts: other decisions, each a value and its reason (unit, quantity, date order, semester, section …).
        notes: names taken by alias and other things that change no row.
    """

    sheet: str
    header_row: int
    rows: int
    columns: dict[str, dict[str, str]] = field(default_factory=dict)
    unused: list[str] = field(default_factory=list)
    headers: dict[str, str] = field(default_factory=dict)
    facts: dict[str, dict[str, str | None]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    questions: list[Problem] = field(default_factory=list)

    def say(self, fact: str, value: str | None, why: str) -> None:
        """Record a decision and its reason."""
        self.facts[fact] = {"value": value, "why": why}

    def as_dict(self) -> dict[str, Any]:
        """The table as a plain mapping, for JSON."""
        return {key: value for key, value in vars(self).items() if key != "questions"}
