"""Evapotranspiration and the soil bucket against FAO-56's worked examples, and against the libraries refet and pyet.

Source: Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO Irrigation and drainage paper 56; examples 8, 20 and 37.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from math import radians
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ingest.contract import contract
from warehouse.statistics.evapotranspiration import extraterrestrial_radiation_mj, hargreaves_et0_mm
from warehouse.statistics.reasons import reason_text
from warehouse.statistics.soil_bucket import (
    AGREE_WITHIN,
    AVAILABLE_WATER_MM_PER_M,
    CROP_COEFFICIENT,
    SoilWater,
    after_a_day,
    depletion_fraction,
    soil_water,
    total_available_water_mm,
)

# Example 37: TAW 160 mm, RAW 64 mm (p = 0.4), ETc 6.0 mm/d, Dr 55 mm at the start, ten days without rain.
EXAMPLE_37_DEPLETION = (61.0, 67.0, 72.8, 78.3, 83.4, 88.2, 92.6, 96.9, 100.8, 104.5)
EXAMPLE_37_STRESS = (1, 1, 0.97, 0.91, 0.85, 0.80, 0.75, 0.70, 0.66, 0.62)
JULY = 190  # day of the year on which the invented records start


def modelled(rain: Sequence[float | None], late: Sequence[float | None] | None = None, **changes: Any) -> SoilWater:
    """A site of 0.5 m loam at 38 degrees north, hot days with 20 to 34 °C unless changed."""
    n = len(rain)
    given: dict[str, Any] = {"tmax_c": [34.0] * n, "tmin_c": [20.0] * n, "soil_depth_m": 0.5, "soil_texture": "loam"} | changes
    days = [(JULY + number - 1) % 365 + 1 for number in range(n)]
    return soil_water(
        days, list(rain), list(rain if late is None else late), given["tmax_c"], given["tmin_c"], 38.0,
        given["soil_depth_m"], given["soil_texture"], given.get("available_water_mm_per_m"),
    )  # fmt: skip


@pytest.mark.parametrize(("latitude", "day", "radiation"), [(-20.0, 246, 32.2), (45.72, 196, 40.55)])
def test_radiation_is_that_of_examples_8_and_20(latitude: float, day: int, radiation: float) -> None:
    assert extraterrestrial_radiation_mj(latitude, day) == pytest.approx(radiation, abs=0.05)


def test_hargreaves_is_that_of_example_20() -> None:
    assert hargreaves_et0_mm(26.6, 14.8, extraterrestrial_radiation_mj(45.72, 196)) == pytest.approx(5.03, abs=0.01)


@pytest.mark.parametrize("latitude", [-65.0, -33.0, 0.0, 38.4, 60.0])
@pytest.mark.parametrize("day", [1, 60, 172, 246, 366])
def test_radiation_is_that_of_refet(latitude: float, day: int) -> None:
    """refet 0.5.0 with method="asce", which is FAO-56's equation; its solar constant is 4.92 MJ m-2 h-1 (0.0820 * 60)."""
    from refet import calcs

    found = float(calcs.ra_daily(radians(latitude), day, method="asce"))
    assert extraterrestrial_radiation_mj(latitude, day) == pytest.approx(found, abs=0.002)


def test_hargreaves_is_that_of_pyet_but_for_its_latent_heat() -> None:
    """pyet 1.4.0 divides by the latent heat of the day's temperature, 2.501 - 0.002361 T MJ/kg (FAO-56 annex 3), where FAO-56's
    equation 52 multiplies by 0.408. With that undone the two are alike; left as it is they differ by 0.031 mm at most here."""
    import pandas as pd
    import pyet

    days = pd.date_range("2024-01-01", "2024-12-31")
    mean = pd.Series([19.5 - 14 * abs(n - 190) / 190 for n in range(len(days))], index=days)
    high, low = mean + 7.5, mean - 7.5
    theirs = pyet.hargreaves(mean, high, low, lat=radians(38.4))
    radiation = [extraterrestrial_radiation_mj(38.4, day.day_of_year) for day in days]
    found = [hargreaves_et0_mm(*row) for row in zip(high, low, radiation, strict=True)]
    assert theirs.to_numpy() == pytest.approx(found, abs=0.031)
    assert (theirs * 0.408 * (2.501 - 0.002361 * mean)).to_numpy() == pytest.approx(found, abs=1e-6)


