"""Weather records: known by their content, every entry accounted for, nothing filled in and nothing guessed."""

from __future__ import annotations

import datetime as dt
import time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingest.errors import FileUnreadable
from tests.ingest.weather_records import by_station, dly, entries, read, refusals

pytestmark = pytest.mark.usefixtures("records_opened_here")


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


@given(st.binary(max_size=300) | st.text(max_size=300).map(lambda text: ("date,rain (mm)\n" + text).encode("utf-8", "replace")))
def test_any_bytes_are_read_or_refused_and_every_entry_is_accounted_for(data: bytes) -> None:
    try:
        record = read(data)
    except FileUnreadable:
        return
    assert record.rows_in_file == sum(record.count(status) for status in ("accepted", "flagged", "set_aside"))
    assert {len(column) for column in record.columns.values()} == {record.rows_in_file}


def test_thirty_five_years_of_three_elements_are_read_in_little_time() -> None:
    months = [f"{year}{month:02}" for year in range(1990, 2025) for month in range(1, 13)]
    text = "\n".join(dly(element, month, ["   50  7"] * 28) for month in months for element in ("PRCP", "TMAX", "TMIN"))
    start = time.process_time()
    record = read(text)
    assert time.process_time() - start < 3
    assert record.count("accepted") == 28 * len(months) * 3


def test_the_demos_records_are_read() -> None:
    folder = Path(__file__).parents[2] / "demo_years" / "files" / "weather"
    for path in sorted(folder.iterdir()):
        record = read(path.read_bytes(), gauge="ranch")
        assert not record.is_refused
        assert record.count("accepted") > 1000
