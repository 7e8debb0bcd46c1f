"""Read GHCN-Daily records: the fixed columns of .dly files and the rows of by-station and by-year CSV files.

Source: readme.txt of GHCN-Daily, section III (NOAA/NCEI; Menne et al. 2012, J. Atmos. Oceanic Technol. 29:897):
ID in columns 1-11, year 12-15, month 16-17, element 18-21, then for each of 31 days a value of five characters and
the flags of measurement, quality and source, one character each: 269 characters.
"""

from __future__ import annotations

import calendar
import csv
import datetime as dt
import re
from collections.abc import Iterator, Mapping, Sequence

from ingest.weather.entries import ELEMENTS, Entry

LINE_LENGTH = 269
MISSING = -9999
_FIRST_DAY = 21
_DAY_LENGTH = 8
_DLY = re.compile(r"[A-Za-z]{2}[A-Za-z0-9_\-]{9}\d{4}(?:0[1-9]|1[0-2])[A-Z0-9]{4}(?: *-?\d+)")
_VALUE = re.compile(r" *-?[0-9]{1,9}")
# Element names of the readme, so that a class's bare rows of site, day, plant and reading are not taken for weather.
_ELEMENT = (
    r"(?:PRCP|SNOW|SNWD|TMAX|TMIN|TAVG|TOBS|EVAP|WES[DF]|(?:MD|DA)(?:PR|SF|TN|TX|EV|WM)|DWPR|AWND|AC[MS][CH]|PGTM|W[TV]\d\d|W[SD]F\d)"
)
_BY_STATION = re.compile(rf"[A-Za-z0-9_\-]{{3,20}},\d{{8}},{_ELEMENT},-?\d+(?:,.*)?")
_HEADER = re.compile(r"(?:id|station)\w*,(?:date|yyyy\W?mm\W?dd|year\W?month\W?day),element,.*", re.IGNORECASE)
_TENTHS = 10.0  # of mm and of degrees Celsius; DAPR is a count

QUALITY_CHECKS: Mapping[str, str] = {
    "D": "duplicate",
    "G": "gap",
    "I": "internal consistency",
    "K": "streak",
    "L": "length of a multi-day period",
    "M": "mega-consistency",
    "N": "naught",
    "O": "climatological outlier",
    "R": "lagged range",
    "S": "spatial consistency",
    "T": "temporal consistency",
    "W": "too warm for snow",
    "X": "bounds",
    "Z": "flagged by hand",
}


def is_dly(lines: Sequence[str]) -> bool:
    """Whether the first of these lines, and most of them, have the fixed columns of a .dly file."""
    fits = ["," not in line[:_FIRST_DAY] and _DLY.match(line) is not None for line in lines if line.strip()]
    return bool(fits) and fits[0] and sum(fits) * 2 > len(fits)


def is_by_station(lines: Sequence[str]) -> bool:
    """Whether the first of these lines, and most of them, are rows of station, day, element and value; a header may be above."""
    filled = [line.strip() for line in lines if line.strip()]
    start = 1 if filled and _HEADER.fullmatch(filled[0]) else 0
    fits = [_BY_STATION.fullmatch(line) is not None for line in filled[start:]]
    return start == len(filled) == 1 or (bool(fits) and fits[0] and sum(fits) * 2 > len(fits))


def read_dly(lines: Sequence[str]) -> Iterator[Entry]:
    """The entries of a .dly file, in its order.

    The padding of days that a month does not have is no entry; a missing day that does exist is one. Blanks
    stripped from the end of a line are tolerated, a line that ends within a value is not read to there.
    """
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            yield Entry(number, codes=("blank_row",))
        elif not _DLY.match(line):
            yield Entry(number, line[:40], codes=("weather_unreadable",))
        elif line[17:21] not in ELEMENTS:
            yield Entry(number, None, line[:11], element=line[17:21], codes=("weather_element_unused",), said=line[17:21])
        else:
            yield from _month(number, line)


