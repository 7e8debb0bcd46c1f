"""What must hold of a weather record as a whole: one gauge for each station, one value a day, and days that are past."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from ingest.doubts.problem_kinds import KINDS
from ingest.doubts.problems import Problem, problem
from ingest.folding import fold
from ingest.registers.registers import Registers
from ingest.weather.entries import Entry

FIRST_DAY = dt.date(1700, 1, 1)  # no gauge's daily record is older (from memory)
Key = tuple[str | None, dt.date, str]


def set_impossible_aside(entries: Iterable[Entry], today: dt.date) -> None:
    """Set aside what is dated after today or before there were gauges: a mistaken year would stretch the record to it."""
    for entry in entries:
        if entry.date is not None and not FIRST_DAY <= entry.date <= today:
            entry.set_aside("date_in_future" if entry.date > today else "weather_before_gauges", entry.date.isoformat())


def find_gauges(entries: Sequence[Entry], registers: Registers, given: str | None) -> tuple[dict[str | None, str | None], list[Problem]]:
    """The gauge of each station. A given gauge stands for the one station of a file, never for two of them."""
    first: dict[str | None, int] = {}
    for entry in entries:
        if entry.date is not None or entry.station is not None:
            first.setdefault(entry.station, entry.source_row)
    names = registers.names("gauges")
    problems = []
    chosen = names.get(fold(given)) if given else None
    answers = [f"gauge={gauge}" for gauge in registers.gauges]
    if given and chosen is None:
        problems.append(problem("gauge_unknown", place={"value": given}, answers=answers))
    found = {station: names.get(fold(station)) if station else None for station in first}
    for station, row in first.items():
        if found[station] is None and chosen is not None and len(first) == 1:
            found[station] = chosen
        elif found[station] is None and not (given and chosen is None):
            code = "gauge_unknown" if station else "gauge_missing"
            problems.append(problem(code, place={"row": row, "value": station}, answers=answers if len(first) == 1 else ()))
    return found, problems


def check_between(entries: Sequence[Entry], gauges: Mapping[str | None, str | None]) -> dict[int, int]:
    """Set aside what entries say against each other; returns for a repeated entry (its index) the other's source row."""
    used, others = _once_a_day(entries, gauges)
    for (gauge, date, element), entry in used.items():
        if element == "MDPR":
            days = used.get((gauge, date, "DAPR"))
            if days is None or _is_aside(days):
                entry.set_aside("weather_multiday_open")
        elif element == "TMIN":
            highest = used.get((gauge, date, "TMAX"))
            if highest is not None and not _is_aside(highest) and not _is_aside(entry) and _crossed(entry, highest):
                entry.set_aside("weather_temperatures_crossed")
                highest.set_aside("weather_temperatures_crossed")
    return others


def _once_a_day(entries: Sequence[Entry], gauges: Mapping[str | None, str | None]) -> tuple[dict[Key, Entry], dict[int, int]]:
    """The first entry of each gauge, day and element.

    Equal ones after it are set aside; where they differ, the first is too, because nobody can tell the right one.
    """
    used: dict[Key, tuple[int, Entry]] = {}
    others: dict[int, int] = {}
    for index, entry in enumerate(entries):
        if entry.date is None or entry.element is None or _is_aside(entry):
            continue
        key = (gauges.get(entry.station) or entry.station, entry.date, entry.element)
        if key not in used:
            used[key] = (index, entry)
            continue
        place, other = used[key]
        entry.set_aside("weather_day_repeated")
        others[index] = other.source_row
        if _values(entry) != _values(other) and not _is_aside(other):
            other.set_aside("weather_day_repeated")
            others[place] = entry.source_row
    return {key: entry for key, (_, entry) in used.items()}, others


def _values(entry: Entry) -> tuple[float | None, float | None, int | None, bool]:
    return entry.amount_mm, entry.temperature_c, entry.days, entry.is_trace


def _crossed(lowest: Entry, highest: Entry) -> bool:
    return lowest.temperature_c is not None and highest.temperature_c is not None and lowest.temperature_c > highest.temperature_c


def _is_aside(entry: Entry) -> bool:
    return any(KINDS[code].severity == "set_aside" for code in entry.codes)


def check_whole(entries: Sequence[Entry]) -> list[Problem]:
    """What is wrong with the file as a whole."""
    if all(any(KINDS[code].structural for code in entry.codes) for entry in entries):
        return [problem("no_rows").at(message="The record has a header and no days.", suggestion="write the days below its header")]
    return (
        []
        if any(not _is_aside(entry) for entry in entries)
        else [
            problem("no_readings_left").at(
                message="Every day of the record would be set aside.", suggestion="look at the reasons below and correct the record"
            )
        ]
    )


def sum_up(entries: Sequence[Entry], others: Mapping[int, int]) -> list[Problem]:
    """One problem for each code and what it says, at its first place."""
    counts: Counter[tuple[str, str | None]] = Counter()
    first: dict[tuple[str, str | None], int] = {}
    for index, entry in enumerate(entries):
        for code in entry.codes:
            if not KINDS[code].structural:
                key = (code, entry.said if code in ("weather_quality_failed", "weather_element_unused") else None)
                counts[key] += 1
                first.setdefault(key, index)
    return [_problem(code, entries[first[code, said]], count, others.get(first[code, said])) for (code, said), count in counts.items()]


def _problem(code: str, entry: Entry, count: int, other: int | None) -> Problem:
    place = {"row": entry.source_row, "column": entry.element, "value": entry.value_as_written}
    said = entry.said if entry.said is not None else entry.value_as_written
    return problem(code, place=place, count=count, value=said, allowed=entry.allowed(), other=other)
