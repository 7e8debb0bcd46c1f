"""A model of the water in a site's soil: one bucket, filled by rain and emptied by evapotranspiration, by the day.

Source: FAO-56 (Allen, Pereira, Raes & Smith 1998), chapter 8. It is an index of how much of its water a soil has left, not a
measurement and not a water potential. Kept simple on purpose: the same plant cover everywhere and all year round, all rain enters
the soil, nothing runs off, runs on or rises from below. So sites differ by their soil alone.

Where rain or temperature is missing, nothing is filled in. Two buckets are followed instead, the fullest and the emptiest that
the gaps allow, and a value is given only where both agree.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import inf, isfinite
from typing import NamedTuple

from warehouse.statistics.evapotranspiration import MM_PER_MJ, extraterrestrial_radiation_mj, hargreaves_et0_mm

# Middle of the ranges of FAO-56, table 19, for field capacity less wilting point, mm per m of soil (from memory of that table).
AVAILABLE_WATER_MM_PER_M: Mapping[str, float] = {
    "sand": 80.0,  # 50 to 110
    "loamy_sand": 90.0,  # 60 to 120
    "sandy_loam": 130.0,  # 110 to 150
    "loam": 155.0,  # 130 to 180
    "silt_loam": 160.0,  # 130 to 190
    "silt": 180.0,  # 160 to 200
    "silty_clay_loam": 155.0,  # 130 to 180
    "silty_clay": 160.0,  # 130 to 190
    "clay": 160.0,  # 120 to 200
}
CROP_COEFFICIENT = 0.75  # Kc of extensively grazed pasture in leaf, FAO-56 table 12 (as quoted in public software)
TABLED_FRACTION = 0.6  # p of the same, FAO-56 table 22 (likewise)
AGREE_WITHIN = 0.02  # of the available water: what two buckets may differ by where a value is given
NEIGHBOURS_DAYS = 10  # on either side of a day without temperatures: it used no less and no more than they did
_NOTHING_MM = 1e-6
_DECIMALS_MM = 3
_DECIMALS_SHARE = 4


@dataclass(frozen=True)
class SoilWater:
    """The soil of one site, day by day: each list has one value a day, null where it is not known.

    `depletion_mm` (Dr) is missing from a full soil at the end of the day, `relative_extractable_water` is 1 where it is full and
    0 where plants can take no more; `ks` is by how much dryness lowered the day's use, `drainage_mm` what the soil could not hold.
    """

    total_available_water_mm: float | None
    et0_mm: list[float | None]
    depletion_mm: list[float | None]
    relative_extractable_water: list[float | None]
    drainage_mm: list[float | None]
    ks: list[float | None]
    reason_code: list[str | None]


class _Day(NamedTuple):
    """A possible state of the bucket at the end of a day, mm, and how the day went."""

    depletion_mm: float
    ks: float | None
    drainage_mm: float | None


def total_available_water_mm(soil_depth_m: float | None, soil_texture: str | None, available_water_mm_per_m: float | None) -> float | None:
    """TAW, mm (equation 82): depth times what a metre holds, as measured or else by its texture; None where not stated."""
    per_metre = available_water_mm_per_m if available_water_mm_per_m is not None else AVAILABLE_WATER_MM_PER_M.get(soil_texture or "")
    if per_metre is None or soil_depth_m is None or not isfinite(soil_depth_m * per_metre) or soil_depth_m * per_metre <= 0:
        return None
    return soil_depth_m * per_metre


def depletion_fraction(etc_mm: float, tabled: float = TABLED_FRACTION) -> float:
    """Share p of TAW that can be used without stress: the tabled one adjusted for the day's demand, in 0.1 to 0.8 (table 22)."""
    return min(0.8, max(0.1, tabled + 0.04 * (5 - etc_mm)))


def stress_coefficient(depletion_mm: float, available_mm: float, fraction: float) -> float:
    """Ks (equation 84): 1 while the readily available water lasts, then falling to 0 where no water is left."""
    if depletion_mm <= fraction * available_mm:
        return 1.0
    return max(0.0, (available_mm - depletion_mm) / ((1 - fraction) * available_mm))


def after_a_day(depletion_mm: float, available_mm: float, etc_mm: float, rain_mm: float, fraction: float) -> tuple[float, float, float]:
    """Depletion at the end of a day, mm, Ks of the day, and drainage, mm (equations 84 to 86 and 88).

    Args:
        depletion_mm: at the end of the day before; Ks is taken from it.
        available_mm: TAW.
        etc_mm: what plants that lack nothing would use.
        rain_mm: all of it enters the soil.
        fraction: p of the readily available water.
    """
    ks = stress_coefficient(depletion_mm, available_mm, fraction)
    left = depletion_mm - rain_mm + ks * etc_mm
    return min(available_mm, max(0.0, left)), ks, max(0.0, -left)


