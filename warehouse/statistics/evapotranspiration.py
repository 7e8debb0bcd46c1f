"""Reference evapotranspiration from daily temperatures alone, mm: what a well-watered short grass would use on that day.

Source: Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO Irrigation and drainage paper 56 (FAO-56). The method of
Hargreaves knows neither wind nor humidity: it errs where they are unusual, and is meant for sums of five days or more (from
memory of FAO-56). A morning observer's temperatures of a day are mostly those of the day before; rain of that day is so too.
"""

from __future__ import annotations

from math import acos, cos, isfinite, pi, radians, sin, sqrt, tan

MM_PER_MJ = 0.408  # equation 20: 1 MJ m-2 evaporates 0.408 mm of water


def extraterrestrial_radiation_mj(latitude_deg: float, day_of_year: int) -> float:
    """Radiation on a level place at the top of the atmosphere, MJ m-2 d-1 (equations 21 to 25); south is negative.

    0 in the polar night; the sunset angle's argument is kept in [-1, 1].
    """
    latitude, turn = radians(latitude_deg), 2 * pi * day_of_year / 365
    distance = 1 + 0.033 * cos(turn)
    declination = 0.409 * sin(turn - 1.39)
    sunset = acos(min(1.0, max(-1.0, -tan(latitude) * tan(declination))))
    path = sunset * sin(latitude) * sin(declination) + cos(latitude) * cos(declination) * sin(sunset)
    return max(0.0, 24 * 60 / pi * 0.0820 * distance * path)


def hargreaves_et0_mm(tmax_c: float | None, tmin_c: float | None, radiation_mj: float) -> float | None:
    """Reference evapotranspiration of a day, mm, from its highest and lowest temperature, °C (equation 52).

    None where a temperature is missing or the lowest is above the highest; never below 0, however cold.
    """
    if tmax_c is None or tmin_c is None or not isfinite(tmax_c + tmin_c) or tmin_c > tmax_c:
        return None
    mean_c = (tmax_c + tmin_c) / 2
    return max(0.0, 0.0023 * (mean_c + 17.8) * sqrt(tmax_c - tmin_c) * MM_PER_MJ * radiation_mj)
