"""Numbers and codes as words: a proper minus, the same decimals in a column, groups and semesters as people say them."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Sequence
from html import escape
from typing import TYPE_CHECKING

from warehouse.statistics.wording import GROUPS, SEASONS, WINDOWS, listed, semester_words, sentence
from warehouse.statistics.wording import number as said_plainly

if TYPE_CHECKING:
    import pandas as pd

POSITIONS: tuple[str, ...] = ("upland", "slope", "lowland")
"""Topographic positions from high to low ground."""

_ONES = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")

__all__ = ["GROUPS", "POSITIONS", "WINDOWS", "escape", "listed", "semester_words", "sentence"]


def semester_order(semester: str) -> tuple[str, int]:
    """A sort key: the year, then the season within it."""
    year, _, season = semester.partition("-")
    return year, (SEASONS.index(season) if season in SEASONS else len(SEASONS))


def number(value: float | None, decimals: int, *, sign: bool = False) -> str:
    """A number with a proper minus and fixed decimals; an en dash where there is none, and never a minus zero."""
    if value is None or math.isnan(value):
        return "–"
    text = said_plainly(value, decimals)
    return "+" + text if sign and value > 0 and text.strip("0.") else text


def mpa(value: float | None, decimals: int, *, sign: bool = False) -> str:
    """A potential or a difference with its unit, which a line's end may not part from it."""
    return number(value, decimals, sign=sign) + "\u00a0MPa"


def is_missing(value: object) -> bool:
    """True for what a frame holds where there is no value: None, NaN, NaT or NA."""
    if value is None or isinstance(value, float):  # NumPy's floats are floats, too
        return value is None or math.isnan(value)
    if isinstance(value, str | int):
        return False
    import pandas as pd

    return bool(pd.api.types.is_scalar(value) and pd.isna(value))


def those_in(order: Iterable[str], column: pd.Series) -> list[str]:
    """Those of an order of codes that a column holds."""
    found = set(column.unique())
    return [code for code in order if code in found]


def count(n: int, one: str, many: str | None = None) -> str:
    """`12 plants`, `1 leaf`; thousands are parted by a thin space."""
    return f"{n:,}".replace(",", "\u202f") + "\u00a0" + (one if n == 1 else (many or one + "s"))


def few(n: int) -> str:
    """Numbers below ten as words, as running text has them."""
    return _ONES[n] if 0 <= n < len(_ONES) else str(n)


def day_words(day: dt.date) -> str:
    """A day as 16 September 2025."""
    return f"{day.day} {day:%B %Y}"


def groups_words(groups: Sequence[str]) -> str:
    """Functional groups as words, in the order of height."""
    return listed(words for code, words in GROUPS.items() if code in groups)


def shortened(text: str, most: int) -> str:
    """The text, or as many of its first words as fit into so many characters with an ellipsis; one long word is cut."""
    if len(text) <= most:
        return text
    kept = text[:most].rpartition(" ")[0] or text[: most - 1]
    return kept.rstrip(" ,;:–—-") + "…"


def decimals_for(resolution_mpa: float | None) -> int:
    """Decimals in MPa that a gauge of this resolution supports, one or two (0.05 MPa and 10 psi: two; 0.1 MPa: one)."""
    if resolution_mpa is None or math.isnan(resolution_mpa) or resolution_mpa <= 0:
        return 2
    return min(2, max(1, math.ceil(-math.log10(resolution_mpa) - 1e-9)))
