"""Rain sums through the models against daily data of Seattle (package vega_datasets, from NOAA's daily summaries).

The expected values were reckoned from the same series outside of the models, in R and in Python, by the definitions: a dry
day has less than 1 mm, consecutive dry days are the longest run of them (ETCCDI; Zhang et al. 2011, WIREs Clim. Change
2:851); the antecedent index is A(t) = k A(t - 1) + P(t) (Kohler and Linsley 1951), k = 0.9, from 0 before 1 January 2015.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from tests.warehouse.tiny_home import rain, receive, tiny_home
from warehouse.build import build
from warehouse.published import Published, open_published

if TYPE_CHECKING:
    import pandas as pd


def _series() -> pd.Series:
    from vega_datasets import local_data

    return local_data.seattle_weather().set_index("date")["precipitation"]["2015"]


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Published]:
    """Seattle in 2015 after 90 days without rain, and again with the week from 8 June 2015 as one total of seven days."""
    home = tiny_home(tmp_path_factory.mktemp("rain") / "home")
    with (home.registers / "gauges.csv").open("a", encoding="utf-8") as file:
        file.write("gauge-b,Gauge B,,39.1,-96.6,400,07:00\n")
    (home.registers / "semesters.csv").write_text("semester,start_date,end_date\n2015-spring,2015-01-01,2015-12-31\n", "utf-8")
    (home.registers / "sections.csv").write_text("semester,section,aliases\n", "utf-8")
    days = {day.date(): float(mm) for day, mm in _series().items()}
    before = {dt.date(2014, 12, 31) - dt.timedelta(days=n): 0.0 for n in range(90)}
    receive(home, "w-seattle", "weather", rain({**before, **days}))
    week = [dt.date(2015, 6, 8) + dt.timedelta(days=n) for n in range(7)]
    total = rain({week[-1]: sum(days[day] for day in week) + 3.5}, gauge="gauge-b", element="MDPR", days=7)
    receive(home, "w-week", "weather", rain({**days, **dict.fromkeys(week)}, gauge="gauge-b") + total)
    build(home)
    opened = open_published(home, "instructor")
    yield opened
    opened.close()


def test_total_and_wet_days_of_the_year(published: Published) -> None:
    found = published.query(
        "SELECT sum(prcp_mm) AS total, count(*) FILTER (prcp_mm >= 1) AS wet, count(*) FILTER (prcp_mm < 1) AS dry "
        "FROM rain_days WHERE gauge = 'gauge-a' AND year(date) = 2015"
    ).iloc[0]
    assert found["total"] == pytest.approx(1139.2, abs=0.05)
    assert (found["wet"], found["dry"]) == (116, 249)


def test_longest_dry_spell_wet_and_dry_days(published: Published) -> None:
    found = published.query("SELECT * FROM dry_spells WHERE gauge = 'gauge-a' AND semester = '2015-spring'").iloc[0]
    assert (found["n_days"], found["n_wet_days"], found["n_dry_days"], found["n_missing_days"]) == (365, 116, 249, 0)
    assert found["longest_days"] == 54
    days = _series()
    spell = days[str(found["spell_first_date"])[:10] : str(found["spell_last_date"])[:10]]  # type: ignore[misc]  # pandas slices by date
    assert (len(spell), spell.max() < 1.0) == (54, True)
    assert found["sentence"].startswith("In Spring 2015 the longest dry spell at Gauge A was 54 days with less than 1 mm each (")


def test_missing_days_end_a_dry_spell_and_are_told(published: Published) -> None:
    found = published.query("SELECT * FROM dry_spells WHERE gauge = 'gauge-b' AND semester = '2015-spring'").iloc[0]
    assert found["n_missing_days"] == 7
    assert found["longest_days"] < 54
    assert "was at least " in found["sentence"]
    assert found["sentence"].endswith("; 7 days of the semester are missing.")


def test_antecedent_index_and_month_at_the_end_of_january(published: Published) -> None:
    day = published.query("SELECT antecedent_index_mm FROM rain_days WHERE gauge = 'gauge-a' AND date = DATE '2015-01-31'")
    assert day["antecedent_index_mm"][0] == pytest.approx(18.95088, abs=1e-4)
    month = published.query("SELECT rain_mm FROM rain_months WHERE gauge = 'gauge-a' AND month_start = DATE '2015-01-01'")
    assert month["rain_mm"][0] == pytest.approx(93.0, abs=1e-9)


@pytest.mark.parametrize("days", [1, 3, 7, 14, 30, 60, 90])
def test_windows_are_the_rolling_sums_of_the_series(published: Published, days: int) -> None:
    year = published.query("SELECT * FROM rain_days WHERE gauge = 'gauge-a' AND year(date) = 2015 ORDER BY date")
    found = year[f"rain_{days}d_mm"]
    expected = _series().rolling(days).sum()  # its first windows would reach into 2014, which had no rain
    assert found.iloc[days - 1 :].to_numpy() == pytest.approx(expected.iloc[days - 1 :].to_numpy(), abs=1e-9)


def test_a_total_of_several_days_counts_only_as_a_whole(published: Published) -> None:
    found = published.query(
        "SELECT strftime(date, '%m-%d') AS day, prcp_mm, rain_7d_mm, rain_7d_missing_days, rain_14d_mm, rain_3d_mm, rain_3d_missing_days "
        "FROM rain_days WHERE gauge = 'gauge-b'"
    ).set_index("day")
    known = _series()
    week = float(known["2015-06-08":"2015-06-14"].sum()) + 3.5  # type: ignore[misc]  # pandas slices by date
    assert found["prcp_mm"]["06-08":"06-14"].isna().all()  # type: ignore[misc]
    assert found.loc["06-14", "rain_7d_mm"] == pytest.approx(week)
    assert found.loc["06-14", "rain_14d_mm"] == pytest.approx(week + float(known["2015-06-01":"2015-06-07"].sum()))  # type: ignore[misc]
    assert found.loc[["06-13", "06-15"], "rain_7d_mm"].isna().all()
    assert list(found.loc[["06-13", "06-15", "06-20", "06-21"], "rain_7d_missing_days"]) == [6, 6, 1, 0]
    assert list(found.loc[["06-14", "06-15", "06-16", "06-17"], "rain_3d_missing_days"]) == [3, 2, 1, 0]
    june = published.query("SELECT rain_mm, n_missing FROM rain_months WHERE gauge = 'gauge-b' AND month = 6").iloc[0]
    assert june["rain_mm"] == pytest.approx(float(known["2015-06"].sum()) + 3.5)
    assert june["n_missing"] == 0
