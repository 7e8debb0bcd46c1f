"""Recipes: how files of one shape are understood. TOML in the home, written by the program, answered by the instructor."""

from __future__ import annotations

import copy
import hashlib
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ingest.contract import contract
from ingest.errors import RecipeInvalid
from ingest.folding import fold
from ingest.units import MPA_PER_UNIT

CHOICES: Mapping[str, tuple[str, ...]] = {
    "reading.unit": tuple(MPA_PER_UNIT),
    "reading.quantity": ("pressure", "potential"),
    "dates.order": ("day-first", "month-first", "year-first"),
    "clock.hours": ("24h", "afternoon", "split"),
    "constants.sampling_window": contract()["readings"].columns["sampling_window"].allowed,
}
CONSTANTS = ("semester", "section", "sampling_window", "date", "site", "taxon", "chamber")
NAMED = ("site", "taxon", "section")
SET_ASIDE = "set aside"
_HEAD = """\
# How files of this shape are understood. A file has this shape when its tables have these headers.
# What stands at the top level holds for every such file; what stands under [files.…] for one file alone.
#   [columns]  contract column = header as the class wrote it
#   [reading]  unit = MPa, bar, psi, kPa, atm or kgf/cm2; quantity = pressure or potential
#   [dates]    order = day-first, month-first or year-first
#   [clock]    hours = 24h, afternoon (hours 1 to 7 are p.m.) or split (1 to 3 are p.m., 4 to 7 a.m.)
#   [constants] semester, section, sampling_window, date, site, taxon or chamber of all rows
#   [names.site], [names.taxon]  "as written" = "code in the register", or "set aside"
#   [sheets]   leave_out = ["name of a sheet"]; header_row = { "name of a sheet" = 4 }
"""


@dataclass
class Recipe:
    """Answers for one shape; `for_file` lays one file's own answers over them."""

    shape: str = ""
    answers: dict[str, Any] = field(default_factory=dict)
    files: dict[str, dict[str, Any]] = field(default_factory=dict)
    path: Path | None = None

    def get(self, key: str) -> Any:
        """The answer at a dotted key such as reading.unit, or None."""
        section, _, name = key.partition(".")
        return self.answers.get(section, {}).get(name)

    def name_for(self, kind: str, text: str) -> str | None:
        """What the instructor said that a name as written stands for: a code, or SET_ASIDE, or None."""
        known: Mapping[str, str] = self.answers.get("names", {}).get(kind, {})
        return next((code for written, code in known.items() if fold(written) == fold(text)), None)

    def for_file(self, sha256: str) -> Recipe:
        """The recipe as it holds for one file."""
        merged = copy.deepcopy(self.answers)
        for section, body in self.files.get(sha256[:12], {}).items():
            _merge(merged, section, body)
        return Recipe(self.shape, merged, {}, self.path)

    def with_answers(self, sha256: str, answers: Iterable[str]) -> Recipe:
        """The recipe with answers KEY=VALUE of the command line, which hold for this file alone.

        Raises:
            RecipeInvalid: a key or value is not known.
        """
        files = copy.deepcopy(self.files)
        for answer in answers:
            key, equals, value = answer.partition("=")
            parts = [part.strip() for part in key.split(".", 2)]
            if not equals or len(parts) < 2 or (parts[0] == "names" and len(parts) < 3):
                raise RecipeInvalid(f"The answer {answer!r} is not understood: write KEY=VALUE, for example reading.unit=bar.")
            body: dict[str, Any] = {parts[-1]: _answered(key.strip(), value.strip())}
            for part in reversed(parts[1:-1]):
                body = {part: body}
            _merge(files.setdefault(sha256[:12], {}), parts[0], body)
        recipe = Recipe(self.shape, self.answers, files, self.path)
        _check(recipe.for_file(sha256).answers, "the command line")
        return recipe

    def as_toml(self, opening: str = "") -> str:
        """The recipe as a commented TOML text."""
        import tomlkit

        document = tomlkit.parse(_HEAD)
        for line in filter(None, opening.splitlines()):
            document.add(tomlkit.comment(line))
        document.add("recipe", tomlkit.item({"shape": self.shape, "kind": "readings"}))
        for section, body in self.answers.items():
            document.add(section, tomlkit.item(body))
        if self.files:
            document.add("files", tomlkit.item(self.files))
        return tomlkit.dumps(document)


def _answered(key: str, value: str) -> Any:
    """The value of an answer, in the type that a recipe has it in.

    Raises:
        RecipeInvalid: the header's row is no number.
    """
    if key == "sheets.leave_out":
        return [name.strip() for name in value.split(";")]
    if key.startswith("sheets.header_row"):
        if not value.isdecimal():
            raise RecipeInvalid(f"{key} = {value!r} is no row: write its number, for example sheets.header_row=4.")
        return int(value)
    return value


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
        raise RecipeInvalid(f"{source} is no valid TOML ({error}): correct that line.") from error
    head, files = raw.pop("recipe", {}), raw.pop("files", {})
    for body in (raw, *files.values()):
        _check(body, source)
    return Recipe(str(head.get("shape", "")), raw, files, path)


def find_recipe(folder: Path, shape: str) -> Recipe:
    """The recipe kept for a shape, or an empty one.

    Raises:
        RecipeInvalid: a recipe in the folder cannot be read.
    """
    for path in sorted(folder.glob("*.toml")):
        recipe = recipe_from(path.read_text("utf-8"), f"recipes/{path.name}", path)
        if recipe.shape == shape:
            return recipe
    return Recipe(shape)


def save_recipe(folder: Path, recipe: Recipe, opening: str = "") -> Path:
    """Write a recipe beside the others under its shape's name, or where it came from; returns the path."""
    path = recipe.path or folder / f"{recipe.shape}.toml"
    aside = path.with_suffix(".new")
    aside.write_text(recipe.as_toml(opening), "utf-8")
    aside.replace(path)
    return path


def _merge(into: dict[str, Any], key: str, value: Any) -> None:
    if isinstance(value, Mapping) and isinstance(into.get(key), dict):
        for name, inner in value.items():
            _merge(into[key], name, inner)
    else:
        into[key] = value


def _check(answers: Mapping[str, Any], source: str) -> None:
    known = {"columns": set(contract()["readings"].columns), "constants": set(CONSTANTS), "names": set(NAMED)}
    known |= {"reading": {"unit", "quantity"}, "dates": {"order"}, "clock": {"hours"}, "sheets": {"leave_out", "header_row"}}
    for section, body in answers.items():
        if section not in known:
            raise RecipeInvalid(f"{source}: [{section}] is not known; known are {', '.join(sorted(known))} and files.")
        if not isinstance(body, Mapping):
            raise RecipeInvalid(f"{source}: {section} must be a table, as [{section}].")
        for name, value in body.items():
            key = f"{section}.{name}"
            if name not in known[section]:
                raise RecipeInvalid(f"{source}: {key} is not known; known are {', '.join(sorted(known[section]))}.")
            if key in CHOICES and value not in CHOICES[key]:
                raise RecipeInvalid(f"{source}: {key} = {value!r} is not known; write one of {', '.join(CHOICES[key])}.")
            if key == "constants.date" and not re.fullmatch(r"\d{4}-\d\d-\d\d", str(value)):
                raise RecipeInvalid(f"{source}: {key} = {value!r} is no date; write it as YYYY-MM-DD.")
