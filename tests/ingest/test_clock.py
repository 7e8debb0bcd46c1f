"""Dates and clock times as classes write them; what one cell cannot say is left open for the column."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingest.cells.clock import clock_of_decimal, clocks_as_decimals, parse_time
from ingest.cells.dates import Order, PartialDate, date_order, parse_date
from ingest.files.containers import CellValue

SEVENTEENTH = date(2024, 9, 17)
DATES: list[tuple[CellValue, date | PartialDate | None]] = [
    (SEVENTEENTH, SEVENTEENTH),
    (datetime(2024, 9, 17, 13, 5), SEVENTEENTH),
    ("2024-09-17", SEVENTEENTH),
    ("2024/09/17", SEVENTEENTH),
    ("20240917", SEVENTEENTH),
    ("2024-09-17 13:05", SEVENTEENTH),
    ("2024-09-17T13:05:00", SEVENTEENTH),
    # Day 45552 counted from 1899-12-30 is 2024-09-17: 45292 is 2024-01-01, and 260 days are gone by then.
    (45552, SEVENTEENTH),
    (45552.54, SEVENTEENTH),
    ("17 Sep 2024", SEVENTEENTH),
    ("Sept. 17, 2024", SEVENTEENTH),
    ("September 17th 2024", SEVENTEENTH),
    ("Tue, 17-Sep-24", SEVENTEENTH),
    ("the 17th of September 2024", SEVENTEENTH),
    ("9/17/2024", PartialDate(9, 17, 2024, is_ordered=False)),
    ("9/17/24", PartialDate(9, 17, 2024, is_ordered=False, is_short=True)),
    ("17.9.2024", PartialDate(17, 9, 2024, is_ordered=False)),
    ("9/17", PartialDate(9, 17, None, is_ordered=False)),
    ("17 Sep", PartialDate(17, 9, None, is_ordered=True)),
    ("Sep 17", PartialDate(17, 9, None, is_ordered=True)),
    ("2024-02-30", None),
    ("31 Sep 2024", None),
    ("Tuesday", None),
    ("soon", None),
    ("", None),
    (None, None),
    (True, None),
    (17, None),
    (61_000, None),
]


@pytest.mark.parametrize(("cell", "expected"), DATES)
def test_a_date_is_read_as_far_as_it_goes(cell: CellValue, expected: date | PartialDate | None) -> None:
    assert parse_date(cell) == expected


def test_a_partial_date_resolves_to_a_day_that_exists_or_to_none() -> None:
    both = PartialDate(3, 4, 2024, is_ordered=False)
    assert (both.resolve("day-first", None), both.resolve("month-first", None)) == (date(2024, 4, 3), date(2024, 3, 4))
    assert PartialDate(31, 4, 2024, is_ordered=False).resolve("day-first", None) is None
    assert PartialDate(17, 9, None, is_ordered=True).resolve("month-first", 2024) == SEVENTEENTH
    assert PartialDate(17, 9, None, is_ordered=True).resolve("month-first", None) is None


def written(*pairs: tuple[int, int]) -> list[date | PartialDate | None]:
    return [PartialDate(first, second, 2024, is_ordered=False) for first, second in pairs]


NEITHER: dict[Order, float] = {"day-first": 1.0, "month-first": 1.0}
ORDERS: list[tuple[list[date | PartialDate | None], dict[Order, float], Order | None]] = [
    (written((9, 17), (9, 5)), NEITHER, "month-first"),
    (written((17, 9), (5, 9)), NEITHER, "day-first"),
    (written((9, 5), (9, 6)), NEITHER, None),
    (written((9, 5)), {"day-first": 0.0, "month-first": 1.0}, "month-first"),
    (written((9, 5)), {"day-first": 1.0, "month-first": 0.5}, "day-first"),
    (written((9, 9), (10, 10)), NEITHER, "month-first"),
    (written((17, 9), (9, 17)), NEITHER, None),
    (written((17, 9), *[(9, 17)] * 10), NEITHER, "month-first"),
    ([date(2024, 9, 17), *written((9, 5))], NEITHER, None),
]


@pytest.mark.parametrize(("cells", "plausible", "order"), ORDERS)
def test_the_column_decides_the_order_or_leaves_it_open(
    cells: list[date | PartialDate | None], plausible: dict[Order, float], order: Order | None
) -> None:
    assert date_order(cells, plausible) == order


# cell, clock time, whether morning or afternoon is certain
TIMES: list[tuple[CellValue, tuple[time, bool] | None]] = [
    ("13:05", (time(13, 5), True)),
    ("1:05 pm", (time(13, 5), True)),
    ("1:05p", (time(13, 5), True)),
    ("1:05 p.m.", (time(13, 5), True)),
    ("12:05 am", (time(0, 5), True)),
    ("12:05 PM", (time(12, 5), True)),
    ("noon", (time(12, 0), True)),
    ("06:05", (time(6, 5), True)),
    ("6:05", (time(6, 5), False)),
    ("1:05", (time(1, 5), False)),
    ("8:05", (time(8, 5), True)),
    ("12:05", (time(12, 5), True)),
    ("1305", (time(13, 5), True)),
    ("105", (time(1, 5), False)),
    ("0605", (time(6, 5), True)),
    ("1305h", (time(13, 5), True)),
    ("13h05", (time(13, 5), True)),
    ("13.05", (time(13, 5), True)),
    ("13:05:40", (time(13, 5), True)),
    (1305, (time(13, 5), True)),
    (105, (time(1, 5), False)),
    (0.5, (time(12, 0), True)),
    (45552.25, (time(6, 0), False)),
    (time(13, 5, 40), (time(13, 5), True)),
    (time(1, 5), (time(1, 5), False)),
    (datetime(2024, 9, 17, 13, 5), (time(13, 5), True)),
    (timedelta(hours=13, minutes=5), (time(13, 5), True)),
    ("13 pm", (time(13, 0), True)),
    ("13 am", None),
    ("25:00", None),
    ("12:75", None),
    ("13", None),
    (13.5, None),
    (13, None),
    ("morning", None),
    ("", None),
    (None, None),
    (True, None),
]


@pytest.mark.parametrize(("cell", "expected"), TIMES)
def test_a_clock_time_says_whether_its_half_of_the_day_is_certain(cell: CellValue, expected: tuple[time, bool] | None) -> None:
    assert parse_time(cell) == expected


@given(st.times())
def test_a_clock_time_comes_back_from_each_way_of_writing_it(clock: time) -> None:
    whole = clock.replace(second=0, microsecond=0)
    assert parse_time(f"{whole:%H:%M}") == (whole, True) or 1 <= whole.hour <= 7
    assert parse_time(f"{whole:%I:%M %p}") == (whole, True)
    found = parse_time((whole.hour * 60 + whole.minute) / 1440)
    assert found is not None
    assert found[0] == whole


@given(st.dates(min_value=date(1990, 1, 1), max_value=date(2060, 1, 1)))
def test_a_date_comes_back_from_each_way_of_writing_it(day: date) -> None:
    assert parse_date(day.isoformat()) == day
    assert parse_date((day - date(1899, 12, 30)).days) == day
    assert parse_date(f"{day:%d %b %Y}") == day
    for text, order in ((f"{day:%d/%m/%Y}", "day-first"), (f"{day:%m/%d/%Y}", "month-first")):
        partial = parse_date(text)
        assert isinstance(partial, PartialDate)
        assert partial.resolve("day-first" if order == "day-first" else "month-first", None) == day


@given(st.text(max_size=15))
def test_any_text_is_a_time_or_date_or_none_without_failing(text: str) -> None:
    parse_time(text)
    parse_date(text)


@pytest.mark.parametrize(
    ("cells", "is_clock"),
    [
        ([12.4, 12.42, 12.58, 13.02, 13], True),
        (["12,40", "12,42", "12,58", "13,02"], True),
        ([12.5, 12.75, 13.25, 13.0], False),  # halves and quarters of an hour
        ([12.4, 12.42, 12.61, 13.02], False),
        ([12.4, 12.42], False),
        ([12.4, 12.42, 12.58, 13.025], False),
        ([12.4, 12.42, 12.58, "noon"], False),
    ],
)
def test_hours_and_minutes_typed_as_a_number_are_told_by_the_whole_column(cells: list[CellValue], is_clock: bool) -> None:
    assert clocks_as_decimals(cells) is is_clock


def test_a_minute_s_zero_that_a_number_lost_comes_back() -> None:
    assert clock_of_decimal(13.5) == "13.50"
