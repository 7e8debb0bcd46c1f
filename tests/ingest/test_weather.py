"""Weather records: known by their content, every entry accounted for, nothing filled in and nothing guessed."""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingest.errors import FileUnreadable
from ingest.home import Settings
from ingest.registers.registers import Gauge, Registers
from ingest.weather import records as weather
from ingest.weather.opening import looks_like_weather, work
from ingest.weather.records import WeatherRecord, read_weather

GAUGES = {
    code: Gauge(code, f"The {code}", (alias,), None, None, None, "07:00")
    for code, alias in (("ranch", "ZZ000000001"), ("mill", "ZZ000000002"))
}
REGISTERS = Registers({}, {}, {}, GAUGES, {}, {})
SETTINGS = Settings("lab", "Lab", "UTC")


@pytest.fixture(scope="module", autouse=True)
def in_this_process() -> Iterator[None]:
    """Opens the records of this module here: a process for each takes most of the time, and its answers are the same (see below)."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(weather, "in_limits", lambda _, data, name: work(data, name))
        yield


def read(text: str | bytes, **given_by_user: Any) -> WeatherRecord:
    return read_weather(text if isinstance(text, bytes) else text.encode(), "record", REGISTERS, SETTINGS, **given_by_user)


def entries(record: WeatherRecord, *names: str) -> list[tuple[Any, ...]]:
    return list(zip(*(record.columns[name] for name in names), strict=True))


def refusals(record: WeatherRecord) -> list[tuple[str, str | None]]:
    return [(found.code, found.value) for found in record.problems if found.severity == "refuse"]


def dly(element: str, month: str, fields: list[str], station: str = "ZZ000000001") -> str:
    """One line: a field of eight characters for each day from the first on, then missing days."""
    return station + month + element + "".join(field.ljust(8) for field in fields) + "-9999   " * (31 - len(fields))


def by_station(*rows: str) -> str:
    return "".join(f"ZZ000000001,{row}\n" for row in rows)


def test_each_flag_of_a_record_has_its_consequence() -> None:
    record = read(dly("PRCP", "202401", ["    0T 7", "  254 X7", "   25  S", "    0P 7", "  -12   ", "-9999   ", "   12  7"]))
    assert entries(record, "status", "flags", "reasons", "amount_mm", "is_trace")[:7] == [
        ("flagged", "weather_trace", "", 0.0, True),
        ("set_aside", "", "weather_quality_failed", 25.4, False),
        ("flagged", "weather_synoptic", "", 2.5, False),
        ("accepted", "", "", 0.0, False),
        ("set_aside", "", "contract_broken", -1.2, False),
        ("set_aside", "", "weather_missing", None, False),
        ("accepted", "", "", 1.2, False),
    ]
    assert record.gauges == ("ranch",)
    assert record.days == (dt.date(2024, 1, 1), dt.date(2024, 1, 7))
    assert record.rows_in_file == 31 == sum(record.count(status) for status in ("accepted", "flagged", "set_aside"))


def test_problems_name_the_first_place_and_how_many() -> None:
    text = dly("PRCP", "202402", ["    0T 7"] * 3 + ["   10 X7"] + ["   11 I7"] * 25) + "\n" + dly("SNOW", "202402", [])
    found = {(problem.code, problem.row, problem.value, problem.count) for problem in read(text).problems}
    assert found == {
        ("weather_trace", 1, "0", 3),
        ("weather_quality_failed", 1, "10", 1),
        ("weather_quality_failed", 1, "11", 25),
        ("weather_element_unused", 2, None, 1),
    }
    messages = [problem.message for problem in read(text).problems]
    assert any("X, bounds" in message for message in messages)
    assert not any("?" in message or "None" in message for message in messages)


def test_an_unused_element_is_one_row_a_line_and_a_real_missing_day_is_a_row() -> None:
    record = read(
        "\n".join([dly("PRCP", "202302", ["    1  7"] * 28), dly("SNWD", "202302", []), dly("TMAX", "202302", ["  100  7"] * 27)])
    )
    assert record.rows_in_file == 28 + 1 + 28
    assert (record.count("accepted"), record.count("set_aside")) == (55, 2)


def test_a_value_on_a_day_that_does_not_exist_is_not_swallowed() -> None:
    record = read(dly("PRCP", "202302", ["    1  7"] * 29))
    assert entries(record, "status", "reasons", "date")[28:] == [("set_aside", "date_unreadable", None)]


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_lines_may_lose_their_trailing_blanks(ending: str) -> None:
    lines = [dly("PRCP", "202401", ["   12  7"] * 30 + ["   13"]).rstrip(), dly("TMAX", "202401", ["  112   "] * 31).rstrip()]
    record = read(ending.join(lines) + ending)
    assert record.count("accepted") == 62
    assert entries(record, "amount_mm", "sflag")[30] == (1.3, None)


def test_a_line_cut_within_a_value_is_not_read_as_a_smaller_number() -> None:
    whole = dly("PRCP", "202401", ["   12  7"] * 31)
    record = read(whole + "\n" + dly("PRCP", "202402", ["  123  7"] * 10)[: 21 + 8 * 5 + 4])
    assert entries(record, "amount_mm", "reasons")[31:38] == [(12.3, "")] * 5 + [(None, "weather_unreadable"), (None, "weather_missing")]


def test_columns_that_slipped_are_not_read() -> None:
    record = read(dly("PRCP", "202401", ["   12  7"] * 30 + ["  12   7"]))
    assert entries(record, "amount_mm", "reasons")[30] == (None, "weather_unreadable")


def test_rain_of_several_days_needs_its_number_of_days() -> None:
    record = read(
        by_station(
            "20240103,MDPR,120,,,7,", "20240103,DAPR,3,,,7,", "20240109,MDPR,80,,,7,", "20240115,MDPR,80,,,7,", "20240115,DAPR,4,,L,7,"
        )
    )
    assert entries(record, "element", "status", "reasons", "amount_mm", "days") == [
        ("MDPR", "accepted", "", 12.0, None),
        ("DAPR", "accepted", "", None, 3),
        ("MDPR", "set_aside", "weather_multiday_open", 8.0, None),
        ("MDPR", "set_aside", "weather_multiday_open", 8.0, None),
        ("DAPR", "set_aside", "weather_quality_failed", None, 4),
    ]


def test_rain_of_several_days_is_open_where_their_number_is_contradicted() -> None:
    record = read(by_station("20240103,DAPR,3,,,7,", "20240103,DAPR,4,,,7,", "20240103,MDPR,120,,,7,"))
    assert entries(record, "reasons") == [("weather_day_repeated",), ("weather_day_repeated",), ("weather_multiday_open",)]


def test_a_value_that_failed_the_records_checks_is_kept_as_it_is() -> None:
    record = read(by_station("20240101,PRCP,5,,,7,", "20240103,PRCP,29001,,X,7,"))
    assert entries(record, "reasons", "amount_mm")[1] == ("weather_quality_failed", 2900.1)


def test_words_in_a_records_cells_name_nobody() -> None:
    record = read("date,rain (mm)\n2024-01-01,1\n2024-01-02,spilled by Jim\nasked Jim Smith,2\n", gauge="ranch")
    assert record.columns["value_as_written"] == [None, "1", "[…] by […]", "[…]"]
    assert "Jim" not in repr(record)


def test_a_repeated_day_is_used_once_and_a_contradicted_one_not_at_all() -> None:
    record = read(
        by_station(
            "20240101,PRCP,5,,,7,", "20240101,PRCP,5,,,7,", "20240102,PRCP,5,,,7,", "20240102,PRCP,6,,,7,", "20240102,PRCP,-9999,,,,"
        )
    )
    assert [reasons for (reasons,) in entries(record, "reasons")] == [
        "",
        "weather_day_repeated",
        "weather_day_repeated",
        "weather_day_repeated",
        "weather_missing",
    ]
    assert "row 1" in next(problem.message for problem in record.problems if problem.code == "weather_day_repeated")


def test_crossed_temperatures_are_both_set_aside() -> None:
    record = read(by_station("20240101,TMAX,50,,,7,", "20240101,TMIN,60,,,7,", "20240102,TMAX,50,,,7,", "20240102,TMIN,50,,,7,"))
    assert [reasons for (reasons,) in entries(record, "reasons")] == ["weather_temperatures_crossed"] * 2 + ["", ""]


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("20240230,PRCP,5,,,7,", "date_unreadable"),
        (",PRCP,5,,,7,", "date_missing"),
        ("20240103,PRCP,five,,,7,", "weather_unreadable"),
        ("20240103,PRCP,1_0,,,7,", "weather_unreadable"),
        ("20240103,PRCP,,,,7,", "weather_missing"),
        ("20240103,PRCP,-9999,,,,", "weather_missing"),
        ("20240103,PRCP", "weather_unreadable"),
        ("20240103,PRCP,19001,,,7,", "contract_broken"),
        ("20240103,TMAX,601,,,7,", "contract_broken"),
        ("20240103,DAPR,63,,,7,", "contract_broken"),
        ("20240103,WT01,1,,,7,", "weather_element_unused"),
        ("29990103,PRCP,5,,,7,", "date_in_future"),
    ],
)
def test_what_cannot_be_used_is_kept_with_its_reason(row: str, reason: str) -> None:
    record = read(by_station("20240101,PRCP,5,,,7,", "20240102,PRCP,5,,,7,", row))
    assert entries(record, "status", "reasons")[2] == ("set_aside", reason)
    assert record.rows_in_file == 3


def test_the_observation_time_keeps_its_zero() -> None:
    assert read(by_station("20240101,PRCP,5,,,7,0700")).columns["obs_time"] == ["0700"]


@pytest.mark.parametrize(
    ("station", "gauge", "expected"),
    [
        ("ZZ000000001", None, ("ranch", [])),
        ("zz000000001", None, ("ranch", [])),
        ("ZZ000000009", None, (None, [("gauge_unknown", "ZZ000000009")])),
        ("ZZ000000009", "mill", ("mill", [])),
        ("ZZ000000009", "ZZ000000002", ("mill", [])),
        ("ZZ000000009", "nowhere", (None, [("gauge_unknown", "nowhere")])),
        ("ZZ000000001", "mill", ("ranch", [])),
    ],
)
def test_a_gauge_is_found_by_the_records_station_or_named(station: str, gauge: str | None, expected: tuple[Any, ...]) -> None:
    record = read(f"{station},20240101,PRCP,5,,,7,\n", gauge=gauge)
    assert (record.columns["gauge"][0], refusals(record)) == expected


def test_a_named_gauge_never_stands_for_two_stations() -> None:
    record = read("ZZ000000008,20240101,PRCP,5,,,7,\nZZ000000009,20240101,PRCP,6,,,7,\n", gauge="mill")
    assert refusals(record) == [("gauge_unknown", "ZZ000000008"), ("gauge_unknown", "ZZ000000009")]


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


@given(st.binary(max_size=300) | st.text(max_size=300).map(lambda text: ("date,rain (mm)\n" + text).encode("utf-8", "replace")))
def test_any_bytes_are_read_or_refused_and_every_entry_is_accounted_for(data: bytes) -> None:
    try:
        record = read(data)
    except FileUnreadable:
        return
    assert record.rows_in_file == sum(record.count(status) for status in ("accepted", "flagged", "set_aside"))
    assert {len(column) for column in record.columns.values()} == {record.rows_in_file}


def test_an_open_quotation_mark_is_named() -> None:
    with pytest.raises(FileUnreadable, match="quotation mark"):
        read('date,rain (mm)\n2024-01-01,1\n2024-01-02,"' + "2024-01-03,1\n" * 20_000, gauge="ranch")


def test_thirty_five_years_of_three_elements_are_read_in_little_time() -> None:
    months = [f"{year}{month:02}" for year in range(1990, 2025) for month in range(1, 13)]
    text = "\n".join(dly(element, month, ["   50  7"] * 28) for month in months for element in ("PRCP", "TMAX", "TMIN"))
    start = time.process_time()
    record = read(text)
    assert time.process_time() - start < 1.5
    assert record.count("accepted") == 28 * len(months) * 3


def test_the_demos_records_are_read() -> None:
    folder = Path(__file__).parents[2] / "demo_years" / "files" / "weather"
    for path in sorted(folder.iterdir()):
        record = read(path.read_bytes(), gauge="ranch")
        assert not record.is_refused
        assert record.count("accepted") > 1000
