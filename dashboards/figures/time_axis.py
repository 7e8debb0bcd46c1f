"""One time axis for the panels of a figure: which span of the record is shown, and where its ticks stand."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from dashboards.figures import marks
from dashboards.words import day_words

if TYPE_CHECKING:
    import pandas as pd

SHORTEST_DAYS = 60
"""No shorter span is shown: a semester's readings take a day or two, and its weather a season."""

_DAYS_OF_YEARS = 900
"""Up to so many days the ticks name months, beyond it years."""


@dataclass(frozen=True)
class Span:
    """Days shown, both included, of a record; `is_whole` where nothing of it is cut off."""

    first: dt.date
    last: dt.date
    is_whole: bool = True

    @cached_property
    def x_range(self) -> tuple[float, float]:
        """The span as the range of a time axis."""
        return marks.on_time(self.first), marks.on_time(self.last + dt.timedelta(days=1))

    def holds(self, day: dt.date) -> bool:
        """Whether a day is shown."""
        return self.first <= dt.date(day.year, day.month, day.day) <= self.last

    def holds_each(self, days: pd.Series) -> pd.Series:
        """Whether each of many days is shown."""
        import pandas as pd

        at = pd.to_datetime(days)
        return (at >= pd.Timestamp(self.first)) & (at < pd.Timestamp(self.last) + pd.Timedelta(days=1))

    def words(self) -> str:
        """The span in words."""
        return f"from {day_words(self.first)} to {day_words(self.last)}"

    def ticks(self) -> dict[float, str]:
        """Ticks in words: years at their middle, or the first days of months where few are shown."""
        years = range(self.first.year, self.last.year + 1)
        if (self.last - self.first).days > _DAYS_OF_YEARS:
            middles = {year: dt.date(year, 7, 1) for year in marks.years_told(years)}
            return {marks.on_time(day): marks.year_words(year, len(years)) for year, day in middles.items() if self.holds(day)}
        months = list(_months(self.first, self.last))
        step = next(step for step in (1, 2, 3, 6) if len(months) <= 6 * step or step == 6)
        return {marks.on_time(day): f"{day:%b} ’{day.year % 100:02d}" for day in months if (day.month - 1) % step == 0}


def _months(first: dt.date, last: dt.date) -> Iterator[dt.date]:
    """First days of the months within a span."""
    for count in range(first.year * 12 + first.month - 1, last.year * 12 + last.month):
        day = dt.date(count // 12, count % 12 + 1, 1)
        if day >= first:
            yield day


def span_of(since: str, until: str, first_year: int, last_year: int) -> Span:
    """The span from one day to another (ISO; '' and what is no day: the record's end), within the record's years, never too short."""
    begin, end = dt.date(first_year, 1, 1), dt.date(last_year, 12, 31)
    low, high = sorted((max(begin, min(end, day_of(since) or begin)), max(begin, min(end, day_of(until) or end))))
    lack = dt.timedelta(days=max(0, SHORTEST_DAYS - (high - low).days))
    low = max(begin, low - lack / 2)
    high = min(end, max(high, low + dt.timedelta(days=SHORTEST_DAYS)))
    low = min(low, high - dt.timedelta(days=SHORTEST_DAYS))
    return Span(low, high, is_whole=(low, high) == (begin, end))


def day_of(text: str) -> dt.date | None:
    """A day from ISO text; None where it is none."""
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        return None
