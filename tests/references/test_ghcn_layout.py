"""The layout of GHCN-Daily files against its readme.

Source: readme.txt of the Global Historical Climatology Network - Daily (NOAA/NCEI), section III, "FORMAT OF DATA
FILES (.dly)": ID columns 1-11, YEAR 12-15, MONTH 16-17, ELEMENT 18-21, VALUE1 22-26, MFLAG1 27, QFLAG1 28,
SFLAG1 29, VALUE2 30-34, MFLAG2 35, QFLAG2 36, SFLAG2 37, ..., VALUE31 262-266, MFLAG31 267, QFLAG31 268, SFLAG31 269;
missing is -9999; PRCP in tenths of mm, TMAX and TMIN in tenths of degrees Celsius. The CSV of single stations and
years (readme-by_station.txt, readme-by_year.txt): ID, YYYYMMDD, ELEMENT, DATA VALUE, M-FLAG, Q-FLAG, S-FLAG, OBS-TIME.
"""

from __future__ import annotations

import datetime as dt

import pytest

from ingest.weather.ghcn_daily import LINE_LENGTH, QUALITY_CHECKS, is_by_station, is_dly, read_by_station, read_dly

# Positions as the readme prints them: first and last column, counted from 1.
PRINTED = {"ID": (1, 11), "YEAR": (12, 15), "MONTH": (16, 17), "ELEMENT": (18, 21)}
PRINTED_DAYS = {1: (22, 26, 27, 28, 29), 2: (30, 34, 35, 36, 37), 31: (262, 266, 267, 268, 269)}


def put(line: list[str], first: int, last: int, text: str) -> None:
    """Write a text into columns counted from 1, right-aligned as Fortran does."""
    line[first - 1 : last] = text.rjust(last - first + 1)


def printed_line(element: str, year: int, month: int, days: dict[int, str]) -> str:
    """A line built from the printed positions alone; each day's text is its value and the three flags."""
    line = [" "] * 269
    for name, text in (("ID", "ZZ000000001"), ("YEAR", str(year)), ("MONTH", f"{month:02}"), ("ELEMENT", element)):
        put(line, *PRINTED[name], text)
    for day in range(1, 32):
        first = 22 + 8 * (day - 1)
        put(line, first, first + 4, "-9999")
        if day in days:
            put(line, first, first + 7, days[day])
    return "".join(line)


@pytest.mark.parametrize(("day", "columns"), PRINTED_DAYS.items())
def test_a_days_value_and_flags_are_read_from_the_printed_columns(day: int, columns: tuple[int, int, int, int, int]) -> None:
    line = list(printed_line("PRCP", 2024, 1, {}))
    first, last, mflag, qflag, sflag = columns
    put(line, first, last, "123")
    for column, letter in ((mflag, "B"), (qflag, "I"), (sflag, "7")):
        put(line, column, column, letter)
    (entry,) = [entry for entry in read_dly(["".join(line)]) if entry.amount_mm is not None]
    assert (entry.date, entry.amount_mm, entry.mflag, entry.qflag, entry.sflag) == (dt.date(2024, 1, day), 12.3, "B", "I", "7")


def test_a_line_has_the_printed_length() -> None:
    assert LINE_LENGTH == PRINTED_DAYS[31][-1] == len(printed_line("PRCP", 2024, 1, {}))


def test_station_and_month_are_read_from_the_printed_columns() -> None:
    (entry,) = [entry for entry in read_dly([printed_line("TMIN", 1899, 12, {31: "-178  6"})]) if entry.temperature_c is not None]
    assert (entry.station, entry.date, entry.element, entry.temperature_c) == ("ZZ000000001", dt.date(1899, 12, 31), "TMIN", -17.8)


def test_five_full_characters_are_read_though_no_blank_parts_them() -> None:
    # 12345 tenths of mm and -1234 tenths of a degree touch their neighbours: a reader that splits on blanks goes wrong.
    rain = list(read_dly([printed_line("PRCP", 2024, 1, {1: "12345 OZ", 2: "12346   "})]))
    assert [(entry.amount_mm, entry.qflag, entry.sflag) for entry in rain[:2]] == [(1234.5, "O", "Z"), (1234.6, None, None)]
    cold = list(read_dly([printed_line("TMIN", 2024, 1, {1: "-0412  S"})]))
    assert (cold[0].temperature_c, cold[0].sflag) == (-41.2, "S")


@pytest.mark.parametrize(
    ("year", "month", "days"), [(2023, 2, 28), (2024, 2, 29), (1900, 2, 28), (2000, 2, 29), (2024, 4, 30), (2024, 12, 31)]
)
def test_padding_of_days_that_do_not_exist_is_no_entry_and_missing_days_are(year: int, month: int, days: int) -> None:
    entries = list(read_dly([printed_line("PRCP", year, month, {})]))
    assert len(entries) == days
    assert {entry.codes for entry in entries} == {("weather_missing",)}


def test_the_readmes_quality_flags_are_all_known() -> None:
    assert set(QUALITY_CHECKS) == set("DGIKLMNORSTWXZ")


def test_a_multi_day_total_is_in_tenths_and_its_days_are_a_count() -> None:
    total = next(read_dly([printed_line("MDPR", 2024, 1, {1: "  305   "})]))
    days = next(read_dly([printed_line("DAPR", 2024, 1, {1: "    3   "})]))
    assert (total.amount_mm, total.days, days.days, days.amount_mm) == (30.5, None, 3, None)


@pytest.mark.parametrize(
    "header",
    ["", "ID,YEAR/MONTH/DAY,ELEMENT,DATA VALUE,M-FLAG,Q-FLAG,S-FLAG,OBS-TIME", "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME"],
)
def test_csv_rows_are_read_with_or_without_a_header(header: str) -> None:
    lines = [*([header] if header else []), "ZZ000000001,20240105,PRCP,25,T,,S,0700", "ZZ000000001,20240105,TMAX,-12,,,7,"]
    assert is_by_station(lines)
    rain, warm = [entry for entry in read_by_station(lines) if entry.date]
    assert (rain.station, rain.date, rain.amount_mm) == ("ZZ000000001", dt.date(2024, 1, 5), 2.5)
    assert (rain.mflag, rain.qflag, rain.sflag, rain.obs_time) == ("T", None, "S", "0700")
    assert (warm.temperature_c, warm.sflag, warm.obs_time) == (-1.2, "7", None)


def test_the_two_forms_are_told_apart() -> None:
    fixed, rows = [printed_line("SNOW", 2024, 1, {})], ["ZZ000000001,20240105,SNOW,25,,,S,"]
    assert (is_dly(fixed), is_by_station(fixed), is_dly(rows), is_by_station(rows)) == (True, False, False, True)
