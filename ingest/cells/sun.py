"""Sampling windows from the clock time and the sun at the site."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from ingest.cells.words import meaning_of

if TYPE_CHECKING:
    from astral import Observer

WIDEST_ZONE_HOURS = 4.0


@dataclass(frozen=True)
class SunTimes:
    """Local sunrise, solar noon and sunset of a day at a place."""

    sunrise: time
    noon: time
    sunset: time


def window_named(text: str) -> str | None:
    """The sampling window that a word names, or None."""
    return meaning_of("sampling_window", text)


@lru_cache(maxsize=8192)
def sun_times(day: date, latitude_deg: float, longitude_deg: float, timezone: str) -> SunTimes | None:
    """Sunrise, solar noon and sunset (upper limb on the horizon, refraction included), or None where the sun does not rise or set.

    Computed by the library astral, after the equations of J. Meeus, Astronomical Algorithms.
    """
    from astral import Observer
    from astral.sun import noon, sunrise, sunset

    place, zone = Observer(latitude=latitude_deg, longitude=longitude_deg), ZoneInfo(timezone)
    moments = [_moment(event, place, day, zone) for event in (sunrise, noon, sunset)]
    return None if None in moments else SunTimes(*(moment for moment in moments if moment is not None))


def _moment(event: Callable[..., datetime], place: Observer, day: date, zone: ZoneInfo) -> time | None:
    """The clock time of an event on a local day.

    The library looks for events by UTC date and gives up where one falls on the stroke of midnight UTC (about sunset in
    the American prairies in September); the days beside it then tell, between which the event lies.
    """
    beside: list[int] = []
    for offset in (0, -1, 1):
        try:
            moment = event(place, date=day + timedelta(days=offset), tzinfo=zone)
        except ValueError:
            continue
        if moment.date() == day:
            return moment.time().replace(microsecond=0)
        beside.append(moment.hour * 3600 + moment.minute * 60 + moment.second)
    if not beside:
        return None
    seconds = sum(beside) // len(beside)
    return time(seconds // 3600, seconds // 60 % 60, seconds % 60)


def window_of(clock: time, sun: SunTimes, midday_hours: float) -> str:
    """The window in which a clock time lies: before sunrise predawn, within `midday_hours` of solar noon midday."""
    if clock < sun.sunrise:
        return "predawn"
    anchor = datetime.combine(date(2000, 1, 1), sun.noon)
    moment = datetime.combine(date(2000, 1, 1), clock)
    if abs(moment - anchor) <= timedelta(hours=midday_hours):
        return "midday"
    return "morning" if moment < anchor else "afternoon"


def zone_fits(longitude_deg: float, timezone: str) -> bool:
    """Whether a time zone can be that of a place: its clock is within four hours of the sun's in winter or summer.

    The widest zones on Earth are about three hours off at their edges.
    """
    by_sun = longitude_deg / 15
    offsets = [datetime(2024, month, 1, tzinfo=ZoneInfo(timezone)).utcoffset() or timedelta() for month in (1, 7)]
    apart = [abs(offset.total_seconds() / 3600 - by_sun) for offset in offsets]
    return min(min(hours, 24 - hours) for hours in apart) <= WIDEST_ZONE_HOURS
