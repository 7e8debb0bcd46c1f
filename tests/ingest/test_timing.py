"""Dates and clock times of a whole column: what its rows decide together, and what they leave to a question."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from ingest.home import Home
from tests.ingest.small_lab import check, every_row, table_of

pytestmark = pytest.mark.usefixtures("opened_here")


def _asked(lab: Home, name: str = "class.csv", **columns: str | Sequence[str]) -> list[str]:
    return [found.code for found in check(lab, table_of(**columns), name).receipt.problems if found.severity == "refuse"]


def _column(lab: Home, column: str, *answers: str, **columns: str | Sequence[str]) -> list[object]:
    checked = check(lab, table_of(**columns), "class.csv", *answers)
    assert not checked.receipt.is_refused, checked.receipt.as_text()
    return [row[column] for row in every_row(checked) if not row["is_structural"]]


EARLY, ONE = ["5:20", "5:35", "13:05", "13:20"], ["12:40", "12:55", "1:05", "1:20"]


@pytest.mark.parametrize(
    ("times", "questions"),
    [
        (EARLY, []),  # predawn and, hours later, midday: written by 24 hours
        (ONE, ["clock_unclear"]),
        (["13:40", "13:50", "1:55", "2:10"], ["clock_unclear"]),  # somebody else wrote on
        (["15:10", "15:50", "4:10", "4:20"], ["clock_unclear"]),
        (["01:35", "01:40", "01:50", "02:00"], ["clock_unclear"]),  # a form writes every hour with two digits
        (["05:35", "05:40", "05:50", "06:00"], []),
    ],
)
def test_small_hours_are_asked_for_even_beside_hours_of_the_afternoon(times: list[str], questions: list[str], lab: Home) -> None:
    assert _asked(lab, Time=times) == questions


@pytest.mark.parametrize(
    ("answer", "clocks"),
    [
        ("afternoon", ["17:20", "12:40", "13:05", "14:10"]),
        ("24h", ["05:20", "12:40", "01:05", "02:10"]),
        ("split", ["05:20", "12:40", "13:05", "14:10"]),
    ],
)
def test_an_answer_says_what_small_hours_are(answer: str, clocks: list[str], lab: Home) -> None:
    assert _column(lab, "time_read", f"clock.hours={answer}", Time=["5:20", "12:40", "1:05", "2:10"]) == clocks


def test_a_column_of_halves_belongs_to_the_clock(lab: Home) -> None:
    for header in ("AM/PM", "am or pm", "Window"):
        columns = {"Time": ["5:20", "1:05", "12:50", "13:40"], header: ["am", "PM", "p.m.", ""]}
        assert _column(lab, "time_read", **columns) == ["05:20", "13:05", "12:50", "13:40"]


def test_the_clock_may_stand_in_the_cell_of_the_date_but_not_where_it_tells_the_sending(lab: Home) -> None:
    moments = ["2024-09-17 13:05", "9/17/2024 1:20 PM", "Sep 17, 2024 at 1:25 pm"]
    assert _column(lab, "time_read", Date=moments, Time="") == ["13:05", "13:20", "13:25"]
    data = table_of(Date=moments, Time="", Window="midday").replace(b"Date", b"Date submitted")
    checked = check(lab, data)
    assert {row["time_read"] for row in every_row(checked)} == {None}


def test_a_date_that_can_only_be_flipped_is_taken_so_and_flagged(lab: Home) -> None:
    dates = ["9/17/2024", "9/17/2024", "9/24/2024", "9/24/2024", *["9/26/2024"] * 7, "19/9/2024"]
    columns = {"Date": dates}
    assert str(_column(lab, "date", **columns)[-1]) == "2024-09-19"
    assert _column(lab, "flags", **columns) == [""] * 11 + ["date_flipped"]


def test_a_year_written_first_in_two_digits_is_asked_for_where_both_ends_may_be_it(lab: Home) -> None:
    both = ["24-09-23", "24-09-24"]  # the 24th of September 2023 lies in no semester of this lab
    assert _asked(lab, Date=both) == []
    assert [str(day) for day in _column(lab, "date", Date=both)] == ["2024-09-23", "2024-09-24"]
    assert _asked(lab, Date=["24-09-24", "24-10-24"]) == ["date_order_unclear"]
    assert [str(day) for day in _column(lab, "date", "dates.order=year-first", Date=["24-09-24", "24-10-24"])] == [
        "2024-09-24",
        "2024-10-24",
    ]