@pytest.mark.parametrize(
    ("high", "low", "et0"),
    [(None, 10.0, None), (20.0, None, None), (10.0, 20.0, None), (20.0, 20.0, 0.0), (-30.0, -40.0, 0.0), (float("inf"), 1.0, None)],
)
def test_evapotranspiration_of_odd_days(high: float | None, low: float | None, et0: float | None) -> None:
    assert hargreaves_et0_mm(high, low, 40.0) == et0


def test_polar_night_and_day_have_a_radiation() -> None:
    assert extraterrestrial_radiation_mj(80.0, 355) == 0
    assert extraterrestrial_radiation_mj(80.0, 172) > 40


def test_bucket_dries_as_in_example_37() -> None:
    depletion = 55.0
    for expected, stress in zip(EXAMPLE_37_DEPLETION, EXAMPLE_37_STRESS, strict=True):
        depletion, ks, drainage = after_a_day(depletion, 160.0, 6.0, 0.0, 0.4)
        assert depletion == pytest.approx(expected, abs=0.1)
        assert drainage == 0.0
        assert ks == pytest.approx(stress, abs=0.006)


def test_rain_that_the_soil_cannot_hold_drains() -> None:
    # Equation 88: 55 mm short, 6 used, 80 of rain: the store is full and 19 mm drain.
    assert after_a_day(55.0, 160.0, 6.0, 80.0, 0.4) == pytest.approx((0.0, 1.0, 19.0))


@pytest.mark.parametrize(("etc_mm", "fraction"), [(5.0, 0.6), (2.5, 0.7), (10.0, 0.4), (30.0, 0.1), (0.0, 0.8)])
def test_depletion_fraction_follows_demand_and_stays_within_limits(etc_mm: float, fraction: float) -> None:
    assert depletion_fraction(etc_mm) == pytest.approx(fraction)


@pytest.mark.parametrize(
    ("depth", "texture", "measured", "available"),
    [
        *((0.25, "sandy_loam", None, 32.5), (1.5, "loam", 150.0, 225.0), (1.5, None, 150.0, 225.0)),
        *((None, "loam", None, None), (0.3, None, None, None), (0.0, "loam", None, None), (None, None, 150.0, None)),
    ],
)
def test_available_water_is_depth_times_what_a_metre_holds(
    depth: float | None, texture: str | None, measured: float | None, available: float | None
) -> None:
    assert total_available_water_mm(depth, texture, measured) == available


def test_every_texture_of_the_register_has_its_water() -> None:
    assert set(AVAILABLE_WATER_MM_PER_M) == set(contract()["sites"].columns["soil_texture"].allowed)


def test_soil_is_unknown_until_a_flood_and_then_follows_the_bucket_by_hand() -> None:
    rain: list[float | None] = [0.0, 10.0, 500.0, 0.0, 0.0, 20.0]
    found = modelled(rain)
    assert found.reason_code == ["soil_start_unknown"] * 2 + [None] * 4
    assert found.depletion_mm[:3] == [None, None, 0.0]
    et0 = hargreaves_et0_mm(34.0, 20.0, extraterrestrial_radiation_mj(38.0, JULY + 3))
    assert et0 is not None
    assert found.depletion_mm[3] == pytest.approx(CROP_COEFFICIENT * et0, abs=1e-3)
    assert found.relative_extractable_water[3] == pytest.approx(1 - CROP_COEFFICIENT * et0 / 77.5, abs=1e-4)
    assert found.drainage_mm[5] == pytest.approx(20.0 - sum(CROP_COEFFICIENT * e for e in found.et0_mm[3:6] if e), abs=0.01)
    assert found.ks[3:] == [1.0, 1.0, 1.0]


def test_a_missing_day_of_rain_leaves_the_soil_unknown_until_the_next_flood() -> None:
    rain = [500.0, 0.0, 0.0, None, 0.0, 0.0, 0.0, 500.0, 0.0]
    whole, found = modelled([mm or 0.0 for mm in rain]), modelled(rain)
    assert found.reason_code == [None] * 3 + ["rain_missing"] * 4 + [None] * 2
    assert found.depletion_mm[-2:] == whole.depletion_mm[-2:]


def test_rain_missing_while_the_soil_is_full_is_no_matter() -> None:
    winter: dict[str, Any] = {"tmax_c": [2.0] * 4, "tmin_c": [1.0] * 4}
    assert modelled([500.0, 500.0, None, 0.0], **winter).reason_code == [None] * 4


