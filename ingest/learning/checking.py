"""Check a file of scores or levels: told from readings by its content, understood, every row checked and accounted for."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path

from ingest.cells.people import Scrubber, pseudonym, student_pseudonym
from ingest.checked.checked import Asked, Checked
from ingest.checked.kept_answers import KeptWords, is_called, sheets_told
from ingest.checked.personal import headers_told
from ingest.checked.receipts import Receipt
from ingest.checked.understood import Reading
from ingest.contract import contract
from ingest.digests import of_values
from ingest.doubts.answers import split_answer
from ingest.doubts.recipes import Recipe, find_recipe, shape_of
from ingest.errors import RecipeInvalid
from ingest.files.containers import Container, letter
from ingest.folding import fold
from ingest.home import Home
from ingest.learning.headers import Heading, understand
from ingest.learning.people import people_named
from ingest.learning.placing import instruments_known
from ingest.learning.reading import read_learning
from ingest.learning.tables import LearningSheet, LearningTable, locate_learning
from ingest.learning.told import kind_told
from ingest.progress import Tell
from ingest.registers.aliases import aliases_said
from ingest.registers.registers import Registers
from ingest.registers.spellings import Spellings
from ingest.tables.columns import NO_COLUMN
from ingest.tables.labels import Labels

_WORDS = (
    *("item", "question", "total", "score", "points", "max", "maximum", "possible", "out", "test", "quiz", "phase", "outcome", "level"),
    *("rubric", "assessment", "pretest", "posttest", "absent", "excused", "scored", "not", "pts", "pre", "post"),
)
"""Words of such files that name nobody, beside those of the lab."""


def learning_told(container: Container, registers: Registers) -> str | None:
    """assessment or rubric, where the file's content is that of one; else None."""
    return kind_told(container.sheets, _measures_known(registers))


def _measures_known(registers: Registers) -> Mapping[str, Callable[[str], bool]]:
    """For each kind, what tells a header that the outcomes know: an item, or an outcome."""
    items = {fold(item) for outcome in registers.outcomes.values() for item in outcome.items}
    names = registers.names("outcomes")

    def is_outcome(text: str) -> bool:
        return any(fold(part) in names for part in (text, understand(text, "rubric").item, text.partition(":")[0]))

    def is_item(text: str) -> bool:
        heading = understand(text, "assessment")
        return not heading.is_numbered and fold(heading.item) in items

    return {"assessment": is_item, "rubric": is_outcome}


