"""Invented weather records for the tests, and what is read of them."""

from __future__ import annotations

from typing import Any

from ingest.home import Settings
from ingest.registers.registers import Gauge, Registers
from ingest.weather.records import WeatherRecord, read_weather

GAUGES = {
    code: Gauge(code, f"The {code}", (alias,), None, None, None, "07:00")
    for code, alias in (("ranch", "ZZ000000001"), ("mill", "ZZ000000002"))
}
REGISTERS = Registers({}, {}, {}, GAUGES, {}, {})
SETTINGS = Settings("lab", "Lab", "UTC")


def read(text: str | bytes, **given_by_user: Any) -> WeatherRecord:
    """Read a record of the invented gauges."""
    return read_weather(text if isinstance(text, bytes) else text.encode(), "record", REGISTERS, SETTINGS, **given_by_user)


def entries(record: WeatherRecord, *names: str) -> list[tuple[Any, ...]]:
    """The entries' values in these columns."""
    return list(zip(*(record.columns[name] for name in names), strict=True))


def refusals(record: WeatherRecord) -> list[tuple[str, str | None]]:
    """Code and value of each reason for which the record is refused."""
    return [(found.code, found.value) for found in record.problems if found.severity == "refuse"]


def dly(element: str, month: str, fields: list[str], station: str = "ZZ000000001") -> str:
    """One line: a field of eight characters for each day from the first on, then missing days."""
    return station + month + element + "".join(field.ljust(8) for field in fields) + "-9999   " * (31 - len(fields))


def by_station(*rows: str) -> str:
    """Rows of one station's record, without its name."""
    return "".join(f"ZZ000000001,{row}\n" for row in rows)
