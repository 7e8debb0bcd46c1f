"""Coded problems: what a receipt can say about a row, a column or a file.

The codes themselves, with their severities and messages, stand in `ingest.problem_kinds`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from ingest.problem_kinds import KINDS, Severity


@dataclass(frozen=True)
class Problem:
    """One problem at one place; places not known are None. `count` rows are meant, the first is named."""

    code: str
    severity: Severity
    message: str
    suggestion: str
    sheet: str | None = None
    row: int | None = None
    column: str | None = None
    cell: str | None = None
    value: str | None = None
    count: int = 1

    def as_dict(self) -> dict[str, Any]:
        """The problem as a plain mapping, for JSON."""
        return asdict(self)

    def at(self, **place: Any) -> Problem:
        """The same problem at another place."""
        return replace(self, **place)


class _Blank(dict[str, Any]):
    """Leaves a placeholder that was not given as a question mark rather than fail while reporting."""

    def __missing__(self, key: str) -> str:
        return "?"


def problem(code: str, *, place: Mapping[str, Any] | None = None, count: int = 1, **words: Any) -> Problem:
    """Make a problem of a known code.

    Args:
        code: a key of `KINDS`.
        place: any of sheet, row, column, cell, value.
        count: how many rows it stands for.
        words: what fills the message; `value` and `column` are taken from the place where not given.

    Raises:
        KeyError: the code is not known (a mistake of ours, not of a user).
    """
    kind = KINDS[code]
    where = dict(place or {})
    filled = _Blank({"value": where.get("value"), "column": where.get("column"), **words})
    return Problem(
        code=code,
        severity=kind.severity,
        message=kind.message.format_map(filled),
        suggestion=kind.suggestion.format_map(filled),
        count=count,
        **where,
    )
