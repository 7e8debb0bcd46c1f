"""Numbers and codes as words: a proper minus, the same decimals in a column, groups and semesters as people say them."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Sequence
from html import escape

GROUPS: dict[str, str] = {
    "forb": "forbs",
    "c3_grass": "C3 grasses",
    "c4_grass": "C4 grasses",
    "shrub": "shrubs",
    "tree": "trees",
}
"""Functional groups, ordered by the usual height of the plant, low to tall."""

POSITIONS: tuple[str, ...] = ("upland", "slope", "lowland")
"""Topographic positions from high to low ground."""

WINDOWS: dict[str, str] = {
    "predawn": "before dawn",
    "morning": "in the morning",
    "midday": "at midday",
    "afternoon": "in the afternoon",
}
_SEASONS = ("winter", "spring", "summer", "fall")
_ONES = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")

__all__ = ["GROUPS", "POSITIONS", "WINDOWS", "escape"]


def semester_words(semester: str) -> str:
    """`2024-fall` as Fall 2024; what has no such form comes back as it is."""
    year, _, season = semester.partition("-")
    return f"{season.capitalize()} {year}" if season in _SEASONS else semester


def semester_order(semester: str) -> tuple[str, int]:
    """A sort key: the year, then the season within it."""
    year, _, season = semester.partition("-")
    return year, (_SEASONS.index(season) if season in _SEASONS else len(_SEASONS))


def number(value: float | None, decimals: int, *, sign: bool = False) -> str:
    """A number with a proper minus and fixed decimals; an en dash where there is none, and never a minus zero."""
    if value is None or math.isnan(value):
        return "–"
    text = f"{abs(value):.{decimals}f}"
    if float(text) == 0:
        return text
    if value < 0:
        return "−" + text
    return "+" + text if sign else text


def mpa(value: float | None, decimals: int, *, sign: bool = False) -> str:
    """A potential or a difference with its unit, which a line's end may not part from it."""
    return number(value, decimals, sign=sign) + "\u00a0MPa"


def is_missing(value: object) -> bool:
    """True for what a frame holds where there is no value: None, NaN, NaT or NA."""
    import pandas as pd

    return value is None or (pd.api.types.is_scalar(value) and bool(pd.isna(value)))


def count(n: int, one: str, many: str | None = None) -> str:
    """`12 plants`, `1 leaf`; thousands are parted by a thin space."""
    return f"{n:,}".replace(",", "\u202f") + "\u00a0" + (one if n == 1 else (many or one + "s"))


def few(n: int) -> str:
    """Numbers below ten as words, as running text has them."""
    return _ONES[n] if 0 <= n < len(_ONES) else str(n)


def listed(items: Iterable[str], last: str = "and") -> str:
    """`a`, `a and b`, `a, b and c`."""
    words = list(items)
    if len(words) < 2:
        return "".join(words)
    return ", ".join(words[:-1]) + f" {last} " + words[-1]


def day_words(day: dt.date) -> str:
    """A day as 16 September 2025."""
    return f"{day.day} {day:%B %Y}"


def groups_words(groups: Sequence[str]) -> str:
    """Functional groups as words, in the order of height."""
    return listed(words for code, words in GROUPS.items() if code in groups)


def sentence(text: str) -> str:
    """The text with a capital at its start."""
    return text[:1].upper() + text[1:]


def decimals_for(resolution_mpa: float | None) -> int:
    """Decimals in MPa that a gauge of this resolution supports, one or two (0.05 MPa and 10 psi: two; 0.1 MPa: one)."""
    if resolution_mpa is None or math.isnan(resolution_mpa) or resolution_mpa <= 0:
        return 2
    return min(2, max(1, math.ceil(-math.log10(resolution_mpa) - 1e-9)))
