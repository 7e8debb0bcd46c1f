"""A soil-water balance by the day: reference evapotranspiration and the bucket of FAO-56.

Source: Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO Irrigation and drainage paper 56.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from demo_years.weather import Day

_MM_PER_MJ = 0.408  # equation 20: 1 MJ m-2 evaporates 0.408 mm


def saturation_pressure_kpa(temperature_c: float) -> float:
    """Saturation vapour pressure, kPa, at an air temperature, °C (FAO-56 equation 11)."""
    return 0.6108 * math.exp(17.27 * temperature_c / (temperature_c + 237.3))


def mean_saturation_pressure_kpa(highest_c: float, lowest_c: float) -> float:
    """Mean saturation vapour pressure of a day, kPa, from its extremes and not from its mean (equation 12)."""
    return (saturation_pressure_kpa(highest_c) + saturation_pressure_kpa(lowest_c)) / 2


def afternoon_vapour_deficit_kpa(highest_c: float, lowest_c: float) -> float:
    """Vapour pressure deficit at the day's highest temperature, kPa, with the lowest as dew point (equation 48)."""
    return saturation_pressure_kpa(highest_c) - saturation_pressure_kpa(lowest_c)


def extraterrestrial_radiation_mj(latitude_deg: float, day_of_year: int) -> float:
    """Extraterrestrial radiation, MJ m-2 d-1 (equations 21 to 25); south is negative."""
    latitude = math.radians(latitude_deg)
    distance = 1 + 0.033 * math.cos(2 * math.pi * day_of_year / 365)
    declination = 0.409 * math.sin(2 * math.pi * day_of_year / 365 - 1.39)
    sunset = math.acos(min(1.0, max(-1.0, -math.tan(latitude) * math.tan(declination))))
    path = sunset * math.sin(latitude) * math.sin(declination) + math.cos(latitude) * math.cos(declination) * math.sin(sunset)
    return 24 * 60 / math.pi * 0.0820 * distance * path


def hargreaves_et0_mm(highest_c: float, lowest_c: float, radiation_mj: float) -> float:
    """Reference evapotranspiration, mm/d, from temperatures alone (equation 52)."""
    return 0.0023 * ((highest_c + lowest_c) / 2 + 17.8) * math.sqrt(highest_c - lowest_c) * _MM_PER_MJ * radiation_mj


def depletion_fraction(tabled: float, etc_mm: float) -> float:
    """Share p of the available water that can be used without stress, adjusted for demand (note to table 22)."""
    return min(0.8, max(0.1, tabled + 0.04 * (5 - etc_mm)))


def stress_coefficient(depletion_mm: float, available_mm: float, fraction: float) -> float:
    """Ks, by which stress lowers evapotranspiration (equation 84): 1 within the readily available water."""
    if depletion_mm <= fraction * available_mm:
        return 1.0
    return max(0.0, (available_mm - depletion_mm) / ((1 - fraction) * available_mm))


def next_depletion_mm(depletion_mm: float, available_mm: float, etc_mm: float, gain_mm: float, fraction: float) -> float:
    """Depletion Dr at the end of a day, mm (equations 85, 86 and 88).

    Args:
        depletion_mm: Dr at the end of the day before; Ks is taken from it.
        available_mm: TAW.
        etc_mm: demand of the crop, Kc ET0.
        gain_mm: rain less runoff, and any run-on and capillary rise.
        fraction: p of the readily available water.
    """
    used = stress_coefficient(depletion_mm, available_mm, fraction) * etc_mm
    return min(available_mm, max(0.0, depletion_mm - gain_mm + used))


@dataclass(frozen=True)
class Profile:
    """The water store that one kind of plant can reach at one site, with what flows past it."""

    available_mm: float
    caught_share: float  # of the rain: below 1 where it runs off, above 1 where it runs on
    rise_mm: float = 0.0  # capillary rise on a day when the store is more than 40 % empty


# Share of reference evapotranspiration that a prairie uses, by calendar month: brown in winter, full in early summer.
CROP_COEFFICIENT = (0.20, 0.20, 0.30, 0.50, 0.75, 0.85, 0.85, 0.80, 0.65, 0.45, 0.25, 0.20)
_TABLED_FRACTION = 0.55


def remaining_share(days: Iterable[Day], profile: Profile, latitude_deg: float) -> dict[date, float]:
    """Share of the available water that is left at the start of each day, 0 to 1; the record starts with a full store."""
    left: dict[date, float] = {}
    depletion = 0.0
    for day in days:
        left[day.day] = 1 - depletion / profile.available_mm
        radiation = extraterrestrial_radiation_mj(latitude_deg, day.day.timetuple().tm_yday)
        demand = CROP_COEFFICIENT[day.day.month - 1] * hargreaves_et0_mm(day.highest_c, day.lowest_c, radiation)
        rise = profile.rise_mm if depletion > 0.4 * profile.available_mm else 0.0
        gain = day.rain_mm * profile.caught_share + rise
        depletion = next_depletion_mm(depletion, profile.available_mm, demand, gain, depletion_fraction(_TABLED_FRACTION, demand))
    return left