def check_learning(
    home: Home, container: Container, data: bytes, name: str, registers: Registers, asked: Asked, kind: str, tell: Tell
) -> Checked:
    """Check a file of scores (assessment) or levels (rubric); `tell` is told how far a long one is.

    Raises:
        RecipeInvalid: an answer or the recipe cannot be used.
    """
    settings, sha256 = home.settings(), hashlib.sha256(data).hexdigest()
    labels = Labels(registers)
    locate = partial(locate_learning, kind=kind, labels=labels, is_measure=_measures_known(registers)[kind])
    layouts = [locate(sheet) for sheet in container.sheets]
    if not any(layout.tables for layout in layouts):  # a header without a word of ours: students over numbers
        locate = partial(locate_learning, kind=kind, labels=labels, is_measure=lambda _: True)
        layouts = [locate(sheet) for sheet in container.sheets]
    shape = shape_of([[kind], *(table.table.headers.values() for layout in layouts for table in layout.tables)])
    kept = find_recipe(home.recipes, shape, kind).with_answers(sha256, asked.answers)
    recipe = kept.for_file(sha256)
    layouts = [_by_recipe(layout, recipe, locate, len(layouts)) for layout in layouts]
    tables = [table for layout in layouts for table in layout.tables]
    _refuse_idle_answers(asked, tables)
    people = people_named(tables)
    scrubber = Scrubber([*registers.words(), *_words_of(registers, kind)], people)
    coded = partial(pseudonym, home.key(), settings.program_code)
    spellings = Spellings(registers, scrubber.scrub, coded, people, is_of_students=True)
    told = headers_told((table.table for table in tables), scrubber.scrub)
    by_letter = {fold(text): shown for text, shown in told.items() if shown.startswith("column ")}
    words = KeptWords(spellings.key, by_letter, sheets_told(container.sheets, scrubber.scrub))
    kept = words.recipe(kept)
    recipe = replace(kept.for_file(sha256), key_of=spellings.key)
    reading = Reading.for_file(
        *(registers, settings, recipe, spellings),
        scrub=scrubber.scrub,
        pseudonym=coded,
        people=people,
        file_name=Path(name).stem,
        told=told,
        tell=tell,
    )
    receipt = Receipt(scrubber.scrub(Path(name).name), sha256, kind, notes=list(container.notes))
    rows = read_learning(layouts, reading, partial(student_pseudonym, home.key(), settings.program_code), receipt)
    receipt.fingerprint = of_values([sha256, kind, *receipt.as_understood(), recipe.answers])
    receipt.aliases = aliases_said(recipe.answers, registers, tuple(receipt.semesters))
    asked = replace(asked, answers=tuple(map(words.answer, asked.answers)))
    if not receipt.is_refused:
        receipt.verdict = "can be loaded"
    return Checked(receipt, rows.columns, kept, data, name, asked, recipe.answers, rows.places)


def _words_of(registers: Registers, kind: str) -> list[str]:
    """What may be repeated of such a file: the words of our headers, and the codes of outcomes and tests, but not their sentences."""
    headers = [phrase for column in contract()[kind].columns.values() for phrase in (column.name.replace("_", " "), *column.header)]
    return [*headers, *_WORDS, *registers.outcomes, *instruments_known(registers)]


def _by_recipe(layout: LearningSheet, recipe: Recipe, locate: Callable[..., LearningSheet], sheets: int) -> LearningSheet:
    """The sheet as the recipe has it: left out, its header in another row, its columns named by the instructor."""
    sheet = layout.sheet
    stated = recipe.get("sheets.header_row") or {}
    of_sheet = [row for name, row in stated.items() if is_called(name, sheet)] if isinstance(stated, Mapping) else [stated]
    if any(is_called(name, sheet) for name in recipe.get("sheets.leave_out") or ()):
        return LearningSheet(sheet, [], dict.fromkeys(range(1, len(sheet.rows) + 1), "sheet_left_out"))
    if of_sheet:
        layout = locate(sheet, header_row=of_sheet[0])
    for table in layout.tables:
        for column, header in recipe.for_sheet(partial(is_called, sheet=sheet)).answers.get("columns", {}).items():
            table.headings = {
                place: replace(heading, role=_role(column, fold(str(header)), place, heading)) for place, heading in table.headings.items()
            }
    return layout


def _role(column: str, said: str, place: int, heading: Heading) -> str | None:
    """What a header names after one answer: the column that it was said to be, nothing where none is that column, else as before."""
    if said in (fold(heading.text), f"column {letter(place).casefold()}"):
        return column
    return None if said == NO_COLUMN and heading.role == column else heading.role


def _refuse_idle_answers(asked: Asked, tables: list[LearningTable]) -> None:
    """An answer that names a header which is nowhere would change nothing, and its writer would think it had.

    Raises:
        RecipeInvalid: no table has that header.
    """
    known = {fold(text) for table in tables for text in table.table.headers.values()}
    letters = {f"column {letter(place).casefold()}" for table in tables for place in table.headings}
    for answer in asked.answers:
        key, header = split_answer(answer)
        if key.startswith("columns.") and known and fold(header) not in known | letters | {NO_COLUMN}:
            raise RecipeInvalid(f"Name one of the file's headers for {key}, or its letter as 'column C': {header!r} is none of them.")
