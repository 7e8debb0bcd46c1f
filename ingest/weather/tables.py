"""Read plain tables of daily weather: a date and rain or temperatures in columns, in the units that the header names."""

from __future__ import annotations

import csv
import datetime as dt
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from ingest.cells.dates import Order, PartialDate, date_order, parse_date
from ingest.contract import contract
from ingest.doubts.problems import Problem, problem
from ingest.folding import fold
from ingest.tables.headers import SUMMARY_WORDS
from ingest.weather.entries import ELEMENTS, Entry
from ingest.weather.ghcn_daily import judge_flags

SEPARATORS = {"tab-separated table": "\t", "semicolon-separated table": ";", "comma-separated table": ","}
LONGEST = 100  # characters that are looked at of what stands in a cell
_HEADER_WITHIN = 30  # rows above a header in any export known to us are far fewer
_UNITS = {
    **dict.fromkeys(("mm", "millimetres", "millimeters"), "mm"),
    **dict.fromkeys(("cm", "centimetres", "centimeters"), "cm"),
    **dict.fromkeys(("in", "inch", "inches"), "in"),
    **dict.fromkeys(("c", "degc", "celsius"), "C"),
    **dict.fromkeys(("f", "degf", "fahrenheit"), "F"),
}
_OF_QUANTITY = {"rain": ("mm", "cm", "in"), "temperature": ("C", "F")}
_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4}
_FILLERS = ("deg", "degree", "degrees", "daily", "total", "air")
_MISSING_WORDS = ("", "m", "na", "n/a", "nan", "null", "none", "-", "--", "missing")
_MISSING_NUMBERS = (-9999.0, -999.9, -999.0, -99.9, -99.0)
_TRACE_WORDS = ("t", "tr", "trace", "t.", "tr.")
_NUMBER = re.compile(r"[+-]?(?:[0-9]{1,9}(?:\.[0-9]{0,20})?|\.[0-9]{1,20})")  # longer ones are no measurement, and may not be finite


@dataclass
class Layout:
    """What was understood of a table: its header's row (from 1), and the column of everything (from 0)."""

    header_row: int
    header: list[str]
    date: int
    station: int | None = None
    obs_time: int | None = None
    elements: dict[str, int] = field(default_factory=dict)
    attributes: dict[str, int] = field(default_factory=dict)
    units: dict[str, str | None] = field(default_factory=dict)


def split(text: str, separator: str) -> list[list[str]]:
    """The cells of a text table, one list for each row."""
    return [list(cells) for cells in csv.reader(io.StringIO(text, newline=""), delimiter=separator)]


def find_layout(rows: Sequence[Sequence[str]]) -> Layout | None:
    """The header of a weather table, or None: a date, rain or a temperature, and no column of a plant or leaf."""
    for number, cells in enumerate(rows[:_HEADER_WITHIN], start=1):
        layout = _layout(number, [cell.strip()[:LONGEST] for cell in cells])
        if layout is not None:
            return layout
    return None


def _layout(number: int, header: list[str]) -> Layout | None:
    names = [_understood(text) for text in header]
    found = [name for name, _ in names]
    if "plant" in found or "date" not in found or not set(found) & set(ELEMENTS):
        return None
    layout = Layout(number, header, found.index("date"))
    for place, (name, unit) in enumerate(names):
        if name == "gauge":
            layout.station = place if layout.station is None else layout.station
        elif name == "obs_time":
            layout.obs_time = place
        elif name.endswith(" attributes"):
            layout.attributes[name.split()[0]] = place
        elif name in ELEMENTS and name not in layout.elements:
            layout.elements[name], layout.units[name] = place, unit
    return layout


def _understood(text: str) -> tuple[str, str | None]:
    """What a header names, and its unit: `date`, `gauge`, `obs_time`, `plant` (of a class table), an element, or ''."""
    words = fold(text.replace("°", " ")).split()
    if len(words) == 2 and words[1] == "attributes":
        return f"{_names().get(words[0], '')} attributes", None
    units = [word for word in words if word in _UNITS]
    whole = " ".join(words)
    for name in (whole, " ".join(word for word in words if word not in units and word not in _FILLERS)):
        if name in _names():
            return _names()[name], _UNITS[units[-1]] if units else None
    return "", None


@cache
def _names() -> dict[str, str]:
    weather, readings = contract()["weather"].columns, contract()["readings"].columns
    names = {word: "plant" for column in ("taxon", "plant", "leaf") for word in readings[column].header}
    names |= {word: column for column in ("date", "gauge", "obs_time") for word in weather[column].header}
    names |= dict.fromkeys(weather["amount_mm"].header, "PRCP")
    for word in weather["temperature_c"].header:
        names[word] = "TMAX" if {"tmax", "max", "high", "maximum"} & set(word.split()) else "TMIN"
    return names


