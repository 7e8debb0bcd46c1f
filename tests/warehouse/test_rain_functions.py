"""The functions on rain give what the models give, on the demo's record and on random ones; and what they say by themselves."""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Iterator
from itertools import pairwise
from random import Random
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from demo_years.make import years
from demo_years.records import MULTIDAY_DAYS, MULTIDAY_LAST, RAIN_FAILED, RAIN_MISSING
from tests.warehouse.tiny_home import rain, receive, tiny_home
from warehouse.build import build
from warehouse.published import Published, open_published
from warehouse.statistics.rain import (
    DaysSince,
    DrySpell,
    SeveralDays,
    antecedent_index,
    days_since_rain,
    longest_dry_spell,
    percent_of_normal,
    rain_sum,
    spi,
)

Amounts = dict[dt.date, float | None]
Totals = dict[dt.date, tuple[int, float]]
GAUGES = ("demo", "thirty", "twenty", "gaps", "crossed")
LAST_DAYS = 700  # of each record, whose windows are compared one by one


def demo_record() -> tuple[Amounts, Totals]:
    """The demo gauge's rain as its files hold it: days that are lost, and one total of four days."""
    amounts: Amounts = {day.day: round(day.rain_mm, 1) for day in years().days}
    for day in [*RAIN_MISSING, *RAIN_FAILED]:
        amounts[day] = None
    closed = [MULTIDAY_LAST - dt.timedelta(days=n) for n in range(MULTIDAY_DAYS)]
    total = sum(amounts[day] or 0.0 for day in closed)
    amounts.update(dict.fromkeys(closed))
    return amounts, {MULTIDAY_LAST: (MULTIDAY_DAYS, total)}


def random_record(seed: int, n_days: int, lost: float, n_totals: int) -> tuple[Amounts, Totals]:
    """Rain on a third of the days; `lost` is the share of missing days. Totals may overlap each other and days with rain."""
    rng = Random(seed)  # noqa: S311  # invented rain
    first = dt.date(1988, 1, 1)
    days = [first + dt.timedelta(days=n) for n in range(n_days)]
    amounts: Amounts = {day: round(rng.gammavariate(0.7, 9.0), 1) if rng.random() < 0.33 else 0.0 for day in days}
    totals: Totals = {}
    for _ in range(n_totals):
        length = rng.randint(2, 6)
        place = rng.randrange(n_days - 300, n_days)
        totals[days[place]] = (length, round(rng.gammavariate(1.0, 20.0), 1))
        for covered in days[place - length + 1 : place + rng.choice([0, 1, 1, 1])]:  # a day of some stays known: not usable
            amounts[covered] = None
    for day in days[1:-1]:
        if rng.random() < lost:
            amounts[day] = None
    amounts[days[0]], amounts[days[-1]] = 1.0, 1.0
    return amounts, {day: total for day, total in totals.items() if day != days[-1]}


RECORDS = {
    "demo": demo_record(),
    "thirty": random_record(1, 36 * 365, 0.0003, 0),
    "twenty": random_record(2, 24 * 365, 0.0, 0),
    "gaps": random_record(3, 1200, 0.03, 12),
    "crossed": random_record(4, 900, 0.0, 60),
}


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Published]:
    home = tiny_home(tmp_path_factory.mktemp("functions") / "home")
    with (home.registers / "gauges.csv").open("a", encoding="utf-8") as file:
        file.writelines(f"{name},{name.title()},,39.1,-96.6,400,07:00\n" for name in GAUGES)
    for name, (amounts, totals) in RECORDS.items():
        rows = rain(amounts, gauge=name)
        for last, (length, mm) in totals.items():
            rows += rain({last: mm}, gauge=name, element="MDPR", days=length)
        receive(home, f"w-{name}", "weather", rows)
    build(home)
    opened = open_published(home, "instructor")
    yield opened
    opened.close()


def listed(name: str) -> tuple[list[float | None], list[SeveralDays]]:
    amounts, totals = RECORDS[name]
    place = {day: number for number, day in enumerate(amounts)}
    return list(amounts.values()), [SeveralDays(place[last], length, mm) for last, (length, mm) in totals.items()]


