"""What the recipes of each kind of file may say: the tables, their keys, and the values where only a few are known."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from ingest.contract import contract
from ingest.errors import RecipeInvalid
from ingest.units import MPA_PER_UNIT

WINDOWS = contract()["readings"].columns["sampling_window"].allowed
CHOICES: Mapping[str, tuple[str, ...]] = {
    "reading.unit": (*MPA_PER_UNIT, "chamber"),
    "reading.quantity": ("pressure", "potential", "either"),
    "dates.order": ("day-first", "month-first", "year-first"),
    "clock.hours": ("24h", "afternoon", "split"),
    "constants.sampling_window": WINDOWS,
    "constants.phase": ("pre", "post"),
    "score.unit": ("points", "percent", "share"),
}
_OF_READINGS = {"reading": ("unit", "quantity"), "dates": ("order",), "clock": ("hours",)}
CONSTANTS = ("semester", "section", "sampling_window", "date", "site", "taxon", "chamber")
REMEMBERED = ("site", "taxon", "chamber", "section")
NAMED = (*REMEMBERED, "sampling_window", "plant", "leaf")  # the last three stand in headers of columns of readings
SET_ASIDE = "set aside"
_OF_LEARNING: Mapping[str, tuple[str, ...]] = {
    "constants": ("semester", "section", "instrument", "phase"),
    "names": ("outcome", "instrument", "item", "section", "level"),
    "alias": ("outcome", "section"),
    "score": ("unit",),
}
KNOWN: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "readings": {"constants": CONSTANTS, "names": NAMED, "alias": REMEMBERED, **_OF_READINGS},
    "assessment": _OF_LEARNING,
    "rubric": _OF_LEARNING,
}
"""Kind of file, then table of its recipes, to the keys that it may hold; [columns] and [sheets] are common to all."""


def check_answers(answers: Mapping[str, Any], source: str, kind: str) -> None:
    """See that a recipe of one kind holds nothing but what it may.

    Raises:
        RecipeInvalid: a table, a key or a value is not known; the message names it.
    """
    known = {"columns": set(contract()[kind].columns), "sheets": {"leave_out", "header_row"}, **KNOWN[kind]}
    for section, body in answers.items():
        if section == "maximum" and kind == "assessment":
            _check_maxima(body, source)
            continue
        if section not in (*known, "only"):
            raise RecipeInvalid(f"{source}: leave out {section}, which is not known; known are {', '.join(sorted(known))} and files.")
        if not isinstance(body, Mapping):
            raise RecipeInvalid(f"{source}: write {section} as a table, [{section}].")
        for name, value in body.items():
            if section == "only":
                check_answers(value, source, kind)
            elif name not in known[section]:
                raise RecipeInvalid(
                    f"{source}: leave out {section}.{name}, which is not known; known are {', '.join(sorted(known[section]))}."
                )
            else:
                _check_value(f"{section}.{name}", value, source)


def _check_maxima(body: Any, source: str) -> None:
    """Each item's own highest score, under any name."""
    for name, value in body.items() if isinstance(body, Mapping) else [("maximum", body)]:
        if not re.fullmatch(r"\d+([.,]\d+)?", str(value)) or not float(str(value).replace(",", ".")):
            raise RecipeInvalid(f"{source}: write a number above 0 for maximum.{name}; {value!r} is none.")


def _check_value(key: str, value: Any, source: str) -> None:
    if key in CHOICES and value not in CHOICES[key]:
        raise RecipeInvalid(f"{source}: write one of {', '.join(CHOICES[key])} for {key}; {value!r} is not known.")
    if key == "constants.date" and not re.fullmatch(r"\d{4}-\d\d-\d\d", str(value)):
        raise RecipeInvalid(f"{source}: write {key} as YYYY-MM-DD; {value!r} is no such date.")
    if key.startswith(("names.", "alias.")) and not isinstance(value, Mapping):
        raise RecipeInvalid(f'{source}: write [{key}] as a table, with a line "as written" = "code" for each name.')
