"""The soil's water through the models: one call per site is what the function gives, readings get the day before, seasons a sentence."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import Any

import pandas as pd
import pytest

from tests.warehouse.tiny_home import rain, reading, receive, tiny_home
from warehouse.build import build
from warehouse.published import Published, open_published
from warehouse.statistics.soil_bucket import soil_water

FIRST, LAST = dt.date(2023, 5, 1), dt.date(2024, 10, 15)
DAYS = [FIRST + dt.timedelta(days=n) for n in range((LAST - FIRST).days + 1)]
MISSING = dt.date(2024, 3, 3)
TOTAL = (dt.date(2024, 6, 10), 4, 33.0)  # its last day, its days, mm
NO_TEMPERATURE = dt.date(2024, 9, 20)
SITES = """site,site_name,topographic_position,aliases,latitude_deg,longitude_deg,elevation_m,soil_depth_m,soil_texture,\
available_water_mm_per_m,gauge
ridge,Ridge,upland,,39.1,-96.6,440,0.3,sandy_loam,,gauge-a
bottom,Bottom,lowland,,39.1,-96.6,340,1.5,loam,150,gauge-a
bare,Bare,slope,,39.1,-96.6,400,,,,gauge-a
late,Late,slope,,39.1,-96.6,400,0.5,clay,,gauge-late
mute,Mute,slope,,39.1,-96.6,400,0.5,clay,,gauge-mute
noon,Noon,slope,,39.1,-96.6,400,0.5,clay,,gauge-noon
"""


def amount(day: dt.date) -> float:
    """Invented rain, mm: a flood in April, else a shower every sixth day."""
    return 400.0 if (day.month, day.day) == (4, 20) else 9.0 if day.toordinal() % 6 == 0 else 0.0


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Published]:
    home = tiny_home(tmp_path_factory.mktemp("soil") / "home")
    (home.registers / "sites.csv").write_text(SITES, "utf-8")
    with (home.registers / "gauges.csv").open("a", encoding="utf-8") as file:
        file.write("gauge-late,Late,,39.1,-96.6,400,17:00\ngauge-mute,Mute,,39.1,-96.6,400,\ngauge-noon,Noon,,39.1,-96.6,400,12:00\n")
    covered = {TOTAL[0] - dt.timedelta(days=n) for n in range(TOTAL[1])}
    amounts: dict[dt.date, float | None] = {day: None if day in covered or day == MISSING else amount(day) for day in DAYS}
    rows = rain(amounts) + rain({TOTAL[0]: TOTAL[2]}, element="MDPR", days=TOTAL[1])
    warm = [day for day in DAYS if day != NO_TEMPERATURE]
    for element, celsius in (("TMAX", 31.0), ("TMIN", 18.0)):
        rows += [
            {**row, "amount_mm": None, "temperature_c": celsius, "element": element} for row in rain(dict.fromkeys(warm, 0.0))
        ]  # fmt: skip
    receive(home, "w-all", "weather", rows)
    for name in ("late", "mute", "noon"):
        receive(home, f"w-{name}", "weather", rain({day: amount(day) for day in DAYS}, gauge=f"gauge-{name}"))
    day = dt.date(2024, 9, 10)
    read: list[dict[str, Any]] = []
    for site in ("ridge", "bottom", "bare", "late", "mute", "noon"):
        for window, clock in (("predawn", "05:40"), ("morning", "09:30"), ("midday", "13:05"), ("afternoon", "16:30")):
            read.append(reading(-1.0, site=site, sampling_window=window, time_read=clock, date=day, plant=window))
    read.append(reading(-1.0, site="ridge", sampling_window=None, time_read=None, date=day, plant="9"))
    receive(home, "u-read", "readings", read)
    build(home)
    opened = open_published(home, "student")
    yield opened
    opened.close()


def days_of(published: Published, site: str) -> pd.DataFrame:
    return published.query("SELECT * FROM soil_days WHERE site = ? ORDER BY date", [site])


@pytest.mark.parametrize(("site", "soil"), [("ridge", (0.3, "sandy_loam", None)), ("bottom", (1.5, "loam", 150.0))])
def test_days_are_those_of_the_function(published: Published, site: str, soil: tuple[float, str, float | None]) -> None:
    found = days_of(published, site)
    span = [TOTAL[0] - dt.timedelta(days=n) for n in range(TOTAL[1])]
    early: list[float | None] = [0.0 if day in span else amount(day) for day in DAYS]
    late = list(early)
    early[DAYS.index(span[-1])], late[DAYS.index(span[0])] = TOTAL[2], TOTAL[2]
    early[DAYS.index(MISSING)] = late[DAYS.index(MISSING)] = None
    high: list[float | None] = [None if day == NO_TEMPERATURE else 31.0 for day in DAYS]
    low: list[float | None] = [None if day == NO_TEMPERATURE else 18.0 for day in DAYS]
    wanted = soil_water([day.timetuple().tm_yday for day in DAYS], early, late, high, low, 39.1, *soil)
    for column in ("et0_mm", "depletion_mm", "relative_extractable_water", "drainage_mm", "ks", "reason_code"):
        values = [None if pd.isna(value) else value for value in found[column]]
        assert values == getattr(wanted, column), column
    assert set(found["total_available_water_mm"]) == {wanted.total_available_water_mm}
    codes = set(found["reason_code"].dropna())
    assert codes >= {"soil_start_unknown", "rain_missing", "temperature_missing"}
    assert (found["reason_code"].notna() == found["reason"].notna()).all()


def test_a_site_without_soil_has_the_evaporation_and_a_reason(published: Published) -> None:
    found = days_of(published, "bare")
    assert set(found["reason_code"]) == {"soil_not_described"}
    assert found["et0_mm"].notna().sum() == len(DAYS) - 1
    assert found[["depletion_mm", "relative_extractable_water", "ks", "total_available_water_mm"]].isna().all(axis=None)


@pytest.mark.parametrize(
    ("site", "window", "own_day", "last"),
    [
        *(("ridge", "predawn", "out", 9), ("ridge", "morning", "out", 9), ("ridge", "midday", "in", 10), ("ridge", "afternoon", "in", 10)),
        *(("late", "midday", "out", 9), ("late", "afternoon", "out", 9), ("mute", "midday", "not_known", 9), ("mute", "predawn", "out", 9)),
        ("noon", "midday", "out", 9),  # only a day that ends in the morning has ended before every midday reading
    ],
)
def test_a_reading_gets_the_last_day_that_had_surely_ended(published: Published, site: str, window: str, own_day: str, last: int) -> None:
    query = "SELECT * FROM observations WHERE site = ? AND sampling_window = ?"
    row = published.query(query, [site, window]).iloc[0]
    assert (row["rain_own_day"], row["rain_window_end"].date()) == (own_day, dt.date(2024, 9, last))
    assert row["rain_1d_mm"] == amount(dt.date(2024, 9, last))
    soil = days_of(published, site).set_index("date")["relative_extractable_water"]
    known = soil[pd.Timestamp(2024, 9, last)]
    assert row["modelled_relative_water"] == known or (pd.isna(row["modelled_relative_water"]) and pd.isna(known))


def test_without_a_window_nothing_is_assumed(published: Published) -> None:
    row = published.query("SELECT rain_own_day, rain_window_end FROM observations WHERE sampling_window IS NULL").iloc[0]
    assert (row["rain_own_day"], row["rain_window_end"].date()) == ("not_known", dt.date(2024, 9, 9))


def test_days_below_30_percent_are_counted_in_every_season(published: Published) -> None:
    counted = published.query(
        "SELECT any_value(s.n_days_below_30_percent) AS told, count(*) FILTER (d.relative_extractable_water < 0.3) AS low, "
        "count(*) FILTER (d.relative_extractable_water < 0.5) AS half FROM soil_seasons s JOIN semesters t USING (semester) "
        "JOIN soil_days d ON s.site = d.site AND d.date BETWEEN t.start_date AND t.end_date GROUP BY s.site, s.semester"
    )
    assert (counted["told"] == counted["low"]).all()
    assert (counted["half"] > counted["low"]).any()


def test_seasons_say_what_the_model_says(published: Published) -> None:
    seasons = published.query("SELECT * FROM soil_seasons WHERE semester = '2024-fall'").set_index("site")
    days = days_of(published, "ridge").set_index("date")["relative_extractable_water"]["2024-08-20":]  # type: ignore[misc]
    ridge = seasons.loc["ridge"]
    assert (ridge["n_days"], ridge["n_known_days"]) == (len(days), days.notna().sum())
    assert ridge["n_days_below_30_percent"] == (days < 0.3).sum()
    assert ridge["lowest_relative_water"] == days.min()
    assert days[ridge["lowest_date"]] == days.min()
    assert (ridge["n_field_days"], ridge["relative_water_at_field"]) == (1, days["2024-09-10"])
    assert ridge["lowest_relative_water"] < seasons.loc["bottom", "lowest_relative_water"]  # thin soil dries first
    assert ridge["sentence"].startswith("By a model, not a measurement, the soil of Ridge holds 39 mm for plants; in Fall 2024 ")
    assert seasons.loc["bare", "sentence"].startswith("No modelled soil water for Bare in Fall 2024: the register of sites states no")
    assert seasons.loc["late", "reason_code"] == "temperature_missing"
    assert seasons["sentence"].notna().all()
