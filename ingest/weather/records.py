"""Weather records: opened in a process with limits, given to a gauge, checked, and turned into checked rows."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any
from zoneinfo import ZoneInfo

from ingest.cells.dates import Order
from ingest.cells.people import Scrubber
from ingest.doubts.problem_kinds import KINDS
from ingest.doubts.problems import Problem
from ingest.files.limited import in_limits
from ingest.home import Settings
from ingest.progress import Tell, begun, nobody
from ingest.registers.registers import Registers
from ingest.weather.checks import check_between, check_whole, find_gauges, set_impossible_aside, sum_up
from ingest.weather.entries import Entry
from ingest.weather.opening import question, unpacked

_WORD = re.compile(r"[^\W\d_]{2}")


@dataclass(frozen=True)
class WeatherRecord:
    """A weather file as understood.

    `columns` holds equally long lists, one entry for each element and day (or line that holds none), in the order of
    the file: the columns of the checked weather schema but program and upload_id. `problems` name each kind of
    problem once, with its first place and how many entries it stands for; those of severity refuse must be answered.
    """

    layout: str
    columns: dict[str, list[Any]]
    problems: list[Problem]

    @property
    def is_refused(self) -> bool:
        """Whether something must be answered before the record can be loaded."""
        return any(found.severity == "refuse" for found in self.problems)

    @property
    def rows_in_file(self) -> int:
        """All entries: accepted, flagged and set aside."""
        return len(self.columns["row_number"])

    def count(self, status: str) -> int:
        """How many entries are accepted, flagged or set_aside."""
        return self.columns["status"].count(status)

    @property
    def gauges(self) -> tuple[str, ...]:
        """Codes of the gauges, in the order of the file."""
        return tuple(dict.fromkeys(gauge for gauge in self.columns["gauge"] if gauge))

    @property
    def days(self) -> tuple[dt.date, dt.date] | None:
        """First and last day with a usable entry, or None."""
        pairs = zip(self.columns["date"], self.columns["status"], strict=True)
        used = [date for date, status in pairs if date is not None and status != "set_aside"]
        return (min(used), max(used)) if used else None


def read_weather(
    data: bytes,
    name: str,
    registers: Registers,
    settings: Settings,
    *,
    gauge: str | None = None,
    units: Mapping[str, str] | None = None,
    order: Order | None = None,
    tell: Tell = nobody,
) -> WeatherRecord:
    """Read one weather file.

    Args:
        data: the file's bytes.
        name: its name, for messages.
        registers: whose gauges the record's station is looked up in.
        settings: whose time zone says what day it is today.
        gauge: code or alias of the gauge, where the file's one station is not registered or not named.
        units: units that the header leaves out, {"rain": "mm", "temperature": "C"}; mm, cm, in; C, F.
        order: of day and month, where the dates do not show it.
        tell: is told how far a long record is.

    Raises:
        FileUnreadable: the file is no weather record of a kind that is read.
        FileBeyondLimits: it takes more memory or time than a weather record can need.
    """
    kind, entries, problems = unpacked(in_limits("ingest.weather.opening", question(data, units or {}, order), name))
    begun(tell, "Checking the days", len(entries))
    _scrub(entries, Scrubber(registers.words()))
    set_impossible_aside(entries, dt.datetime.now(ZoneInfo(settings.timezone)).date())
    gauges, found = find_gauges(entries, registers, gauge)
    problems.extend(found)
    others = check_between(entries, gauges)
    problems.extend(check_whole(entries))
    problems.extend(sum_up(entries, others))
    return WeatherRecord(kind, _columns(entries, gauges), problems)


def _scrub(entries: Sequence[Entry], scrubber: Scrubber) -> None:
    """Cells that hold words instead of a number may name a person, here as in a class's file."""
    for entry in entries:
        if entry.value_as_written and _WORD.search(entry.value_as_written):
            if entry.said == entry.value_as_written:
                entry.said = scrubber.scrub(entry.said)
            entry.value_as_written = scrubber.scrub(entry.value_as_written)


_FROM_ENTRY = [entry.name for entry in fields(Entry) if entry.name not in ("station", "codes", "said")]


def _columns(entries: Sequence[Entry], gauges: Mapping[str | None, str | None]) -> dict[str, list[Any]]:
    columns: dict[str, list[Any]] = {name: [getattr(entry, name) for entry in entries] for name in _FROM_ENTRY}
    columns["row_number"] = list(range(1, len(entries) + 1))
    columns["source_sheet"] = [None] * len(entries)
    columns["gauge"] = [gauges.get(entry.station) if entry.date or entry.station else None for entry in entries]
    for name, severity in (("flags", "flag"), ("reasons", "set_aside")):
        columns[name] = [";".join(code for code in entry.codes if KINDS[code].severity == severity) for entry in entries]
    pairs = zip(columns["flags"], columns["reasons"], strict=True)
    columns["status"] = ["set_aside" if reasons else "flagged" if flags else "accepted" for flags, reasons in pairs]
    columns["is_structural"] = [any(KINDS[code].structural for code in entry.codes) for entry in entries]
    return columns
