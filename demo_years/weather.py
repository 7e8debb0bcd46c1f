"""Invented daily weather of the fictional gauge: rain as a two-state chain, temperature around a yearly course."""

from __future__ import annotations

import calendar
import math
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

FIRST_DAY = date(1991, 1, 1)
LAST_DAY = date(2025, 12, 31)

# By calendar month, of a sub-humid continental grassland: share of wet days, mean rain of a wet day (mm),
# mean highest and lowest temperature (°F). Invented, near 790 mm a year.
WET_SHARE = (0.13, 0.16, 0.22, 0.28, 0.34, 0.31, 0.27, 0.27, 0.24, 0.21, 0.16, 0.14)
WET_DAY_MM = (4.0, 5.0, 7.0, 9.0, 11.0, 12.0, 12.0, 12.0, 11.0, 10.0, 7.0, 5.0)
HIGHEST_F = (42.0, 47.0, 58.0, 68.0, 77.0, 87.0, 92.0, 91.0, 83.0, 71.0, 56.0, 44.0)
LOWEST_F = (20.0, 24.0, 34.0, 44.0, 55.0, 65.0, 70.0, 68.0, 58.0, 45.0, 32.0, 22.0)
TEMPERATURE_SD_F = (10.0, 10.0, 9.0, 8.0, 6.5, 5.0, 4.5, 4.5, 6.5, 8.0, 9.0, 10.0)

# The years that the demo is about: (first month, last month, rain as a multiple of the month's usual rain).
TOLD_YEARS = {
    2012: (4, 9, 0.45),
    2018: (5, 9, 0.28),
    2019: (4, 10, 1.75),
    2022: (7, 10, 0.45),
}
_PERSISTENCE = 0.16  # a wet day makes the next one likelier by this much
_TRACE_SHARE = 0.06
_MM_PER_HUNDREDTH_INCH = 0.254


@dataclass(frozen=True)
class Day:
    """One day as it was, before the record lost any of it: rain in hundredths of an inch, temperatures in whole °F."""

    day: date
    rain_hundredths_inch: int
    is_trace: bool
    highest_f: int
    lowest_f: int

    @property
    def rain_mm(self) -> float:
        """Rain of the day, mm."""
        return self.rain_hundredths_inch * _MM_PER_HUNDREDTH_INCH

    @property
    def highest_c(self) -> float:
        """Highest temperature, °C."""
        return (self.highest_f - 32) / 1.8

    @property
    def lowest_c(self) -> float:
        """Lowest temperature, °C."""
        return (self.lowest_f - 32) / 1.8


def _between_months(values: tuple[float, ...], day: date) -> float:
    """The monthly value drawn linearly from mid-month to mid-month."""
    days = calendar.monthrange(day.year, day.month)[1]
    offset = (day.day - 0.5) / days - 0.5
    here = values[day.month - 1]
    other = values[(day.month - 1 + (1 if offset > 0 else -1)) % 12]
    return here + abs(offset) * (other - here)


def _rain_factors(rng: Random) -> dict[tuple[int, int], float]:
    """Rain of each month as a multiple of its usual rain: a chance for the season, or what the told years say."""
    factors: dict[tuple[int, int], float] = {}
    for year in range(FIRST_DAY.year, LAST_DAY.year + 1):
        seasons = [math.exp(rng.gauss(-0.03, 0.28)) for _ in range(4)]
        first, last, told = TOLD_YEARS.get(year, (13, 13, 1.0))
        for month in range(1, 13):
            factors[year, month] = told if first <= month <= last else seasons[(month - 1) // 3]
    return factors


def simulate(rng: Random) -> list[Day]:
    """Every day from `FIRST_DAY` to `LAST_DAY`, in order."""
    factors = _rain_factors(rng)
    days: list[Day] = []
    wet, warmth = False, 0.0
    day = FIRST_DAY
    while day <= LAST_DAY:
        factor = factors[day.year, day.month]
        share = min(0.65, WET_SHARE[day.month - 1] * math.sqrt(factor))
        chance = share + _PERSISTENCE * (1 - share) if wet else share * (1 - _PERSISTENCE)
        wet = rng.random() < chance
        rain_mm = rng.gammavariate(0.75, WET_DAY_MM[day.month - 1] * math.sqrt(factor) / 0.75) if wet else 0.0
        hundredths = round(rain_mm / _MM_PER_HUNDREDTH_INCH)
        trace = hundredths == 0 and (wet or rng.random() < _TRACE_SHARE)
        warmth = 0.7 * warmth + math.sqrt(1 - 0.7**2) * rng.gauss(0.0, 1.0)
        spread = warmth * TEMPERATURE_SD_F[day.month - 1]
        highest = _between_months(HIGHEST_F, day) + spread + rng.gauss(0.0, 2.5) - (6.0 if wet else -1.5) + 5.0 * max(0.0, 0.7 - factor)
        lowest = _between_months(LOWEST_F, day) + 0.8 * spread + rng.gauss(0.0, 2.5) + (1.0 if wet else -0.5)
        days.append(Day(day, hundredths, trace, round(max(highest, lowest + 4.0)), round(lowest)))
        day += timedelta(days=1)
    return days