def plain(values: Any) -> list[Any]:
    return [None if pd.isna(value) else value for value in values]


@pytest.mark.parametrize("gauge", GAUGES)
def test_windows_days_since_rain_and_antecedent_index_are_those_of_the_models(published: Published, gauge: str) -> None:
    found = published.query("SELECT * FROM rain_days WHERE gauge = ? ORDER BY date", [gauge]).tail(LAST_DAYS)
    record, totals = listed(gauge)
    cut = len(record) - LAST_DAYS - 120
    recent, shifted = record[cut:], [total._replace(last=total.last - cut) for total in totals if total.last - total.days + 1 >= cut]
    for days in (1, 3, 7, 14, 30, 60, 90):
        sums = rain_sum(recent, days, shifted)[-LAST_DAYS:]
        assert plain(found[f"rain_{days}d_mm"]) == pytest.approx([window.mm for window in sums], abs=1e-6)
        assert found[f"rain_{days}d_missing_days"].tolist() == [window.missing_days for window in sums]
    since = days_since_rain(record)[-LAST_DAYS:]
    assert plain(found["days_since_rain"]) == [day.days for day in since]
    assert found["days_since_rain_at_least"].tolist() == [day.at_least for day in since]
    assert plain(found["antecedent_index_mm"]) == pytest.approx(antecedent_index(recent)[-LAST_DAYS:], abs=1e-6)


@pytest.mark.parametrize("length", [1, 3, 6, 12])
@pytest.mark.parametrize("gauge", ["demo", "thirty", "twenty", "gaps"])
def test_indices_and_normals_are_those_of_the_models(published: Published, gauge: str, length: int) -> None:
    rows = published.query("SELECT * FROM rain_indices WHERE gauge = ? AND length_months = ? ORDER BY month_start", [gauge, length])
    sums = dict(zip(rows["month_start"], plain(rows["rain_mm"]), strict=True))
    for row in rows.itertuples():
        same_month = {day.year: mm for day, mm in sums.items() if day.month == row.month_start.month}
        index = spi(sums[row.month_start], same_month)
        stated = (row.n_record_years, row.n_base_years, *plain([row.base_first_year, row.base_last_year]), row.spi_basis, row.reason_code)
        assert plain(stated) == [
            *(index.n_record_years, index.n_base_years, index.base_first_year, index.base_last_year, index.spi_basis, index.reason_code)
        ]
        assert plain([row.normal_mm, row.spi, row.percent_of_normal]) == pytest.approx(
            [index.normal_mm, index.spi, percent_of_normal(sums[row.month_start], index.normal_mm)], abs=1e-9
        )
        assert (index.spi is None) == (index.reason is not None)


@pytest.mark.parametrize("gauge", GAUGES)
def test_dry_spells_are_those_of_the_models(published: Published, gauge: str) -> None:
    terms = published.query("SELECT * FROM semesters")
    spells = published.query("SELECT * FROM dry_spells WHERE gauge = ?", [gauge]).set_index("semester")
    amounts = RECORDS[gauge][0]
    compared = 0
    for term in terms.itertuples():
        days = [day for day in amounts if term.start_date.date() <= day <= term.end_date.date()]
        spell = longest_dry_spell([amounts[day] for day in days])
        if days:
            found = spells.loc[term.semester]
            assert (found["longest_days"], found["spell_first_date"].date()) == (spell.days, days[spell.first or 0])
            assert found["n_missing_days"] >= sum(amounts[day] is None for day in days)
            compared += 1
    assert compared == len(spells)


@given(st.lists(st.one_of(st.none(), st.floats(0, 200)), max_size=60), st.integers(1, 20))
def test_a_window_is_strict(record: list[float | None], days: int) -> None:
    for last, window in enumerate(rain_sum(record, days)):
        inside = record[max(0, last - days + 1) : last + 1]
        missing = days - len(inside) + sum(amount is None for amount in inside)
        assert window.missing_days == missing
        assert window.mm == (pytest.approx(sum(amount or 0.0 for amount in inside)) if missing == 0 else None)


