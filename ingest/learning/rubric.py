"""Read a table of rubric levels into rows: a column for each outcome, or a row for each, and what each cell says."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field

from ingest.cells.numbers import decimal_mark
from ingest.checked.rows import Rows
from ingest.checked.understood import Reading
from ingest.doubts.recipe_keys import SET_ASIDE
from ingest.files.containers import CellValue, letter
from ingest.folding import fold
from ingest.learning.headers import understand
from ingest.learning.placing import Around
from ingest.learning.scores import Score, level_of_word, parse_level
from ingest.learning.tables import LearningTable
from ingest.registers.names import NameIndex
from ingest.registers.registers import Outcome, Registers
from ingest.tables.column_cells import text_of
from ingest.tables.labels import CERTAIN_HOW

MOSTLY = 0.5
HIGHEST = 20.0  # as in the contract: a column of larger numbers holds no levels


@dataclass
class LevelColumn:
    """One column of levels, and the outcome that its header names (None where a column of its own names it, or it is asked)."""

    place: int
    outcome: str | None = None


@dataclass
class Plan:
    """The columns of levels of a table, and where the outcome stands row by row."""

    measures: list[LevelColumn]
    outcome_place: int | None = None
    unused: list[str] = field(default_factory=list)


def outcome_index(reading: Reading) -> NameIndex:
    """Outcomes by code, statement and alias, and by the instructor's word."""
    names = reading.registers.names("outcomes")
    shown = {code: outcome.statement for code, outcome in reading.registers.outcomes.items()}
    exact = {fold(text): code for code, outcome in reading.registers.outcomes.items() for text in (code, outcome.statement)}
    return NameIndex("outcome", names, exact, shown, reading.recipe)


def outcome_named(text: str, index: NameIndex) -> str | None:
    """The outcome that a text names for certain: whole, without its brackets, or by the code that it begins with; or SET_ASIDE."""
    for written in (text, understand(text, "rubric").item, text.partition(":")[0], text.partition(" - ")[0], text.partition(" – ")[0]):
        match = index.match(written)
        if match.how == "set_aside":
            return SET_ASIDE
        if match.code and match.how in CERTAIN_HOW:
            return match.code
    return None


def plan_levels(table: LearningTable, reading: Reading) -> Plan:
    """Say which columns hold levels. A column of small numbers or level words under an unknown header is an outcome that is asked."""
    outcome_place = next(iter(table.places("outcome")), None)
    plan = Plan([], outcome_place)
    index = outcome_index(reading)
    for place, heading in table.headings.items():
        if outcome_place is not None:
            plan.measures.extend([LevelColumn(place)] if heading.role == "level" and not plan.measures else [])
        elif heading.role in (None, "level", "total"):
            code = outcome_named(heading.text, index)
            if code == SET_ASIDE or (code is None and (heading.role == "total" or not _holds_levels(table, place, reading.registers))):
                plan.unused.append(heading.text)
            else:
                plan.measures.append(LevelColumn(place, code))
    return plan


def _holds_levels(table: LearningTable, place: int, registers: Registers) -> bool:
    words = {fold(word) for outcome in registers.outcomes.values() for word in outcome.level_words}
    levels = [parse_level(cell, None) for cell in table.table.column(place) if text_of(cell)]
    found = [
        level for level in levels if (level.value is not None and 0 <= level.value <= HIGHEST) or (level.word and fold(level.word) in words)
    ]
    return len(found) > MOSTLY * len(levels)


