"""Recipes: how files of one shape are understood. TOML in the home, written by the program, answered by the instructor."""

from __future__ import annotations

import copy
import hashlib
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from ingest.doubts.answers import flat, merge, nested, split_answer, unfolded
from ingest.doubts.questions import Question
from ingest.doubts.recipe_keys import KNOWN, check_answers
from ingest.errors import RecipeInvalid
from ingest.folding import fold

_HEAD = """\
# How files of this shape are understood. A file has this shape when its tables have these headers.
# What stands at the top level holds for every such file; what stands under [files.…] for one file alone, a line for
# each answer, as "reading.unit" = "bar". A line with nothing between its quotes is a question that is still open.
#   [columns]  contract column = header as the class wrote it
#   [reading]  unit = MPa, bar, psi, kPa, atm or kgf/cm2; quantity = pressure, potential or either
#   [dates]    order = day-first, month-first or year-first
#   [clock]    hours = 24h, afternoon (hours 1 to 7 are p.m.) or split (1 to 3 are p.m., 4 to 7 a.m.)
#   [constants] semester, section, sampling_window, date, site, taxon or chamber of all rows
#   [names.site], [names.taxon], [names.section], [names.chamber]  "as written" = "code in the register", or "set aside"
#   [alias.site] …  the same, and the spelling is remembered in the register when a file is loaded
#   [only."name of a sheet".reading] …  unit, quantity, order and hours of one sheet
#   Of scores and levels: [constants] semester, section, instrument, phase; [score] unit = points, percent or share; [maximum]
#   Q1 = 2, items = 1 (of every item) or total = 20; [names.level], [names.item], [names.instrument], [names.outcome]
#   [sheets]   leave_out = ["name of a sheet"]; header_row = { "name of a sheet" = 4 }
"""


@dataclass
class Recipe:
    """Answers for one shape; `for_file` lays one file's own answers over them.

    `key_of` gives the key under which a name as written may have been answered, where it may not be repeated; `code_of` the
    code of a header.
    """

    shape: str = ""
    answers: dict[str, Any] = field(default_factory=dict)
    files: dict[str, dict[str, Any]] = field(default_factory=dict)
    path: Path | None = None
    key_of: Callable[[str], str] | None = None
    code_of: Callable[[str], str] | None = None
    kind: str = "readings"

    def get(self, key: str) -> Any:
        """The answer at a dotted key such as reading.unit, or None."""
        section, _, name = key.partition(".")
        return self.answers.get(section, {}).get(name)

    def name_for(self, kind: str, text: str) -> str | None:
        """What the instructor said that a name as written stands for: a code, or SET_ASIDE, or None."""
        names = self.names(kind)
        folded, is_doubted = fold(text), "?" in text
        said = next((code for written, code in names.items() if fold(written) == folded and ("?" in written) == is_doubted), None)
        return names.get(self.key_of(text)) if said is None and names and self.key_of else said

    def names(self, kind: str) -> Mapping[str, str]:
        """Everything that the instructor said of names of a kind, whether it is to be remembered or not."""
        return {**self.answers.get("alias", {}).get(kind, {}), **self.answers.get("names", {}).get(kind, {})}

    def for_sheet(self, is_called: Callable[[str], bool]) -> Recipe:
        """The recipe with the answers that hold for one sheet alone; `is_called` says which names are its own."""
        merged = copy.deepcopy(self.answers)
        for sheet, answers in merged.pop("only", {}).items():
            if is_called(sheet):
                for section, body in answers.items():
                    merge(merged, section, body)
        return replace(self, answers=merged, files={})

    def for_file(self, sha256: str) -> Recipe:
        """The recipe as it holds for one file: a header of which the file's own answers speak is nothing else."""
        merged, own = copy.deepcopy(self.answers), self.files.get(sha256[:12], {})
        said = {fold(str(header)) for header in own.get("columns", {}).values()}
        if "columns" in merged:
            merged["columns"] = {name: header for name, header in merged["columns"].items() if fold(str(header)) not in said}
        for section, body in own.items():
            merge(merged, section, body)
        return replace(self, answers=merged, files={})

    def with_answers(self, sha256: str, answers: Iterable[str]) -> Recipe:
        """The recipe with answers KEY=VALUE of the command line, which hold for this file alone.

        Raises:
            RecipeInvalid: a key or value is not known.
        """
        files = copy.deepcopy(self.files)
        for answer in answers:
            key, value = split_answer(answer)
            for section, inner in nested(key, value, f"the answer {answer!r}").items():
                merge(files.setdefault(sha256[:12], {}), section, inner)
        recipe = replace(self, files=files)
        check_answers(recipe.for_file(sha256).answers, "The command line", self.kind)
        return recipe

    def as_toml(self, questions: Sequence[Question] = (), sha256: str = "", file: str = "") -> str:
        """The recipe as a commented TOML text, with a line to fill in for each open question of one file."""
        import tomlkit

        document = tomlkit.parse(_HEAD)
        document.add("recipe", tomlkit.item({"shape": self.shape, "kind": self.kind}))
        for section, body in self.answers.items():
            document.add(section, tomlkit.item(body))
        lines = [tomlkit.dumps(document)]
        files = {**self.files, **({sha256[:12]: self.files.get(sha256[:12], {})} if questions else {})}
        for own, body in files.items():
            named = f"# Answers for {_commented(file)}\n" if file and own == sha256[:12] else ""
            lines.append(f"\n{named}[files.{_text(own)}]\n")
            lines.extend(f"{_text(key)} = {tomlkit.item(value).as_string()}\n" for key, value in flat(body))
            if own == sha256[:12]:
                lines.extend(line + "\n" for question in questions for line in _open_lines(question))
        return "".join(lines)


