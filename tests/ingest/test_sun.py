"""The sun at a site and the windows that it sets: against almanac days, and by what must hold on every day at every place."""

from __future__ import annotations

from datetime import date, time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ingest.cells.sun import SunTimes, sun_times, window_named, window_of, zone_fits


def minutes(clock: time) -> float:
    return clock.hour * 60 + clock.minute + clock.second / 60


# Place, day, sunrise, solar noon, sunset in local time, tolerance in minutes. From memory of published almanacs, rounded to minutes:
# Greenwich at the equinox and at both solstices of 2024 (BST is one hour ahead of UTC in June).
ALMANAC = [
    ("Greenwich in June", 51.48, 0.0, "Europe/London", date(2024, 6, 20), "04:43", "13:02", "21:21"),
    ("Greenwich in December", 51.48, 0.0, "Europe/London", date(2024, 12, 21), "08:04", "11:58", "15:53"),
    ("Greenwich at the equinox", 51.48, 0.0, "Europe/London", date(2024, 3, 20), "06:03", "12:07", "18:14"),
]


@pytest.mark.parametrize(("name", "latitude", "longitude", "zone", "day", "sunrise", "noon", "sunset"), ALMANAC)
def test_sun_times_of_the_almanac(
    name: str, latitude: float, longitude: float, zone: str, day: date, sunrise: str, noon: str, sunset: str
) -> None:
    sun = sun_times(day, latitude, longitude, zone)
    assert sun is not None
    for found, expected in ((sun.sunrise, sunrise), (sun.noon, noon), (sun.sunset, sunset)):
        assert abs(minutes(found) - minutes(time.fromisoformat(expected))) <= 3, name


@settings(max_examples=40)
@given(st.dates(date(2000, 1, 1), date(2040, 12, 31)), st.floats(-60, 60), st.floats(-172, 172))
def test_noon_lies_midway_between_sunrise_and_sunset(day: date, latitude: float, longitude: float) -> None:
    hours = round(longitude / 15)
    zone = f"Etc/GMT{-hours:+d}" if hours else "Etc/GMT"  # the zone of the meridian: the sun's day lies within the clock's
    sun = sun_times(day, latitude, longitude, zone)
    assert sun is not None
    assert sun.sunrise < sun.noon < sun.sunset
    # The declination moves by at most 0.4 degrees a day: sunrise and sunset are symmetric to within three minutes up to 60 degrees.
    assert abs((minutes(sun.sunrise) + minutes(sun.sunset)) / 2 - minutes(sun.noon)) < 3
    # Equation of time within 16.5 minutes, and half a zone of longitude: 30 minutes.
    assert abs(minutes(sun.noon) - 720) < 47


def test_an_event_on_the_stroke_of_midnight_utc_is_found() -> None:
    # A day found by the property above: sunrise at 48 E, 59 S falls on 00:00 UTC on 20 November 2000.
    sun = sun_times(date(2000, 11, 20), -59.0, 48.0, "Etc/GMT-3")
    before = sun_times(date(2000, 11, 18), -59.0, 48.0, "Etc/GMT-3")
    assert sun is not None
    assert before is not None
    assert abs(minutes(sun.sunrise) - minutes(before.sunrise)) < 6


def test_days_are_longer_than_half_the_clock_at_the_equinox_for_refraction_and_the_sun_s_size() -> None:
    sun = sun_times(date(2024, 3, 20), 0.0, 0.0, "Etc/GMT")
    assert sun is not None
    # 34' of refraction and 16' of the sun's radius at both ends are 200' or 6.7 minutes of the sun's 15 degrees an hour.
    assert minutes(sun.sunset) - minutes(sun.sunrise) == pytest.approx(720 + 6.7, abs=1.0)


def test_there_are_no_sun_times_where_the_sun_does_not_set() -> None:
    assert sun_times(date(2024, 6, 20), 75.0, 20.0, "Etc/GMT") is None


SUN = SunTimes(time(7, 10), time(13, 20), time(19, 30))
WINDOWS = [
    ("05:30", "predawn"), ("07:09", "predawn"), ("07:10", "morning"), ("11:19", "morning"), ("11:20", "midday"), ("13:20", "midday"),
    ("15:20", "midday"), ("15:21", "afternoon"), ("19:00", "afternoon"),
]  # fmt: skip


@pytest.mark.parametrize(("clock", "window"), WINDOWS)
def test_the_window_follows_from_clock_and_sun(clock: str, window: str) -> None:
    assert window_of(time.fromisoformat(clock), SUN, midday_hours=2.0) == window


@pytest.mark.parametrize(
    ("word", "window"),
    [("Pre-dawn", "predawn"), ("PD", "predawn"), ("Mid-day", "midday"), ("noon", "midday"), ("am", "morning"), ("tea", None)],
)
def test_a_window_s_word(word: str, window: str | None) -> None:
    assert window_named(word) == window


@pytest.mark.parametrize(
    ("longitude_deg", "timezone", "fits"),
    [(-98.6, "America/Chicago", True), (-98.6, "UTC", False), (98.6, "America/Chicago", False), (76.0, "Asia/Shanghai", True),
     (-8.6, "Europe/Madrid", True), (0.0, "UTC", True), (179.0, "Pacific/Auckland", True), (-171.8, "Pacific/Apia", True)],
)  # fmt: skip
def test_a_time_zone_far_from_the_sun_of_a_site_does_not_fit(longitude_deg: float, timezone: str, fits: bool) -> None:
    assert zone_fits(longitude_deg, timezone) is fits