def _month(number: int, line: str) -> Iterator[Entry]:
    station, year, month, element = line[:11], int(line[11:15]), int(line[15:17]), line[17:21]
    if year < dt.MINYEAR:
        yield Entry(number, line[11:17], station, element=element, codes=("date_unreadable",))
        return
    days = calendar.monthrange(year, month)[1]
    for day in range(1, 32):
        start = _FIRST_DAY + (day - 1) * _DAY_LENGTH
        field = line[start : start + 5]
        mflag, qflag, sflag = (line[place : place + 1] for place in range(start + 5, start + 8))
        if day > days:
            if field.strip() not in ("", str(MISSING)):
                said = f"{year}-{month:02}-{day}"
                yield Entry(number, field.strip(), station, element=element, codes=("date_unreadable",), said=said)
            continue
        entry = Entry(number, field.strip(), station, dt.date(year, month, day), element)
        # Five characters, right-aligned: anything else is a line cut short or columns that slipped.
        readable = len(field) == 5 and _VALUE.fullmatch(field) is not None
        yield _filled(entry, int(field) if readable else None, mflag, qflag, sflag)


def read_by_station(lines: Sequence[str]) -> Iterator[Entry]:
    """The entries of a by-station or by-year CSV file; the observation time keeps its leading zero."""
    reader = csv.reader(lines)
    for cells in reader:
        number = reader.line_num
        if not any(cell.strip() for cell in cells):
            yield Entry(number, codes=("blank_row",))
        elif _HEADER.fullmatch(",".join(cells)):
            yield Entry(number, codes=("header_row",))
        elif len(cells) < 4:
            yield Entry(number, ",".join(cells)[:40], codes=("weather_unreadable",))
        else:
            yield _row(number, [cell.strip() for cell in cells])


def _row(number: int, cells: list[str]) -> Entry:
    station, day, element, value = cells[:4]
    mflag, qflag, sflag, obs_time = [*cells[4:8], "", "", "", ""][:4]
    if element not in ELEMENTS:
        return Entry(number, value, station, _day(day), element, codes=("weather_element_unused",), said=element)
    date = _day(day)
    if date is None:
        return Entry(number, value, station, element=element, codes=("date_unreadable" if day else "date_missing",), said=day)
    entry = Entry(number, value, station, date, element, obs_time=obs_time or None)
    return _filled(entry, int(value) if _VALUE.fullmatch(value) else None, mflag, qflag, sflag)


def _day(text: str) -> dt.date | None:
    if not re.fullmatch(r"[0-9]{8}", text):
        return None
    try:
        return dt.date(int(text[:4]), int(text[4:6]), int(text[6:]))
    except ValueError:  # no such day
        return None


def _filled(entry: Entry, value: int | None, mflag: str, qflag: str, sflag: str) -> Entry:
    """The entry with its flags and its value in tenths turned to mm, degrees Celsius or days."""
    entry.mflag, entry.qflag, entry.sflag = mflag.strip() or None, qflag.strip() or None, sflag.strip() or None
    if value is None or value == MISSING:
        entry.set_aside("weather_unreadable" if value is None and entry.value_as_written else "weather_missing")
        return entry
    judge_flags(entry)
    entry.measure(value if entry.element == "DAPR" else value / _TENTHS)
    return entry


def judge_flags(entry: Entry) -> None:
    """Turn the record's own flags into codes: any quality flag sets aside; trace and synoptic rain are flagged."""
    is_rain = entry.element in ("PRCP", "MDPR")
    entry.is_trace = is_rain and entry.mflag == "T"
    if entry.qflag:
        entry.set_aside("weather_quality_failed", f"{entry.qflag}, {QUALITY_CHECKS.get(entry.qflag, 'a check that is not listed')}")
        return
    if entry.is_trace:
        entry.set_aside("weather_trace")
    if is_rain and entry.sflag == "S":
        entry.set_aside("weather_synoptic")