def _open_lines(question: Question) -> Iterator[str]:
    """A question as a comment, and a blank answer for each of its keys."""
    yield f"# OPEN: {_commented(question.text())}"
    if not question.answers:
        yield f"#   To do: {_commented(question.to_do)}"
    if len(question.keys) > 1:
        yield "#   Fill in one of these lines:"
    for key in question.keys:
        values = [value for found, value in map(split_answer, question.answers) if found == key]
        yield f'{_text(key)} = ""  # {_commented(", ".join(values))}'


def _commented(text: str) -> str:
    return "".join(sign if sign.isprintable() else " " for sign in text)


def _text(text: str) -> str:
    import tomlkit

    return tomlkit.item(text).as_string()


def shape_of(header_lines: Iterable[Iterable[str]]) -> str:
    """The shape of a file: a short hash of the headers of its tables, whatever their order in the file."""
    lines = sorted({"\t".join(fold(header) for header in headers) for headers in header_lines})
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()[:12]


def recipe_from(text: str, source: str, path: Path | None = None) -> Recipe:
    """Read a recipe.

    Raises:
        RecipeInvalid: no TOML, or a key or value that is not known; the message names it.
    """
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RecipeInvalid(f"Correct {source}: it is no valid TOML ({error}).") from error
    head, files = raw.pop("recipe", {}), {name: unfolded(body, source) for name, body in raw.pop("files", {}).items()}
    kind = str(head.get("kind", "readings"))
    if kind not in KNOWN:
        raise RecipeInvalid(f"{source}: write one of {', '.join(KNOWN)} for its kind; {kind!r} is not known.")
    for body in (raw, *files.values()):
        check_answers(body, source, kind)
    return Recipe(str(head.get("shape", "")), raw, files, path, kind=kind)


def find_recipe(folder: Path, shape: str, kind: str = "readings") -> Recipe:
    """The recipe kept for a shape, or an empty one.

    Raises:
        RecipeInvalid: a recipe in the folder cannot be read.
    """
    for path in sorted(folder.glob("*.toml")):
        recipe = recipe_from(path.read_text("utf-8"), f"recipes/{path.name}", path)
        if (recipe.shape, recipe.kind) == (shape, kind):
            return recipe
    return Recipe(shape, kind=kind)


def save_recipe(folder: Path, recipe: Recipe, questions: Sequence[Question] = (), sha256: str = "", file: str = "") -> Path:
    """Write a recipe, with one file's open questions, under its shape's name, or where it came from; returns the path."""
    path = recipe.path or folder / f"{recipe.shape}.toml"
    aside = path.with_suffix(".new")
    aside.write_text(recipe.as_toml(questions, sha256, file), "utf-8")
    aside.replace(path)
    return path
