"""The soil-water formulas against the worked examples of FAO-56.

Source: Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO Irrigation and drainage paper 56.
"""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from demo_years import soil
from demo_years.weather import Day

# Example 37: TAW 160 mm, RAW 64 mm (p = 0.4), ETc 6.0 mm/d, Dr 55 mm at the start, ten days without rain.
EXAMPLE_37_DEPLETION = (61.0, 67.0, 72.8, 78.3, 83.4, 88.2, 92.6, 96.9, 100.8, 104.5)
EXAMPLE_37_STRESS = (1, 1, 0.97, 0.91, 0.85, 0.80, 0.75, 0.70, 0.66, 0.62)


def test_saturation_pressure_is_that_of_example_3() -> None:
    assert soil.saturation_pressure_kpa(24.5) == pytest.approx(3.075, abs=0.005)
    assert soil.saturation_pressure_kpa(15.0) == pytest.approx(1.705, abs=0.005)
    assert soil.mean_saturation_pressure_kpa(24.5, 15.0) == pytest.approx(2.39, abs=0.005)


def test_afternoon_deficit_takes_the_lowest_temperature_as_dew_point() -> None:
    # e0(24.5) - e0(15), from the two values of example 3.
    assert soil.afternoon_vapour_deficit_kpa(24.5, 15.0) == pytest.approx(3.075 - 1.705, abs=0.005)


def test_extraterrestrial_radiation_is_that_of_examples_8_and_20() -> None:
    assert soil.extraterrestrial_radiation_mj(-20, 246) == pytest.approx(32.2, abs=0.05)  # 3 September, 20 degrees south
    assert soil.extraterrestrial_radiation_mj(45.72, 196) == pytest.approx(40.55, abs=0.05)  # Lyon, July


def test_polar_night_and_polar_day_have_a_sunset_angle() -> None:
    assert soil.extraterrestrial_radiation_mj(80, 355) == pytest.approx(0.0, abs=0.05)
    assert soil.extraterrestrial_radiation_mj(80, 172) > 40


def test_hargreaves_is_that_of_example_20() -> None:
    assert soil.hargreaves_et0_mm(26.6, 14.8, soil.extraterrestrial_radiation_mj(45.72, 196)) == pytest.approx(5.03, abs=0.05)


@pytest.mark.parametrize(("etc_mm", "fraction"), [(5.0, 0.55), (2.5, 0.65), (10.0, 0.35), (30.0, 0.1), (0.0, 0.75)])
def test_depletion_fraction_follows_demand_and_stays_within_limits(etc_mm: float, fraction: float) -> None:
    assert soil.depletion_fraction(0.55, etc_mm) == pytest.approx(fraction)


def test_bucket_dries_as_in_example_37() -> None:
    depletion = 55.0
    for expected, stress in zip(EXAMPLE_37_DEPLETION, EXAMPLE_37_STRESS, strict=True):
        assert soil.stress_coefficient(depletion, 160, 0.4) == pytest.approx(stress, abs=0.006)
        depletion = soil.next_depletion_mm(depletion, 160, 6.0, 0.0, 0.4)
        assert depletion == pytest.approx(expected, abs=0.1)


def test_rain_beyond_the_depletion_drains() -> None:
    # Equation 88: 55 mm short, 6 used, 80 of rain: the store is full and 19 mm drain.
    assert soil.next_depletion_mm(55, 160, 6.0, 80.0, 0.4) == 0


@given(st.floats(0, 1), st.floats(1, 400), st.floats(0, 20), st.floats(0, 300), st.floats(0.1, 0.8))
def test_depletion_stays_within_the_store(share: float, available_mm: float, etc_mm: float, gain_mm: float, fraction: float) -> None:
    after = soil.next_depletion_mm(share * available_mm, available_mm, etc_mm, gain_mm, fraction)
    assert 0 <= after <= available_mm


def test_store_starts_full_falls_without_rain_and_is_filled_by_a_flood() -> None:
    first = date(2024, 7, 1)
    dry = [Day(first + timedelta(days=number), 0, False, 95, 70) for number in range(30)]
    flood = [Day(first + timedelta(days=30), 2000, False, 80, 70), Day(first + timedelta(days=31), 0, False, 80, 70)]
    left = list(soil.remaining_share([*dry, *flood], soil.Profile(available_mm=40, caught_share=1.0), 38.4).values())
    assert left[0] == 1
    assert all(later < earlier for earlier, later in pairwise(left[:31]))
    assert left[30] < 0.05
    assert left[31] == 1