def fill_levels(at: Around, plan: Plan, indices: Mapping[tuple[int, int], int], rows: Rows, _: int) -> None:
    """Fill the columns of levels for each student's row and column of levels; `indices` by row and column of the sheet."""
    index_of = outcome_index(at.reading)
    levels = _Levels(at)
    unknown, where = Counter[str](), dict[str, str]()
    for measure in plan.measures:
        mark = decimal_mark(at.table.table.column(measure.place))
        for row in at.table.table.data_rows:
            index = indices[row, measure.place]
            rows.columns["source_cell"][index] = at.table.table.address(row, measure.place)
            written = text_of(at.table.table.cell(row, plan.outcome_place)) if plan.outcome_place else at.table.headings[measure.place].text
            code = measure.outcome or (outcome_named(written, index_of) if written else None)
            if not written:
                rows.mark(index, "outcome_missing", "outcome")
            elif code == SET_ASIDE:
                rows.mark(index, "outcome_set_aside", "outcome")
            elif code is None:
                unknown[written] += 1
                where.setdefault(
                    written, f"cell {letter(plan.outcome_place)}{row}" if plan.outcome_place else f"column {letter(measure.place)}"
                )
            else:
                rows.columns["outcome"][index] = code
            cell = at.table.table.cell(row, measure.place)
            levels.fill(parse_level(cell, mark), cell, at.reading.registers.outcomes.get(code or ""), rows, index)
    for text, count in unknown.items():
        codes = [*index_of.codes(), SET_ASIDE]
        answers = [*at.reading.name_answers("outcome", text, codes[:-1]), f"names.outcome.{at.reading.spellings.key(text)}={SET_ASIDE}"]
        at.ask("outcome_unknown", text, answers, count, where=where[text])
    levels.ask()
    for measure in plan.measures:
        header = {"header": at.reading.scrub(at.table.headings[measure.place].text), "letter": letter(measure.place)}
        at.said.columns[measure.outcome or "level"] = {**header, "why": "the header names it"}
    at.said.unused = [at.reading.scrub(text) for text in plan.unused]


class _Levels:
    """Levels as numbers; words that no register and no answer has are asked, each once."""

    def __init__(self, at: Around) -> None:
        self._at = at
        self._unknown = Counter[str]()
        self._said = {fold(word): str(level) for word, level in at.reading.recipe.names("level").items()}
        self._key = at.reading.spellings.key

    def fill(self, level: Score, cell: CellValue, outcome: Outcome | None, rows: Rows, index: int) -> None:
        """Fill level, is_unscored and level_as_written of one row, and mark what is wrong with them."""
        columns = rows.columns
        written = text_of(cell)
        words = outcome.level_words if outcome else ()
        is_known = bool(level.word) and self._of(level.word, words) is not None
        is_plain = level.value is not None and not level.word
        # A word that somebody answered may name a person; one of the register's does not.
        is_kept = is_plain or level_of_word(level.word, words) is not None
        columns["level_as_written"][index] = (written if is_kept else self._at.reading.scrub(written)) if written else None
        columns["is_unscored"][index] = False
        shown = columns["level_as_written"][index]
        if level.problem:
            rows.mark(index, level.problem.replace("score_unreadable", "level_unreadable"), "level", shown)
            return
        value = level.value
        if value is None and level.word:
            value = self._of(level.word, words)
            if value is None:
                self._unknown[level.word] += 1
                return
        columns["is_unscored"][index] = value is None
        if value is None:
            return
        highest = (outcome.levels if outcome else None) or HIGHEST
        if not 0 <= value <= highest or (level.maximum is not None and outcome and outcome.levels not in (None, level.maximum)):
            rows.mark(index, "level_out_of_range", "level", shown, limit=f"{highest:g}")
            return
        columns["level"][index] = value
        if level.value is not None and is_known and self._of(level.word, words) != level.value:
            rows.mark(index, "level_contradicts", "level", shown)
        if not value.is_integer():
            rows.mark(index, "level_not_whole", "level", shown)
        if level.is_doubtful:
            rows.mark(index, "score_doubtful", "level", shown)
        if level.is_mistyped:
            rows.mark(index, "score_mistyped", "level", shown, number=f"{value:g}")

    def _of(self, word: str, words: tuple[str, ...]) -> float | None:
        said = self._said.get(fold(word)) or self._said.get(fold(self._key(word)))
        return float(said) if said and said.replace(".", "", 1).isdigit() else level_of_word(word, words)

    def ask(self) -> None:
        """One question for each word that is not known."""
        levels = {int(outcome.levels) for outcome in self._at.reading.registers.outcomes.values() if outcome.levels} or {4}
        for word, count in self._unknown.items():
            answers = [f"names.level.{self._key(word)}={number}" for number in range(max(levels) + 1)]
            self._at.ask("level_unknown", word, answers, count)
