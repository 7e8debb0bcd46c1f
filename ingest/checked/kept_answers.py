"""Answers as they may be kept: what was typed of a sheet, a header or a name in a cell goes under words that name no person.

A sheet goes by its name as the receipt shows it, a header by its column's letter or by a keyed code, a name in a cell by its code.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from ingest.cells.people import MARK
from ingest.doubts.answers import flat, nested, one_line, split_answer
from ingest.doubts.recipe_keys import REMEMBERED, SET_ASIDE
from ingest.doubts.recipes import Recipe
from ingest.errors import RecipeInvalid
from ingest.files.containers import Sheet, letter
from ingest.folding import fold
from ingest.tables.columns import NO_COLUMN
from ingest.tables.tables import SheetLayout, Table


def sheet_shown(sheet: Sheet, scrub: Callable[[str], str]) -> str:
    """A sheet's name without persons; its number tells sheets apart whose names were cut."""
    scrubbed = scrub(sheet.name)
    return scrubbed if scrubbed == sheet.name else f"{scrubbed} ({sheet.number})"


def is_called(said: str, sheet: Sheet) -> bool:
    """True where an answer names this sheet, by its name or as the receipt shows it."""
    return said.endswith(f"({sheet.number})") if MARK in said else fold(said) == fold(sheet.name)


@dataclass(frozen=True)
class KeptWords:
    """What stands for the words of one file where answers are kept.

    `key` is for names in cells; `headers` (folded) and `sheets` hold those headers and sheets alone that may name a person.
    """

    key: Callable[[str], str]
    headers: Mapping[str, str]
    sheets: Mapping[str, str]

    def recipe(self, recipe: Recipe) -> Recipe:
        """The recipe as it may be kept; what stands at its top level the instructor wrote, for all files."""
        return replace(recipe, files={own: self.of(body) for own, body in recipe.files.items()})

    def of(self, body: Mapping[str, Any]) -> dict[str, Any]:
        """The answers of one file, or of one sheet of it, as they may be kept."""
        return {section: self._section(section, answers) for section, answers in body.items()}

    def answer(self, typed: str) -> str:
        """One answer KEY=VALUE as it may be kept."""
        key, value = split_answer(typed)
        ((said, kept),) = flat(self.of(nested(key, value, f"the answer {typed!r}")))
        return f"{said}={'; '.join(kept) if isinstance(kept, list) else kept}"

    def _section(self, section: str, answers: Mapping[str, Any]) -> dict[str, Any]:
        if section == "only":
            return {self._sheet(name): self.of(body) for name, body in answers.items()}
        if section == "columns":
            return {column: self.headers.get(fold(str(header)), header) for column, header in answers.items()}
        if section == "names":
            return {kind: {self.key(written): self._code(kind, code) for written, code in names.items()} for kind, names in answers.items()}
        if section == "constants":
            return {kind: self._code(kind, value) for kind, value in answers.items()}
        return {name: self._of_sheets(value) for name, value in answers.items()} if section == "sheets" else dict(answers)

    def _of_sheets(self, value: Any) -> Any:
        if isinstance(value, Mapping):
            return {self._sheet(name): row for name, row in value.items()}
        return [self._sheet(name) for name in value] if isinstance(value, list) else value

    def _sheet(self, name: str) -> str:
        return self.sheets.get(fold(name), name)

    def _code(self, kind: str, value: Any) -> Any:
        """A code of a register stays; a name that was typed in its place may be a person's."""
        return self.key(value) if kind in REMEMBERED and isinstance(value, str) and value != SET_ASIDE else value


def kept_words(
    layouts: Iterable[SheetLayout],
    told: Mapping[str, str],
    scrub: Callable[[str], str],
    key: Callable[[str], str],
    code: Callable[[str], str],
) -> KeptWords:
    """What stands for the words of a file; `told` says how its headers are told, `code` makes a keyed code of any text."""
    headers = {fold(text): shown if shown.startswith("column ") else code(text) for text, shown in told.items()}
    return KeptWords(key, headers, sheets_told((layout.sheet for layout in layouts), scrub))


def sheets_told(sheets: Iterable[Sheet], scrub: Callable[[str], str]) -> dict[str, str]:
    """How each sheet is told whose name (folded) may be a person's."""
    told = {fold(sheet.name): sheet_shown(sheet, scrub) for sheet in sheets}
    return {name: shown for name, shown in told.items() if MARK in shown}


def refuse_idle_answers(
    answers: Sequence[str],
    layouts: Sequence[SheetLayout],
    told: Mapping[str, str],
    scrub: Callable[[str], str],
    code: Callable[[str], str],
) -> None:
    """An answer that names a header or a sheet which is nowhere would change nothing, and its writer would think it had.

    Raises:
        RecipeInvalid: no table has that header, or the file no such sheet.
    """
    for answer in answers:
        key, value = split_answer(answer)
        ((section, body),) = nested(key, value, f"the answer {answer!r}").items()
        here = layouts
        if section == "only":
            ((sheet, inner),) = body.items()
            here = _called([sheet], layouts, scrub)
            ((section, body),) = inner.items()
        if section == "columns":
            _refuse_header(value, [table for layout in here for table in layout.tables], told, code)
        elif section == "sheets":
            _called([name for said in body.values() if isinstance(said, (list, dict)) for name in said], layouts, scrub)


def _called(names: Sequence[str], layouts: Sequence[SheetLayout], scrub: Callable[[str], str]) -> list[SheetLayout]:
    found = []
    for name in names:
        here = [layout for layout in layouts if is_called(name, layout.sheet)]
        if not here:
            shown = ", ".join(repr(sheet_shown(layout.sheet, scrub)) for layout in layouts)
            raise RecipeInvalid(f"Name one of the sheets {shown}: no sheet is called {name!r}.")
        found.extend(here)
    return found


def _refuse_header(header: str, tables: Sequence[Table], told: Mapping[str, str], code: Callable[[str], str]) -> None:
    headers = [text for table in tables for text in table.headers.values()]
    letters = {f"column {letter(place).casefold()}" for table in tables for place in table.headers}
    codes = {code(one_line(text)) for text in headers}
    if headers and header not in codes and fold(header) not in {*map(fold, headers), *letters, NO_COLUMN}:
        named = ", ".join(told.get(one_line(text), repr(text)) for text in headers)
        raise RecipeInvalid(f"Name one of the headers {named}: no column is called {header!r}.")
