"""Place each row of scores or levels: its semester, section, test and phase, from a column, the answers, or what stands around it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from ingest.cells.words import meaning_of
from ingest.checked.understood import Reading, Understood
from ingest.doubts.problems import problem
from ingest.files.containers import letter
from ingest.folding import fold
from ingest.learning.headers import phase_within
from ingest.learning.tables import LearningTable
from ingest.registers.names import section_named, semester_named
from ingest.registers.registers import Registers
from ingest.tables.column_cells import text_of

AROUND = "named above the table, on the sheet or in the file's name"
BY_ANSWER = "by the answer given"
IN_ROWS = "named in each row"
_CODE = re.compile(r"[a-z0-9][a-z0-9_-]{0,39}")


@dataclass
class Placed:
    """One fact of each data row (None where it is not known), and whether a column gives it."""

    values: list[str | None] = field(default_factory=list)
    is_by_row: bool = False


@dataclass(frozen=True)
class Around:
    """A table with what it is read with; facts are found for all its rows at once."""

    table: LearningTable
    reading: Reading
    said: Understood

    @property
    def texts(self) -> list[str]:
        """What stands around the table, the nearest first."""
        table = self.table.table
        return [*table.titles, table.sheet.name, *table.page_titles, self.reading.file_name]

    def fact(self, name: str, cells: Sequence[str], named: Callable[[str], str | None], around: Callable[[str], str | None]) -> Placed:
        """A fact by its column, else by the answer given, else by what stands around; recorded for the receipt.

        Args:
            name: semester, section, phase or instrument.
            cells: the column's texts by data row.
            named: what a cell or an answer says.
            around: what a title or a name says.
        """
        rows = self.table.table.data_rows
        if any(cells):
            self.said.say(name, None, IN_ROWS)
            return Placed([named(cell) if cell else None for cell in cells], is_by_row=True)
        answer = self.reading.recipe.get(f"constants.{name}")
        value = named(str(answer)) if answer else next(filter(None, map(around, self.texts)), None)
        if value:
            self.said.say(name, value, BY_ANSWER if answer else AROUND)
        return Placed([value] * len(rows))

    def cells(self, name: str) -> list[str]:
        """The texts of a column by data row, or what a heading gives to the row; blank where there is none."""
        table = self.table.table
        given = table.given.get(name, {})
        places = self.table.places(name)
        if places:
            header = {"header": self.reading.scrub(table.headers[places[0]]), "letter": letter(places[0]), "why": "the header names it"}
            self.said.columns[name] = header
        column = table.column(places[0]) if places else [None] * len(table.data_rows)
        return [text_of(cell) or str(given.get(row) or "") for row, cell in zip(table.data_rows, column, strict=True)]

    def ask(self, code: str, written: str | None, answers: Sequence[str], count: int, **words: str) -> None:
        """Put a question about the table; a text of the file is repeated only as far as it names nobody."""
        shown = self.reading.spellings.shown(written, words.pop("where", None)) if written else None
        place = {"sheet": self.table.table.sheet.name, "value": words.pop("value", shown)}
        self.said.questions.append(problem(code, place=place, count=count, answers=answers, **words))


def place_semesters(at: Around) -> Placed:
    """The semester of each row; asked where nothing says it, or where it is in no register."""
    registers = at.reading.registers
    cells = at.cells("semester")
    found = at.fact("semester", cells, lambda text: semester_named(text, registers), lambda text: semester_named(text, registers))
    answers = [f"constants.semester={semester}" for semester in reversed(registers.semesters)]
    answer = at.reading.recipe.get("constants.semester")
    unknown = _unknown(cells, found.values) or ({str(answer): len(found.values)} if answer and not any(found.values) else {})
    for text, count in unknown.items():
        at.ask("semester_unknown", text, answers, count)
    if not unknown and found.values and not any(found.values):
        at.ask("semester_missing_everywhere", None, answers, len(found.values))
    return found


def _unknown(cells: Sequence[str], values: Sequence[str | None]) -> Counter[str]:
    return Counter(text for text, value in zip(cells, values, strict=True) if text and value is None)


def place_sections(at: Around, semesters: Sequence[str | None]) -> list[str | None]:
    """The section of each row within its semester; None where the file names none."""
    reading = at.reading
    cells, answer = at.cells("section"), reading.recipe.get("constants.section")
    texts = [str(answer)] if answer else at.texts
    found: list[str | None] = []
    unknown = Counter[tuple[str, str]]()
    for text, semester in zip(cells, semesters, strict=True):
        if semester is None:
            found.append(None)
        elif text or answer:
            written = text or str(answer)
            code = section_named(reading.recipe.name_for("section", written) or written, semester, reading.registers, is_free_text=False)
            found.append(code)
            unknown[written, semester] += code is None
        else:
            named = (section_named(around, semester, reading.registers, is_free_text=True) for around in texts if around)
            found.append(next(filter(None, named), None))
    for (text, semester), count in unknown.items():
        codes = [section for named, section in reading.registers.sections if named == semester] if count else []
        if count:
            at.ask("section_unknown", text, reading.name_answers("section", text, codes), count, semester=semester)
    once = set(found)
    why = IN_ROWS if any(cells) else BY_ANSWER if answer else AROUND
    at.said.say("section", *(("none", "no section is named") if once == {None} else (next(iter(once)) if len(once) == 1 else None, why)))
    return found


def place_phases(at: Around, is_told: bool, sheets: int) -> Placed:
    """pre or post of each row; `is_told` where the columns of the table tell it themselves."""
    cells = at.cells("phase")
    if not any(map(phase_named, cells)):
        cells = [cell if phase_named(cell) else "" for cell in at.cells("instrument")]  # a test may be called "Pre-test"
    found = at.fact("phase", cells, phase_named, phase_within)
    if not is_told and not found.is_by_row and found.values and not any(found.values):
        sheet = at.said.sheet
        key = f"only.{sheet}.constants.phase" if sheets > 1 else "constants.phase"
        value = f"sheet {sheet}" if sheets > 1 else "the test"
        at.ask("phase_unclear", None, [f"{key}=pre", f"{key}=post"], len(found.values), value=value)
    return found


def phase_named(cell: str) -> str | None:
    """pre or post, as a cell says it."""
    return meaning_of("phase", cell) or phase_within(cell)


def instruments_known(registers: Registers) -> list[str]:
    """The tests that the outcomes name, in the order of the register."""
    return list(dict.fromkeys(outcome.instrument for outcome in registers.outcomes.values() if outcome.instrument))


def instrument_within(text: str, registers: Registers) -> str | None:
    """The one test that a text names by its code."""
    folded = f" {fold(text)} "
    found = [code for code in instruments_known(registers) if f" {fold(code)} " in folded]
    longest = [code for code in found if not any(fold(code) in fold(other) for other in found if other != code)]
    return longest[0] if len(longest) == 1 else None


def place_instruments(at: Around, items: set[str], hints: Sequence[str]) -> Placed:
    """The test of each row; `items` are those of the table, `hints` the headers of its columns of scores."""
    registers, recipe = at.reading.registers, at.reading.recipe

    def named(cell: str) -> str | None:
        said = recipe.name_for("instrument", cell)
        if said or cell == recipe.get("constants.instrument"):
            code = said or cell
            return code if _CODE.fullmatch(code) else None
        return instrument_within(cell, registers)

    cells = [cell if named(cell) or not phase_named(cell) else "" for cell in at.cells("instrument")]
    tests = at.cells("phase")
    if not any(cells) and any(instrument_within(cell, registers) for cell in tests):
        cells = tests  # "WP quiz, before" under "Test"
    found = at.fact("instrument", cells, named, lambda text: instrument_within(text, registers))
    answers = [f"{code}" for code in (*instruments_known(registers), "CODE")]
    for text, count in _unknown(cells, found.values).items():
        key = at.reading.spellings.key(text)
        at.ask("instrument_unknown", text, [f"names.instrument.{key}={code}" for code in answers], count)
    if found.is_by_row or any(found.values) or not found.values:
        return found
    by_hint = {code for hint in hints if (code := instrument_within(hint, registers))}
    by_items = set(_by_items(items, registers))
    for codes, why in ((by_hint, "named in a header"), (by_items, "its items are those of no other test")):
        if len(codes) == 1:
            (code,) = codes
            at.said.say("instrument", code, why)
            return Placed([code] * len(found.values))
    at.ask("instrument_unclear", None, [f"constants.instrument={code}" for code in answers], len(found.values))
    return found


def _by_items(items: set[str], registers: Registers) -> Iterator[str]:
    """Tests all of whose items, as the outcomes name them, are in the table, where no other test has one of them."""
    for code in instruments_known(registers):
        own = {fold(item) for outcome in registers.outcomes.values() if outcome.instrument == code for item in outcome.items}
        others = {fold(item) for outcome in registers.outcomes.values() if outcome.instrument not in (code, None) for item in outcome.items}
        if own and own <= {fold(item) for item in items} and not own & others:
            yield code
