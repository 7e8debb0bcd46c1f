"""How far the reading of a long file is, in words: a step and its rows, a few times a second. Of a short file nothing is told.

Whoever wants to know hands over a function that takes the words; it is passed along to where the rows are.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TypeVar

T = TypeVar("T")
Tell = Callable[[str], None]

LONG_ROWS = 10_000  # fewer are read in about two seconds
EVERY_ROWS = 500
SECONDS = 0.3


def nobody(_: str) -> None:
    """Takes the words where nobody waits for them."""


def begun(tell: Tell, step: str, rows: int) -> None:
    """Tell that a step begins which takes all rows at once."""
    if rows >= LONG_ROWS:
        tell(f"{step}: {rows:,} rows")


def counted(tell: Tell, step: str, rows: Sequence[T]) -> Iterable[T]:
    """Go through the rows of a step, and tell how many are done."""
    return rows if tell is nobody or len(rows) < LONG_ROWS else _counted(tell, step, rows)


def _counted(tell: Tell, step: str, rows: Sequence[T]) -> Iterator[T]:
    due = 0.0
    for start in range(0, len(rows), EVERY_ROWS):
        if (now := time.monotonic()) >= due:
            tell(f"{step}: {start:,} of {len(rows):,} rows")
            due = now + SECONDS
        yield from rows[start : start + EVERY_ROWS]
