"""Answers: KEY=VALUE as the user writes them, and as the tables of a recipe hold them."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from ingest.errors import RecipeInvalid

TO_FILL_IN = ("ROW", "YYYY-MM-DD", "HEADER", "NUMBER", "CODE")
OPTIONS = ("gauge", "kind")  # answers that are options of the command line
_SHOWN = 8  # of the values of one key; a terminal and the recipe list all


def one_line(text: str) -> str:
    """A header or a name as it is written in an answer: line breaks and runs of blanks are one blank."""
    return " ".join(text.split())


def split_answer(answer: str) -> tuple[str, str]:
    """The key and the value of KEY=VALUE; a name as written may hold the sign of equality itself. ('', '') where it is none."""
    parts = answer.rpartition("=") if answer.startswith(("names.", "alias.")) else answer.partition("=")
    return (parts[0].strip(), parts[2].strip()) if parts[1] else ("", "")


def answer_line(answers: Sequence[str]) -> str:
    """How the answers are given on the command line: each key once, with its first value and the others in brackets."""
    values: dict[str, list[str]] = {}
    for answer in answers:
        key, value = split_answer(answer)
        values.setdefault(key, []).append(value)
    lines = []
    for key, (first, *others) in values.items():
        option = f"--{key} {shlex.quote(first)}" if key in OPTIONS else f"--answer {shlex.quote(f'{key}={first}')}"
        listed = ", ".join(others[:_SHOWN]) + (f" and {len(others) - _SHOWN} more" if len(others) > _SHOWN else "")
        lines.append(option + (f" (or {listed})" if others else ""))
    return " or ".join(lines)


def nested(key: str, value: Any, source: str) -> dict[str, Any]:
    """A dotted key and its value as the tables of a recipe.

    Raises:
        RecipeInvalid: it is no key of an answer.
    """
    parts = [part.strip() for part in key.split(".", 2)]
    if parts[0] == "only" and key.count(".") > 2:  # the name of a sheet may hold points
        sheet, *parts = key.partition(".")[2].rsplit(".", 2)
        return {"only": {sheet: {parts[0]: {parts[1]: _answered(".".join(parts), value)}}}}
    if len(parts) < 2 or (parts[0] in ("names", "alias") and len(parts) < 3):
        raise RecipeInvalid(f"Write {source} as KEY=VALUE, for example reading.unit=bar: it is not understood.")
    body: Any = _answered(key, value)
    for part in reversed(parts):
        body = {part: body}
    return dict(body)


def flat(body: Mapping[str, Any], prefix: str = "") -> Iterator[tuple[str, Any]]:
    """The answers of a recipe's tables as dotted keys and values."""
    for name, value in body.items():
        if isinstance(value, Mapping):
            yield from flat(value, f"{prefix}{name}.")
        else:
            yield f"{prefix}{name}", value


def unfolded(body: Mapping[str, Any], source: str) -> dict[str, Any]:
    """A file's own answers as tables, from lines such as "reading.unit" = "bar"; blank ones are questions still open.

    Raises:
        RecipeInvalid: a line is no answer.
    """
    tables: dict[str, Any] = {}
    for key, value in body.items():
        if isinstance(value, Mapping):
            merge(tables, key, value)
            continue
        if value == "":
            continue
        for section, inner in nested(key, value, f"the line {key!r} of {source}").items():
            merge(tables, section, inner)
    return tables


def _answered(key: str, value: Any) -> Any:
    """The value of an answer, in the type that a recipe has it in.

    Raises:
        RecipeInvalid: the header's row is no number.
    """
    if not isinstance(value, str):
        return value
    if key == "sheets.leave_out":
        return [name.strip() for name in value.split(";")]
    if key.startswith("sheets.header_row"):
        if not value.isdecimal():
            raise RecipeInvalid(f"Write the number of the row, for example sheets.header_row=4: {key} = {value!r} is none.")
        return int(value)
    return value


def merge(into: dict[str, Any], key: str, value: Any) -> None:
    """Lay a value into a table under a key; tables are joined, everything else is replaced."""
    if isinstance(value, Mapping) and isinstance(into.get(key), dict):
        for name, inner in value.items():
            merge(into[key], name, inner)
    else:
        into[key] = value
