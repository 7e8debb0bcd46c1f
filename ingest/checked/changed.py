"""What a file would change against uploads in use, as a list that is written only where it is looked at.

A file of very many rows that covers dozens of uploads is new to each of them in nearly all of its rows: these are counted, and told
one by one to whoever asks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import chain, islice
from typing import Any, overload

Change = dict[str, Any]

_PLAIN = ("row", "value", "reading_as_written", "score_as_written", "level_as_written")
"""Columns that need no name where a change is told: it is what was read."""


class Changes(Sequence[Change]):
    """Changes in order: those that are told, then a row that is new at each of the given indices, as `new_row` tells it."""

    def __init__(self, told: Sequence[Change] = (), new: Sequence[int] = (), new_row: Callable[[int], Change] | None = None) -> None:
        self._parts: list[tuple[Sequence[Any], Callable[[Any], Change] | None]] = [(told, None), (new, new_row)]

    @classmethod
    def joined(cls, several: Iterable[Changes]) -> Changes:
        """The changes against several uploads, one upload after the other."""
        one = cls()
        one._parts = [part for each in several for part in each._parts]
        return one

    def __len__(self) -> int:
        return sum(len(rows) for rows, _ in self._parts)

    @overload
    def __getitem__(self, at: int) -> Change: ...

    @overload
    def __getitem__(self, at: slice) -> list[Change]: ...

    def __getitem__(self, at: int | slice) -> Change | list[Change]:
        if isinstance(at, slice):
            return [self[index] for index in range(*at.indices(len(self)))]
        left = at + len(self) if at < 0 else at
        for rows, told in self._parts:
            if 0 <= left < len(rows):
                return told(rows[left]) if told else rows[left]
            left -= len(rows)
        raise IndexError(at)

    def __iter__(self) -> Iterator[Change]:
        return chain.from_iterable(map(told, rows) if told else rows for rows, told in self._parts)

    def lines(self, most: int) -> Iterator[tuple[list[str], int]]:
        """What changed, what is gone and what is new: of each the first lines, at most so many, and how many there are."""
        found: dict[str, tuple[list[str], int]] = {}
        for rows, told in self._parts:
            if told and rows:  # all of them are new
                shown, count = found.get("new", ([], 0))
                shown += map(_line, map(told, islice(rows, max(0, most - count))))
                found["new"] = shown, count + len(rows)
            for change in () if told else rows:
                verb = _verb(change)
                shown, count = found.get(verb, ([], 0))
                shown += [_line(change)] if count < most else []
                found[verb] = shown, count + 1
        yield from found.values()


def _verb(change: Change) -> str:
    return "changed" if change["column"] != "row" else "new" if change["before"] == "none" else "gone"


def _line(change: Change) -> str:
    what = "" if change["column"] in _PLAIN else change["column"].replace("_", " ") + " "
    return f"  {_verb(change)}: {change['place']}: {what}{change['before']} → {change['after']}"
