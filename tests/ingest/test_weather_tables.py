"""Plain tables of weather: known by their content, read in the units of their headers, and asked about where these say too little."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from ingest.errors import FileUnreadable
from ingest.weather.opening import looks_like_weather
from tests.ingest.weather_records import by_station, dly, entries, read, refusals

pytestmark = pytest.mark.usefixtures("records_opened_here")

TABLES: list[tuple[str, dict[str, Any], list[tuple[Any, ...]]]] = [
    ("date,rain (mm),tmax (C)\n2024-01-01,2.5,20\n", {}, [("PRCP", 2.5, None), ("TMAX", None, 20.0)]),
    ("Date\tPrecip (in)\tMin temp (°F)\n1/13/2024\t0.1\t14\n", {}, [("PRCP", 2.54, None), ("TMIN", None, -10.0)]),
    ("date;rain_mm;tmin_c\n13.01.2024;1,5;-0,5\n", {}, [("PRCP", 1.5, None), ("TMIN", None, -0.5)]),
    ("day,Daily rain mm\n20240101,0\n", {}, [("PRCP", 0.0, None)]),
    ("date,rainfall,high,low\n2024-01-01,1,104,32\n", {"units": {"rain": "inches", "temperature": "F"}},
     [("PRCP", 25.4, None), ("TMAX", None, 40.0), ("TMIN", None, 0.0)]),
    ("date,rain [cm]\n2024-01-01,1.5\n", {"units": {"rain": "in"}}, [("PRCP", 15.0, None)]),
]  # fmt: skip


@pytest.mark.parametrize(("text", "given_by_user", "expected"), TABLES)
def test_a_plain_table_is_read_in_the_units_of_its_header(
    text: str, given_by_user: dict[str, Any], expected: list[tuple[Any, ...]]
) -> None:
    record = read(text, gauge="ranch", **given_by_user)
    found = [row for row in entries(record, "element", "amount_mm", "temperature_c") if row[0]]
    assert [row[0] for row in found] == [row[0] for row in expected]
    for row, wanted in zip(found, expected, strict=True):
        assert row[1:] == pytest.approx(wanted[1:], abs=1e-9)
    assert not record.is_refused
    assert record.columns["status"][1:] == ["accepted"] * len(expected)


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        ("0", ("accepted", "", "", 0.0)),
        ("", ("set_aside", "", "weather_missing", None)),
        ("M", ("set_aside", "", "weather_missing", None)),
        ("-9999", ("set_aside", "", "weather_missing", None)),
        ("-99.0", ("set_aside", "", "weather_missing", None)),
        ("T", ("flagged", "weather_trace", "", 0.0)),
        ("trace", ("flagged", "weather_trace", "", 0.0)),
        ("-0.1", ("set_aside", "", "contract_broken", -0.1)),
        ("2.5 mm?", ("set_aside", "", "weather_unreadable", None)),
        ("nan", ("set_aside", "", "weather_missing", None)),
        ("inf", ("set_aside", "", "weather_unreadable", None)),
        ("1e3", ("set_aside", "", "weather_unreadable", None)),
    ],
)
def test_zero_blank_and_trace_are_three_things(cell: str, expected: tuple[Any, ...]) -> None:
    record = read(f"gauge,date,rain (mm)\nranch,2024-01-01,{cell}\n")
    assert entries(record, "status", "flags", "reasons", "amount_mm")[1] == expected


def test_rows_that_are_no_data_are_accounted_for() -> None:
    text = "Ranch weather\n\ndate,rain (mm)\n2024-01-01,1\n\ndate,rain (mm)\n2024-01-02,2\nTotal,3\n2024-13-40,3\n,4\n"
    record = read(text, gauge="ranch")
    assert [reasons for (reasons,) in entries(record, "reasons")] == [
        "title_row", "blank_row", "header_row", "", "blank_row", "header_row", "", "summary_row", "date_unreadable", "date_missing",
    ]  # fmt: skip
    assert sum(record.columns["is_structural"]) == 6
    assert record.columns["source_row"] == list(range(1, 11))


@pytest.mark.parametrize(
    ("text", "given_by_user", "expected"),
    [
        ("date,rain\n2024-01-01,1\n", {"gauge": "ranch"}, [("weather_unit_missing", "rain")]),
        ("date,tmax,tmin (C)\n2024-01-01,1,0\n", {"gauge": "ranch", "units": {"rain": "mm"}}, [("weather_unit_missing", "tmax")]),
        ("date,rain (C)\n2024-01-01,1\n", {"gauge": "ranch"}, [("weather_unit_missing", "rain (C)")]),
        ("date,rain (mm)\n2024-01-01,1\n", {}, [("gauge_missing", None)]),
        ("date,rain (mm)\n1/2/2024,1\n1/3/2024,1\n", {"gauge": "ranch"}, [("date_order_unclear", "1/2/2024")]),
        ("date,rain (mm)\n", {"gauge": "ranch"}, [("no_rows", None)]),
        ("date,rain (mm)\n2024-01-01,M\n", {"gauge": "ranch"}, [("no_readings_left", None)]),
        ("ID,DATE,ELEMENT,VALUE\n", {}, [("no_rows", None)]),
    ],
)
def test_what_only_the_user_can_know_is_asked(text: str, given_by_user: dict[str, Any], expected: list[tuple[str, str | None]]) -> None:
    record = read(text, **given_by_user)
    assert refusals(record) == expected
    assert record.is_refused


@pytest.mark.parametrize(("order", "day"), [("day-first", dt.date(2024, 2, 1)), ("month-first", dt.date(2024, 1, 2))])
def test_the_order_of_day_and_month_is_the_users_word(order: str, day: dt.date) -> None:
    record = read("date,rain (mm)\n1/2/2024,1\n", gauge="ranch", order=order)
    assert not record.is_refused
    assert record.columns["date"][1] == day


def test_flags_joined_in_an_attributes_column_are_heeded() -> None:
    text = 'STATION,DATE,PRCP (mm),PRCP_ATTRIBUTES\nZZ000000001,2024-01-01,5.1,",X,7,0700"\nZZ000000001,2024-01-02,0,"T,,7,0700"\n'
    record = read(text)
    assert entries(record, "status", "qflag", "mflag", "obs_time")[1:] == [("set_aside", "X", None, "0700"), ("flagged", None, "T", "0700")]


KNOWN = [
    (dly("SNOW", "202401", []), True),
    (by_station("20240101,TAVG,5,,,7,"), True),
    ("date,rain (mm)\n2024-01-01,1\n", True),
    ("Some title\nStation 3\n\nDate;Tmax;Tmin\n1.1.2024;2;1\n", True),
    ("date,rain (mm)\n2024-01-01,1\n".encode("utf-16"), True),
    ("\ufeffdate,rain (mm)\n" + "2024-01-01,1\n" * 9000 + "é", True),
    ("\ufeffdate,rain (mm),note\n" + "2024-01-01,1,ééééé\n" * 9000, True),
    ("\ufeffdate,rain (mm),notes\n" + "2024-01-01,1,ééééé\n" * 9000, True),
    ("date,site,species,leaf,pressure (bar),rain (mm)\n2024-09-17,hill,ANGE,1,12,0\n", False),
    ("date,plant,rain\n2024-09-17,1,0\n", False),
    ("hill,20240917,ANGE,12\nhill,20240917,SCSC,14\n", False),
    ("site,rain (mm)\nhill,3\n", False),
    ("date,pressure\n2024-01-01,1\n", False),
    ("", False),
    (b"PK\x03\x04date,rain (mm)", False),
    (b"\x00\xff\xfe\x01" * 50, False),
]


@pytest.mark.parametrize(("text", "is_weather"), KNOWN)
def test_weather_is_told_by_its_content(text: str | bytes, is_weather: bool) -> None:
    data = text if isinstance(text, bytes) else text.encode()
    assert looks_like_weather(data, "x.xlsx") is is_weather
    if not is_weather:
        with pytest.raises(FileUnreadable, match="Give a GHCN-Daily file"):
            read(data)


def test_an_open_quotation_mark_is_named() -> None:
    with pytest.raises(FileUnreadable, match="quotation mark"):
        read('date,rain (mm)\n2024-01-01,1\n2024-01-02,"' + "2024-01-03,1\n" * 20_000, gauge="ranch")
