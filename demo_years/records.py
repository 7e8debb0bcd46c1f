"""The gauge's record as it is handed over: a station file by the day to mid-2020, a plain table from then on.

The station file has the fixed columns of GHCN-Daily (readme of NOAA/NCEI): 11 identifier, 4 year, 2 month, 4 element,
then 31 times 5 value, 3 flags. Rain is in tenths of mm, temperature in tenths of °C, and -9999 is missing.
"""

from __future__ import annotations

import calendar
import csv
import io
from collections.abc import Callable
from datetime import date, timedelta

from demo_years.weather import Day

STATION = "ZZ1THESSO01"  # no country has the code ZZ
STATION_NAME = "Thessowin hut"
TABLE_STARTS = date(2020, 7, 1)

_MISSING = "-9999   "
_SOURCE = "0"
# What the record lost. Rain: days without a reading, one value that failed the record's own check, and one total over
# four days (the hut was closed) on its last day.
RAIN_MISSING = frozenset(
    date(*one) for one in ((1994, 2, 3), (1999, 11, 20), (2004, 12, 24), (2011, 1, 9), (2017, 3, 14), (2021, 12, 25), (2023, 1, 7))
)
RAIN_FAILED = {date(2003, 2, 17): 2540}
MULTIDAY_LAST, MULTIDAY_DAYS = date(2013, 7, 7), 4
TEMPERATURE_MISSING = frozenset(date(*one) for one in ((1997, 6, 30), (2008, 8, 2), (2016, 1, 1), (2018, 2, 11), (2022, 7, 4)))


def _in_multiday(day: date) -> bool:
    return timedelta(0) <= MULTIDAY_LAST - day < timedelta(days=MULTIDAY_DAYS)


def _rain(day: Day) -> str:
    if day.day in RAIN_FAILED:
        return f"{RAIN_FAILED[day.day]:5d} O{_SOURCE}"
    if day.day in RAIN_MISSING or _in_multiday(day.day):
        return _MISSING
    return f"{round(day.rain_mm * 10):5d}{'T' if day.is_trace else ' '} {_SOURCE}"


def _highest(day: Day) -> str:
    return _MISSING if day.day in TEMPERATURE_MISSING else f"{round(day.highest_c * 10):5d}  {_SOURCE}"


def _lowest(day: Day) -> str:
    return _MISSING if day.day in TEMPERATURE_MISSING else f"{round(day.lowest_c * 10):5d}  {_SOURCE}"


def station_file(days: list[Day]) -> bytes:
    """The record before `TABLE_STARTS`, one line of 269 characters a month and element."""
    by_day = {day.day: day for day in days if day.day < TABLE_STARTS}
    total_mm = sum(day.rain_mm for day in by_day.values() if _in_multiday(day.day))
    single: dict[str, Callable[[Day], str]] = {"PRCP": _rain, "TMAX": _highest, "TMIN": _lowest}
    single["MDPR"] = lambda day: f"{round(total_mm * 10):5d}  {_SOURCE}" if day.day == MULTIDAY_LAST else _MISSING
    single["DAPR"] = lambda day: f"{MULTIDAY_DAYS:5d}  {_SOURCE}" if day.day == MULTIDAY_LAST else _MISSING
    lines = []
    for year, month in sorted({(day.year, day.month) for day in by_day}):
        for element, entry in single.items():
            if element in ("MDPR", "DAPR") and (year, month) != (MULTIDAY_LAST.year, MULTIDAY_LAST.month):
                continue
            length = calendar.monthrange(year, month)[1]
            entries = [entry(by_day[date(year, month, k)]) if k <= length else _MISSING for k in range(1, 32)]
            lines.append(f"{STATION}{year:4d}{month:02d}{element}{''.join(entries)}")
    return ("\n".join(lines) + "\n").encode("ascii")


def plain_table(days: list[Day]) -> bytes:
    """The record from `TABLE_STARTS` on: inches and °F, T for a trace, M for a missing value, as an observer's form has them."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["Station name", "Date", "Rain (in)", "Max temp (F)", "Min temp (F)", "Time of observation"])
    for day in days:
        if day.day < TABLE_STARTS:
            continue
        rain = "T" if day.is_trace else f"{day.rain_hundredths_inch / 100:.2f}"
        rain = "M" if day.day in RAIN_MISSING else rain
        lost = day.day in TEMPERATURE_MISSING
        high, low = ("M", "M") if lost else (str(day.highest_f), str(day.lowest_f))
        writer.writerow([STATION_NAME, day.day.isoformat(), rain, high, low, "0700"])
    return out.getvalue().encode("ascii")
