"""A weather record against earlier ones, day by day."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from ingest.checked.changed import Change, Changes
from ingest.received.rows_compared import Row, changed, row_changed

Thing = tuple[Any, Any]
"""An element at a gauge."""


class DaysCompared:
    """The days of a checked record, found by gauge, element and date."""

    def __init__(self, rows: Iterable[Row]) -> None:
        self._days = {_day(row): row for row in rows if row["date"]}
        self._spans = _spans(self._days)
        self._of_thing: dict[Thing, list[tuple[str, int]]] = {}
        for place, (gauge, date, element) in enumerate(self._days):
            self._of_thing.setdefault((gauge, element), []).append((date, place))
        for days in self._of_thing.values():
            days.sort()
        self._rows = list(self._days.values())

    def against(self, before: Iterable[Row]) -> Changes:
        """Days that both records hold with another value, and days between those of one record that only the other holds.

        Days before or behind a record are no correction of it.
        """
        return Changes(list(self._changes({_day(row): row for row in before if row["date"]})))

    def _changes(self, known: Mapping[tuple[Any, ...], Row]) -> Iterator[Change]:
        for row in self._within(_spans(known)):
            old = known.get(_day(row))
            if old is None:
                yield row_changed(_shown(row), row, None, row["value_as_written"])
            elif old["value_as_written"] != row["value_as_written"]:
                yield changed(_shown(row), row, "value", old["value_as_written"], row["value_as_written"])
        for day, row in known.items():
            first, last = self._spans.get((row["gauge"], row["element"]), ("", ""))
            if day not in self._days and first < row["date"] < last:
                yield row_changed(f"{_shown(row)} of the earlier file", row, row["value_as_written"], None)

    def _within(self, spans: Mapping[Thing, tuple[str, str]]) -> list[Row]:
        """The record's rows from the first day to the last of each element at each gauge, in the order of the file."""
        found: list[int] = []
        for thing, (first, last) in spans.items():
            days = self._of_thing.get(thing, [])
            found += [place for _, place in days[bisect_left(days, (first,)) : bisect_right(days, (last, len(self._rows)))]]
        return [self._rows[place] for place in sorted(found)]


def _day(row: Row) -> tuple[Any, ...]:
    return row["gauge"], row["date"], row["element"]


def _spans(days: Iterable[tuple[Any, ...]]) -> dict[Thing, tuple[str, str]]:
    """First and last day of each element at each gauge."""
    found: dict[Thing, tuple[str, str]] = {}
    for gauge, date, element in days:
        first, last = found.get((gauge, element), (date, date))
        found[gauge, element] = (min(first, date), max(last, date))
    return found


def _shown(row: Row) -> str:
    return f"row {row['source_row']} ({', '.join(part or '' for part in _day(row))})"
