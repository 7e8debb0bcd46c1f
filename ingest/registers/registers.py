"""The registers of a home: read as text, checked against the contract, and refused as a whole with every problem named."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from functools import cached_property
from typing import Any

from ingest.contract import REGISTERS, contract
from ingest.errors import RegisterInvalid
from ingest.folding import fold
from ingest.home import Home
from ingest.registers.register_checks import check_between, names_of
from ingest.registers.register_rows import RegisterRow, read_rows

WOODY_GROUPS = ("shrub", "tree")


@dataclass(frozen=True)
class Site:
    """A site: where it lies on the hill, its position in degrees, its soil, and whose rain stands for it."""

    site: str
    site_name: str
    topographic_position: str
    aliases: tuple[str, ...]
    latitude_deg: float
    longitude_deg: float
    elevation_m: float | None
    soil_depth_m: float | None
    soil_texture: str | None
    available_water_mm_per_m: float | None
    gauge: str


@dataclass(frozen=True)
class Taxon:
    """A kind of plant."""

    taxon: str
    scientific_name: str
    common_names: tuple[str, ...]
    aliases: tuple[str, ...]
    functional_group: str

    @property
    def common_name(self) -> str | None:
        """The common name that is shown: the first."""
        return self.common_names[0] if self.common_names else None

    @property
    def growth_form(self) -> str:
        """Woody for shrubs and trees, else herbaceous."""
        return "woody" if self.functional_group in WOODY_GROUPS else "herbaceous"


@dataclass(frozen=True)
class Chamber:
    """A pressure chamber; resolution and maximum are in the unit of its gauge."""

    chamber: str
    aliases: tuple[str, ...]
    gauge_unit: str
    resolution: float
    maximum_pressure: float


@dataclass(frozen=True)
class Gauge:
    """A rain gauge or weather station; `day_ends` is the local time HH:MM, 24:00 for midnight."""

    gauge: str
    gauge_name: str
    aliases: tuple[str, ...]
    latitude_deg: float | None
    longitude_deg: float | None
    elevation_m: float | None
    day_ends: str | None


@dataclass(frozen=True)
class Semester:
    """A semester, first and last day included."""

    semester: str
    start_date: dt.date
    end_date: dt.date


@dataclass(frozen=True)
class Section:
    """A lab section of one semester."""

    semester: str
    section: str
    aliases: tuple[str, ...]


@dataclass(frozen=True)
class Outcome:
    """A learning outcome: the items or the rubric levels that are evidence of it, and the targets (percent, or a level)."""

    outcome: str
    statement: str
    aliases: tuple[str, ...]
    instrument: str | None
    items: tuple[str, ...]
    target_score_percent: float | None
    levels: float | None
    level_words: tuple[str, ...]
    target_level: float | None
    target_share_percent: float | None
    from_semester: str | None
    note: str | None


_CLASSES: Mapping[str, type] = {
    "sites": Site,
    "taxa": Taxon,
    "chambers": Chamber,
    "gauges": Gauge,
    "semesters": Semester,
    "sections": Section,
    "outcomes": Outcome,
}


@dataclass(frozen=True)
class Registers:
    """All registers of a home, by code, in the order of their files."""

    sites: dict[str, Site]
    taxa: dict[str, Taxon]
    chambers: dict[str, Chamber]
    gauges: dict[str, Gauge]
    semesters: dict[str, Semester]
    sections: dict[tuple[str, str], Section]
    outcomes: dict[str, Outcome] = field(default_factory=dict)

    def rows(self, name: str) -> list[dict[str, Any]]:
        """One register as plain rows with the contract's columns; lists are joined by '; ', dates are dates."""
        entries = getattr(self, name).values()
        return [{one.name: _joined(getattr(entry, one.name)) for one in fields(entry)} for entry in entries]

    def names(self, name: str, semester: str | None = None) -> Mapping[str, str]:
        """Every folded spelling of one register's codes, names and aliases, to its code; for sections, of one semester."""
        return self._spellings[name].get(semester or "", {})

    def semester_of(self, day: dt.date) -> str | None:
        """The semester in which the day lies, or None."""
        return next((row.semester for row in self.semesters.values() if row.start_date <= day <= row.end_date), None)

    def words(self) -> frozenset[str]:
        """Every folded word of a code, name or alias: words that a remark may hold.

        Not those of the outcomes: "will" and "mark" of a statement would let two students through.
        """
        scopes = [spellings for name, register in self._spellings.items() if name != "outcomes" for spellings in register.values()]
        return frozenset(word for spellings in scopes for spelling in spellings for word in spelling.split())

    @cached_property
    def _spellings(self) -> dict[str, dict[str, dict[str, str]]]:
        """Register, then scope (the semester of sections, else ''), then folded spelling, to the code."""
        found: dict[str, dict[str, dict[str, str]]] = {}
        for name in REGISTERS:
            scopes = found.setdefault(name, {})
            for entry in getattr(self, name).values():
                for scope, code, text in names_of(contract()[name], vars(entry)):
                    scopes.setdefault(scope, {})[fold(text)] = code
        return found


def read_registers(home: Home) -> Registers:
    """Read and check all registers.

    Raises:
        RegisterInvalid: anything in them cannot be used; `problems` names file, row, column, value, what is
            allowed and what to do, for all of them at once.
    """
    tables: dict[str, list[RegisterRow]] = {}
    problems = []
    for name in REGISTERS:
        rows, found = read_rows(home.registers / f"{name}.csv", contract()[name])
        problems.extend(found)
        if rows is not None:
            tables[name] = rows
    problems.extend(check_between(tables))
    if problems:
        files = ", ".join(dict.fromkeys(str(found.sheet) for found in problems))
        many = f"{len(problems)} problems" if len(problems) > 1 else "1 problem"
        first = problems[0]
        place = f"{first.sheet}, row {first.row}" if first.row else f"{first.sheet}"
        raise RegisterInvalid(
            f"Correct {files} in {home.registers}: {many}. First: {place}: {first.message} To do: {first.suggestion}.", problems
        )
    made: dict[str, Any] = {name: {_key(name, row.values): _entry(name, row.values) for row in tables[name]} for name in REGISTERS}
    return Registers(**made)


def _key(name: str, values: Mapping[str, Any]) -> Any:
    keys = tuple(values[column.name] for column in contract()[name].columns.values() if column.key)
    return keys if len(keys) > 1 else keys[0]


def _entry(name: str, values: Mapping[str, Any]) -> Any:
    return _CLASSES[name](**values)


def _joined(value: Any) -> Any:
    return "; ".join(value) if isinstance(value, tuple) else value
