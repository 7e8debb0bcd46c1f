"""One entry of a weather record: one element of one day at one station, and what the record says of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from ingest.contract import contract

Quantity = Literal["rain", "temperature", "days"]

# What is read of a record; every other element is set aside. Names of the GHCN-Daily readme (NOAA/NCEI).
ELEMENTS: Mapping[str, Quantity] = {"PRCP": "rain", "TMAX": "temperature", "TMIN": "temperature", "MDPR": "rain", "DAPR": "days"}
_COLUMNS: Mapping[Quantity, str] = {"rain": "amount_mm", "temperature": "temperature_c", "days": "days"}


@dataclass(slots=True)
class Entry:
    """One element of one day, or a line that holds none.

    `amount_mm` is rain in mm, `temperature_c` degrees Celsius, `days` a count; at most one is set. Flags are single
    letters of the record or None. `codes` say why the entry is flagged or set aside; `said` fills the message of one.
    """

    source_row: int
    value_as_written: str | None = None
    station: str | None = None
    date: dt.date | None = None
    element: str | None = None
    amount_mm: float | None = None
    temperature_c: float | None = None
    days: int | None = None
    is_trace: bool = False
    mflag: str | None = None
    qflag: str | None = None
    sflag: str | None = None
    obs_time: str | None = None
    codes: tuple[str, ...] = ()
    said: str | None = None

    def measure(self, value: float) -> None:
        """Put a value (mm, degrees Celsius or days) where its element belongs, and hold it to the contract's limits.

        A value that failed the record's own checks is kept, but its limits no longer matter.
        """
        name = _COLUMNS[ELEMENTS[self.element or ""]]
        if name == "days":
            self.days = int(value)
        else:
            setattr(self, name, value)
        low, high = _limits(name)
        if not low <= value <= high and "weather_quality_failed" not in self.codes:
            self.set_aside("contract_broken", self.value_as_written)

    def set_aside(self, code: str, said: str | None = None) -> None:
        """Add a reason to set the entry aside, or a flag."""
        self.codes = (*self.codes, code)
        self.said = said if said is not None else self.said

    def allowed(self) -> str:
        """What the contract allows for this element, in words."""
        quantity = ELEMENTS.get(self.element or "")
        unit = {"rain": " mm", "temperature": " degrees Celsius", "days": " days", None: ""}[quantity]
        return contract()["weather"].columns[_COLUMNS[quantity]].allows() + unit if quantity else "?"


_known_limits: dict[str, tuple[float, float]] = {}


def _limits(name: str) -> tuple[float, float]:
    if name not in _known_limits:
        column = contract()["weather"].columns[name]
        low = float("-inf") if column.minimum is None else column.minimum
        _known_limits[name] = (low, float("inf") if column.maximum is None else column.maximum)
    return _known_limits[name]