def test_a_day_without_temperatures_says_so_and_widens_by_what_its_neighbours_used() -> None:
    rain = [500.0] + [0.0] * 6
    missing = modelled(rain, tmax_c=[34.0, 34.0, None, 34.0, 34.0, 34.0, 34.0])
    assert (missing.et0_mm[2], missing.reason_code[2]) == (None, "temperature_missing")
    assert missing.relative_extractable_water[3] == pytest.approx(modelled(rain).relative_extractable_water[3], abs=AGREE_WITHIN)
    alone = modelled(rain, tmax_c=[None] * 7)
    assert alone.relative_extractable_water[1:] == [None] * 6
    assert set(alone.reason_code) == {"temperature_missing"}


def test_a_total_of_several_days_is_unknown_within_and_certain_where_both_orders_agree() -> None:
    early, late = [500.0, 0.0, 40.0, 0.0, 0.0, 500.0], [500.0, 0.0, 0.0, 0.0, 40.0, 500.0]
    found = modelled(early, late)
    assert found.reason_code == [None, None, *["rain_of_several_days"] * 3, None]
    dry = [500.0, *[0.0] * 20]
    deep = modelled([*dry, 15.0, 0.0, 0.0], [*dry, 0.0, 0.0, 15.0], soil_depth_m=1.5)
    assert deep.reason_code[-3:] == ["rain_of_several_days", "rain_of_several_days", None]  # it all stayed, whenever it fell
    alike = modelled([*dry, 5.0, 5.0, 5.0], soil_depth_m=1.5)
    assert deep.relative_extractable_water[-1] == pytest.approx(alike.relative_extractable_water[-1], abs=0.01)


def test_within_a_total_a_dry_soil_is_not_taken_for_known() -> None:
    dry = [500.0, *[0.0] * 30]
    found = modelled([*dry, 2.0, 0.0, 0.0, 0.0], [*dry, 0.0, 0.0, 0.0, 2.0], soil_depth_m=0.03)
    assert found.reason_code[-5:-1] == [None, *["rain_of_several_days"] * 3]


def test_a_soil_so_thin_that_a_day_empties_it_is_not_known_where_only_its_ends_agree() -> None:
    assert modelled([5.0], soil_depth_m=0.03).reason_code == ["soil_start_unknown"]


@pytest.mark.parametrize("changes", [{"soil_depth_m": None}, {"soil_texture": None}, {"soil_depth_m": 0.0}])
def test_a_site_whose_soil_is_not_described_has_no_model_and_a_reason(changes: dict[str, Any]) -> None:
    found = modelled([500.0, 0.0], **changes)
    assert (found.total_available_water_mm, found.depletion_mm, found.ks) == (None, [None, None], [None, None])
    assert found.reason_code == ["soil_not_described"] * 2
    assert all(found.et0_mm)
    assert "register of sites" in str(reason_text("soil_not_described"))


def test_no_day_and_leap_day() -> None:
    assert soil_water([], [], [], [], [], 38.0, 0.5, "loam", None).depletion_mm == []
    assert extraterrestrial_radiation_mj(38.0, 366) == pytest.approx(extraterrestrial_radiation_mj(38.0, 1), abs=0.05)
    assert date(2024, 12, 31).timetuple().tm_yday == 366


AMOUNTS = st.sampled_from([0.0, 0.0, 0.0, 2.0, 15.0, 60.0, 300.0])


@settings(max_examples=200)
@given(st.data(), st.lists(AMOUNTS, min_size=5, max_size=60), st.floats(0.02, 1.5))
def test_what_is_given_despite_gaps_is_what_the_whole_record_gives(data: st.DataObject, truth: list[float], depth: float) -> None:
    """Whatever fell on the missing days and however a total fell on its days, a value that is given is near the true one."""
    n = len(truth)
    lost = data.draw(st.sets(st.integers(1, n - 1), max_size=3))
    first = data.draw(st.integers(1, n - 1))
    span = range(first, min(n, first + data.draw(st.integers(2, 5))))
    cold = data.draw(st.sets(st.integers(1, n - 1), max_size=2))
    total = sum(truth[place] for place in span)
    early, late = list[float | None](truth), list[float | None](truth)
    for place in span:
        early[place], late[place] = (total if place == span[0] else 0.0), (total if place == span[-1] else 0.0)
    for place in lost - set(span):
        early[place] = late[place] = None
    highs: list[float | None] = [None if place in cold else 34.0 for place in range(n)]
    start, truth[0] = 500.0, 500.0
    early[0] = late[0] = start
    whole = modelled(truth, soil_depth_m=depth)
    found = modelled(early, late, soil_depth_m=depth, tmax_c=highs)
    for true, given_value in zip(whole.relative_extractable_water, found.relative_extractable_water, strict=True):
        if given_value is not None:
            assert given_value == pytest.approx(true, abs=AGREE_WITHIN)
            assert 0 <= given_value <= 1