def soil_water(
    day_of_year: list[int],
    rain_early_mm: list[float | None],
    rain_late_mm: list[float | None],
    tmax_c: list[float | None],
    tmin_c: list[float | None],
    latitude_deg: float,
    soil_depth_m: float | None,
    soil_texture: str | None,
    available_water_mm_per_m: float | None,
) -> SoilWater:
    """The modelled soil water of one site over consecutive days.

    Args:
        day_of_year: 1 to 366, of each day.
        rain_early_mm: rain of each day, None where missing; a total of several days stands on its first day, 0 on the others.
        rain_late_mm: the same, but such a total stands on its last day.
        tmax_c, tmin_c: highest and lowest temperature of each day, °C, None where missing.
        latitude_deg: of the site, north positive.
        soil_depth_m, soil_texture, available_water_mm_per_m: as the register of sites states them.
    """
    radiation = {day: extraterrestrial_radiation_mj(latitude_deg, day) for day in set(day_of_year)}
    demand = [hargreaves_et0_mm(high, low, radiation[day]) for day, high, low in zip(day_of_year, tmax_c, tmin_c, strict=True)]
    available_mm = total_available_water_mm(soil_depth_m, soil_texture, available_water_mm_per_m)
    et0_mm = [None if value is None else round(value, _DECIMALS_MM) for value in demand]
    if available_mm is None:
        unknown: list[float | None] = [None] * len(demand)
        return SoilWater(None, et0_mm, unknown, unknown, unknown, unknown, ["soil_not_described"] * len(demand))
    most = [radiation[day] * MM_PER_MJ for day in day_of_year]
    limits = [_use_limits(demand, number, most[number]) for number in range(len(demand))]
    days = list(_days(rain_early_mm, rain_late_mm, limits, available_mm))
    return SoilWater(
        available_mm,
        et0_mm,
        [None if day is None else round(day.depletion_mm, _DECIMALS_MM) for day, _ in days],
        [None if day is None else round(1 - day.depletion_mm / available_mm, _DECIMALS_SHARE) for day, _ in days],
        [None if day is None or day.drainage_mm is None else round(day.drainage_mm, _DECIMALS_MM) for day, _ in days],
        [None if day is None or day.ks is None else round(day.ks, _DECIMALS_SHARE) for day, _ in days],
        ["temperature_missing" if code is None and value is None else code for (_, code), value in zip(days, demand, strict=True)],
    )


def _use_limits(et0_mm: list[float | None], number: int, most_mm: float) -> tuple[float, float]:
    """The least and the most that plants without stress can have used on a day, mm; all radiation evaporates no more than `most_mm`."""
    value = et0_mm[number]
    if value is not None:
        return CROP_COEFFICIENT * value, CROP_COEFFICIENT * value
    near = [known for known in et0_mm[max(0, number - NEIGHBOURS_DAYS) : number + NEIGHBOURS_DAYS + 1] if known is not None]
    return (CROP_COEFFICIENT * min(near), CROP_COEFFICIENT * max(near)) if near else (0.0, CROP_COEFFICIENT * most_mm)


def _days(
    early_mm: list[float | None], late_mm: list[float | None], limits: list[tuple[float, float]], available_mm: float
) -> Iterator[tuple[_Day | None, str | None]]:
    """Each day's state where it is known, else None and the code of why it is not."""
    full, empty, pending_mm, cause = 0.0, available_mm, 0.0, "soil_start_unknown"
    for early, late, (least_mm, most_mm) in zip(early_mm, late_mm, limits, strict=True):
        if full == empty and early == late and early is not None and least_mm == most_mm and pending_mm <= _NOTHING_MM:
            after = after_a_day(full, available_mm, least_mm, early, depletion_fraction(least_mm))
            full = empty = after[0]
            yield _Day(*after), None
            continue
        # A missing day may have brought any rain, or none. Rain that came early drained and evaporated more than rain that came late,
        # so that within a total of several days the fullest may be the emptier one for a while.
        fullest = min(_after(full, max(full, empty), available_mm, least_mm, inf if late is None else late))
        emptiest = max(_after(min(full, empty), empty, available_mm, most_mm, 0.0 if early is None else early))
        full, empty = fullest[0], emptiest[0]
        pending_mm = max(0.0, pending_mm + (early or 0.0) - (late or 0.0))
        if early is None or late is None:
            cause = "rain_missing"
        elif pending_mm > _NOTHING_MM:
            cause = "rain_of_several_days"
        elif most_mm > least_mm:
            cause = "temperature_missing"
        if pending_mm > _NOTHING_MM or empty - full > AGREE_WITHIN * available_mm:
            yield None, cause
            continue
        yield _between(fullest, emptiest, available_mm), None
        if empty - full < _NOTHING_MM:
            full = empty


def _after(full: float, empty: float, available_mm: float, etc_mm: float, rain_mm: float) -> list[tuple[float, float, float]]:
    """What a day makes of the states from `full` to `empty`: of both ends, and of where stress begins.

    In a very thin soil the emptier one may use so much less that it ends the day as the fuller one.
    """
    fraction = depletion_fraction(etc_mm)
    bend = min(empty, max(full, fraction * available_mm))
    return [after_a_day(state, available_mm, etc_mm, rain_mm, fraction) for state in (full, bend, empty)]


def _between(one: tuple[float, float, float], other: tuple[float, float, float], available_mm: float) -> _Day:
    """The middle of two states that agree; what they do not agree on of how the day went stays unknown."""
    return _Day(
        (one[0] + other[0]) / 2,
        _middle(one[1], other[1], AGREE_WITHIN),
        _middle(one[2], other[2], AGREE_WITHIN * available_mm),
    )


def _middle(one: float, other: float, within: float) -> float | None:
    return (one + other) / 2 if abs(one - other) <= within else None