def read_table(
    rows: Sequence[Sequence[str]], layout: Layout, units: Mapping[str, str], order: Order | None
) -> tuple[list[Entry], list[Problem]]:
    """The entries of a table, one for each element of each day, and what must be answered before they can be used."""
    problems = _settle_units(layout, units)
    dates = [parse_date(_cell(cells, layout.date)) for cells in rows]
    shown = order or date_order(dates[layout.header_row :], {})
    if shown is None:
        body = list(zip(rows, dates, strict=True))[layout.header_row :]
        unclear = next(row for row, date in body if isinstance(date, PartialDate) and not date.is_ordered)
        place = {"column": layout.header[layout.date], "value": _cell(unclear, layout.date)}
        answers = ("dates.order=day-first", "dates.order=month-first")
        problems.append(problem("date_order_unclear", place=place, count=len(body), answers=answers))
    entries: list[Entry] = []
    for number, (cells, date) in enumerate(zip(rows, dates, strict=True), start=1):
        day = date.resolve(shown or "month-first", None) if isinstance(date, PartialDate) else date
        entries.extend(_line(number, cells, day, layout))
    return entries, problems


def _settle_units(layout: Layout, units: Mapping[str, str]) -> list[Problem]:
    problems = []
    for element, place in layout.elements.items():
        quantity = ELEMENTS[element]
        given = _UNITS.get(fold(units.get(quantity, "")))
        unit = layout.units[element] or given
        layout.units[element] = unit if unit in _OF_QUANTITY[quantity] else None
        if layout.units[element] is None:
            column = layout.header[place]
            where = {"row": layout.header_row, "column": column, "value": column}
            answers = [f"weather.{quantity}={one}" for one in _OF_QUANTITY[quantity]]
            problems.append(problem("weather_unit_missing", place=where, answers=answers))
    return problems


def _line(number: int, cells: Sequence[str], day: dt.date | None, layout: Layout) -> Iterator[Entry]:
    filled = [cell.strip() for cell in cells if cell.strip()]
    written = _cell(cells, layout.date)
    if not filled:
        yield Entry(number, codes=("blank_row",))
    elif number < layout.header_row:
        yield Entry(number, codes=("title_row",))
    elif number == layout.header_row or [cell.strip() for cell in cells] == layout.header:
        yield Entry(number, codes=("header_row",))
    elif day is None:
        is_summary = bool(set(fold(filled[0]).split()) & set(SUMMARY_WORDS))
        code = "summary_row" if is_summary else "date_unreadable" if written else "date_missing"
        yield Entry(number, written or None, codes=(code,), said=written)
    else:
        for element, place in layout.elements.items():
            station = None if layout.station is None else _cell(cells, layout.station) or None
            obs_time = None if layout.obs_time is None else _cell(cells, layout.obs_time) or None
            entry = Entry(number, _cell(cells, place), station, day, element, obs_time=obs_time)
            if element in layout.attributes:
                _attribute(entry, _cell(cells, layout.attributes[element]))
            _value(entry, layout.units[element])
            yield entry


def _attribute(entry: Entry, text: str) -> None:
    """Flags as the archive's table exports join them: measurement, quality, source and perhaps the observation time."""
    mflag, qflag, sflag, obs_time = [*(part.strip() or None for part in text.split(",")), None, None, None, None][:4]
    entry.mflag, entry.qflag, entry.sflag, entry.obs_time = mflag, qflag, sflag, entry.obs_time or obs_time


def _value(entry: Entry, unit: str | None) -> None:
    text = (entry.value_as_written or "").casefold()
    if text in _TRACE_WORDS and ELEMENTS[entry.element or ""] == "rain":
        entry.mflag = "T"
        text = "0"
    if "," in text and "." not in text:
        text = text.replace(",", ".", 1)
    if text in _MISSING_WORDS or (_NUMBER.fullmatch(text) and float(text) in _MISSING_NUMBERS):
        entry.set_aside("weather_missing")
    elif not _NUMBER.fullmatch(text):
        entry.set_aside("weather_unreadable")
    else:
        judge_flags(entry)
        if unit is not None:
            entry.measure(_converted(float(text), unit))


def _converted(value: float, unit: str) -> float:
    """Rain in mm or temperature in degrees Celsius; an inch is 25.4 mm exactly."""
    if unit == "F":
        return (value - 32.0) * 5.0 / 9.0
    return value if unit == "C" else value * _MM[unit]


def _cell(cells: Sequence[str], place: int) -> str:
    return cells[place].strip()[:LONGEST] if place < len(cells) else ""
