"""Coded problems: what a receipt can say about a row, a column or a file.

The codes themselves, with their severities and messages, stand in `ingest.doubts.problem_kinds`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from ingest.doubts.answers import answer_line
from ingest.doubts.problem_kinds import KINDS, Severity


@dataclass(frozen=True)
class Problem:
    """One problem at one place; places not known are None. `count` rows are meant, the first is named.

    `answers` are the KEY=VALUE of which one settles it; a value that stands in `TO_FILL_IN` is to be written by who answers.
    """

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
    answers: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """The problem as a plain mapping, for JSON."""
        return asdict(self)

    def at(self, **place: Any) -> Problem:
        """The same problem at another place."""
        return replace(self, **place)


_NO_ANSWER = re.compile(r"[^:,;]*: \{answer\}(?:; or )?")


def merged(problems: Iterable[Problem]) -> list[Problem]:
    """The problems with those that are alike in everything but their count as one."""
    counts: dict[Problem, int] = {}
    for one in problems:
        alike = one.at(count=0)
        counts[alike] = counts.get(alike, 0) + one.count
    return [alike.at(count=count) for alike, count in counts.items()]


class _Blank(dict[str, Any]):
    """Leaves a placeholder that was not given as a question mark rather than fail while reporting."""

    def __missing__(self, key: str) -> str:
        return "?"


def problem(code: str, /, *, place: Mapping[str, Any] | None = None, count: int = 1, answers: Sequence[str] = (), **words: Any) -> Problem:
    """Make a problem of a known code.

    Args:
        code: a key of `KINDS`.
        place: any of sheet, row, column, cell, value.
        count: how many rows it stands for.
        answers: KEY=VALUE, of which one settles it.
        words: what fills the message; `value` and `column` are taken from the place where not given.

    Raises:
        KeyError: the code is not known (a mistake of ours, not of a user).
    """
    kind = KINDS[code]
    where = dict(place or {})
    filled = _Blank({"value": where.get("value"), "column": where.get("column"), "answer": answer_line(answers), **words})
    suggestion = kind.suggestion if answers else _NO_ANSWER.sub("", kind.suggestion)
    return Problem(
        code=code,
        severity=kind.severity,
        message=kind.message.format_map(filled),
        suggestion=suggestion.format_map(filled) or "correct the file, or the registers",
        count=count,
        answers=tuple(dict.fromkeys(answers)),
        **where,
    )