@given(st.lists(st.one_of(st.none(), st.sampled_from([0.0, 0.99, 1.0, 8.0])), max_size=50))
def test_a_dry_spell_is_dry_known_and_the_longest(record: list[float | None]) -> None:
    spell = longest_dry_spell(record)
    ends = [-1, *(place for place, mm in enumerate(record) if mm is None or mm >= 1.0), len(record)]
    assert spell.days == max(later - earlier - 1 for earlier, later in pairwise(ends))


@given(st.lists(st.floats(0, 100), min_size=20, max_size=40), st.floats(0, 150), st.floats(0, 150))
def test_more_rain_is_never_a_drier_index(base: list[float], less: float, more: float) -> None:
    sums: dict[int, float | None] = dict(enumerate(base, start=1900))
    low, high = spi(min(less, more), sums), spi(max(less, more), sums)
    assert (low.spi is None) == (high.spi is None)
    if low.spi is not None and high.spi is not None:
        assert -3.09 <= low.spi <= high.spi <= 3.09


@pytest.mark.parametrize(
    ("sums", "value", "code"),
    [
        ({}, 10.0, "rain_record_short"),
        (dict.fromkeys(range(1990, 2009), 5.0), 10.0, "rain_record_short"),
        (dict.fromkeys(range(1981, 2011), 0.0), 0.0, "rain_too_alike"),
        (dict.fromkeys(range(1981, 2011), 5.0), 5.0, "rain_too_alike"),
        ({year: float(year % 7) for year in range(1981, 2011)}, None, "rain_month_missing"),
        ({year: 3.0 if year < 1990 else 0.0 for year in range(1981, 2011)}, 3.0, "rain_too_alike"),
    ],
)
def test_why_there_is_no_index(sums: dict[int, float | None], value: float | None, code: str) -> None:
    found = spi(value, sums)
    assert (found.spi, found.reason_code) == (None, code)
    assert found.reason


def test_standard_base_is_taken_where_it_is_complete() -> None:
    sums: dict[int, float | None] = {year: float(year % 11 + (500 if year > 2020 else 0)) for year in range(1961, 2026)}
    assert (spi(5.0, sums).base_first_year, spi(5.0, sums).base_last_year, spi(5.0, sums).n_record_years) == (1991, 2020, 65)
    assert spi(5.0, sums | {2000: None}).n_base_years == 64


def test_by_hand() -> None:
    assert antecedent_index([0.0] * 89 + [10.0, 0.0, 0.0, 5.0])[-4:] == pytest.approx([10.0, 9.0, 8.1, 12.29], abs=1e-9)
    assert antecedent_index([4.0] * 900)[-1] == pytest.approx(4.0 / (1 - 0.9), rel=1e-4)
    assert days_since_rain([4.9, 5.0, 0.0, None, 1.0, 30.0]) == [
        *(DaysSince(None, 1), DaysSince(0, 0), DaysSince(1, 1), DaysSince(None, 0), DaysSince(None, 1), DaysSince(0, 0)),
    ]
    assert longest_dry_spell([0.0, 0.5, None, 0.0, 0.0, 0.9, 1.0]) == DrySpell(3, 3)
    assert longest_dry_spell([]) == longest_dry_spell([None, 2.0]) == DrySpell(0, None)
    assert (percent_of_normal(30.0, 60.0), percent_of_normal(30.0, 0.0), percent_of_normal(None, 60.0)) == (50.0, None, None)


def test_antecedent_index_is_that_of_climate_indices() -> None:
    """climate-indices 3.1.0, flood.antecedent_precipitation_index, from 0; ours leaves out what is older than 90 days: k^90 of it."""
    root = logging.getLogger()
    level, handlers = root.level, list(root.handlers)
    from climate_indices.flood import antecedent_precipitation_index

    root.setLevel(level)
    root.handlers[:] = handlers
    rng = Random(5)  # noqa: S311  # invented rain
    record = [round(rng.gammavariate(0.5, 10.0), 1) for _ in range(600)]
    theirs = list(np.asarray(antecedent_precipitation_index(np.array(record), 0.9)))
    ours = antecedent_index(list(record))
    rest = [0.9**90 * before for before in theirs[:-90]]
    assert ours[90:] == pytest.approx([whole - left for whole, left in zip(theirs[90:], rest, strict=True)], abs=1e-9)
