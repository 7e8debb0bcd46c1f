"""The difference of two sides of plants: Welch's, by site, in pairs, or with bounds; its size, intervals and test.

The plant is the unit: each value is the mean of a plant's leaves (Hurlbert 1984, Ecol. Monogr. 54:187). Every difference is first
side minus second, MPa: positive where the first is wetter.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtr, stdtrit

from warehouse.statistics.censored_groups import censored_difference, logrank
from warehouse.statistics.contrasts_of_leaves import mixed_contrast
from warehouse.statistics.effect_size import hedges_g
from warehouse.statistics.reasons import reason
from warehouse.statistics.resampling import Floats, bca_interval
from warehouse.statistics.wording import listed, number

Bools = NDArray[np.bool_]
Names = NDArray[np.str_]
Facts = dict[str, Any]
FEWEST_PLANTS = 3  # on a side, or pairs: with two a spread has one degree of freedom, and its interval says nothing
MOST_SHOWN = 12  # readings in a sentence
_SAME = 1e-12  # a spread below this share of the values is that of rounding


@dataclass(frozen=True)
class PlantContrast:
    """First minus second, MPa, 95 % intervals; g in standard deviations. What the method does not give is null; see `reason`.

    `method`: welch; by_site (Welch's within each site, sites weighed alike); paired (differences within a plant); mixed (plants that
    stand on both sides, beside others that do not); censored (regression with bounds); none. `p_value` never comes without the difference.
    """

    method: str = "none"
    difference_mpa: float | None = None
    se_mpa: float | None = None
    df: float | None = None
    ci_low_mpa: float | None = None
    ci_high_mpa: float | None = None
    p_value: float | None = None
    mean_a_mpa: float | None = None
    mean_b_mpa: float | None = None
    hedges_g: float | None = None
    g_low: float | None = None
    g_high: float | None = None
    bca_low_mpa: float | None = None
    bca_high_mpa: float | None = None
    logrank_p_value: float | None = None
    sd_plant_mpa: float | None = None
    sd_leaf_mpa: float | None = None
    readings_a: str | None = None
    readings_b: str | None = None
    reason_code: str | None = None
    reason: str | None = None


@dataclass(frozen=True)
class _Sample:
    """The plants of one side at one site, and the weight of their mean in the difference."""

    values: Floats
    weight: float

    @property
    def error(self) -> float:
        """The mean's part in the squared standard error."""
        return self.weight**2 * float(self.values.var(ddof=1)) / len(self.values)


def plant_contrast(
    water_potential_mpa: list[float],
    below_limit: list[bool],
    is_first: list[bool],
    site: list[str],
    same_plant: list[str | None],
) -> PlantContrast:
    """Compare two sides, one value per plant and date.

    Args:
        water_potential_mpa: values of plants, MPa.
        below_limit: True where the plant lies below its value: it was drier than the chamber could show.
        is_first: True on the first side.
        site: sites whose plants are compared among themselves alone; one name everywhere compares all with all.
        same_plant: one name for the values of a plant that stands on both sides; null where it is not known to.

    Returns:
        the difference by the method that the data allow, or the reason why there is none.

    Source: Welch 1947, Biometrika 34:28; Hedges 1981; Efron 1987; see `effect_size`, `resampling`, `censored_groups`, `mixed`.
    """
    values, bound = np.array(water_potential_mpa, dtype=float), np.array(below_limit, dtype=bool)
    first, sites = np.array(is_first, dtype=bool), np.array(site, dtype=str)
    if not np.all(np.isfinite(values)):
        raise ValueError("each plant needs a finite potential")
    if not first.any() or first.all():
        return PlantContrast(**reason("side_without_plants"))
    on_first = {name for name, here in zip(same_plant, first, strict=True) if here and name is not None}
    shared = on_first & {name for name, here in zip(same_plant, first, strict=True) if not here}
    is_shared = np.array([name in shared for name in same_plant])
    if bound.any():
        return _with_bounds(values, bound, first, sites, in_pairs=bool(shared))
    if is_shared.all() and len(values) == 2 * len(shared):
        order = np.argsort(np.array(same_plant, dtype=str), kind="stable")
        return _paired(values[order][first[order]], values[order][~first[order]])
    n_fewest = min(int(first.sum()), int((~first).sum()))
    means: Facts = {"mean_a_mpa": float(values[first].mean()), "mean_b_mpa": float(values[~first].mean())}
    if n_fewest < FEWEST_PLANTS:
        why = reason("few_plants", n_a=int(first.sum()), n_b=int((~first).sum()), needed=FEWEST_PLANTS)
        return PlantContrast(**means, readings_a=_told(values[first]), readings_b=_told(values[~first]), **why)
    independent = _independent(values, first, sites)
    return _partly_shared(independent, values, first, sites, same_plant) if shared else independent


def _independent(values: Floats, first: Bools, sites: Names) -> PlantContrast:
    """Welch's difference, within each site where there are several: sites weigh alike, however many plants were read there."""
    names = np.unique(sites)
    samples = [
        _Sample(values[(sites == name) & (first == side)], (1.0 if side else -1.0) / len(names)) for name in names for side in (True, False)
    ]
    if min(len(sample.values) for sample in samples) < 2:
        return PlantContrast(**reason("site_of_one_plant"))
    mean_a, mean_b = (sum(float(one.values.mean()) for one in side) / len(names) for side in (samples[::2], samples[1::2]))
    found: Facts = {"mean_a_mpa": mean_a, "mean_b_mpa": mean_b, "difference_mpa": mean_a - mean_b}
    errors = np.array([sample.error for sample in samples])
    sizes = np.array([len(sample.values) for sample in samples])
    if sqrt(errors.sum()) <= _SAME * max(1.0, float(np.abs(values).max())):
        return PlantContrast(**found, **reason("no_spread_within_sides"))
    df = float(errors.sum() ** 2 / (errors**2 / (sizes - 1)).sum())
    pooled_df = int((sizes - 1).sum())
    pooled = sqrt(sum(float(((one.values - one.values.mean()) ** 2).sum()) for one in samples) / pooled_df)
    scale = sqrt(sum(one.weight**2 / len(one.values) for one in samples))
    size = hedges_g((mean_a - mean_b) / (pooled * scale), pooled_df, scale)
    bca = bca_interval([(one.values, one.weight) for one in samples])
    method = "welch" if len(names) == 1 else "by_site"
    return _tested(method, found, sqrt(errors.sum()), df, size, bca)


def _paired(first: Floats, second: Floats) -> PlantContrast:
    """The mean of the differences within plants; the effect size is g_z, in standard deviations of these differences."""
    differences = first - second
    n = len(differences)
    means: Facts = {"mean_a_mpa": float(first.mean()), "mean_b_mpa": float(second.mean())}
    if n < FEWEST_PLANTS:
        why = reason("few_shared_plants", n=n, needed=FEWEST_PLANTS)
        return PlantContrast(**means, readings_a=_told(first), readings_b=_told(second), **why)
    found: Facts = {**means, "difference_mpa": float(differences.mean())}
    sd = float(differences.std(ddof=1))
    if sd <= _SAME * max(1.0, float(np.abs(differences).max())):
        return PlantContrast(**found, **reason("no_spread_of_differences"))
    se = sd / sqrt(n)
    size = hedges_g(found["difference_mpa"] / se, n - 1, 1 / sqrt(n))
    return _tested("paired", found, se, float(n - 1), size, bca_interval([(differences, 1.0)]))


def _partly_shared(independent: PlantContrast, values: Floats, first: Bools, sites: Names, same_plant: list[str | None]) -> PlantContrast:
    """Some plants stand on both sides, some on one: a mixed model takes all. Where it cannot, the sides are taken as apart,

    which makes the interval too wide rather than too narrow, for what a plant has in common goes the same way on both sides.
    """
    plants = [name or f"once {place}" for place, name in enumerate(same_plant)]
    nobody: list[str | None] = [None] * len(plants)
    fit = mixed_contrast(values.tolist(), first.tolist(), sites.tolist(), plants, nobody, nobody)
    if fit.reason_code is not None:
        return independent
    kept = ("difference_mpa", "se_mpa", "df", "ci_low_mpa", "ci_high_mpa", "p_value", "sd_plant_mpa", "sd_leaf_mpa")
    none: Facts = dict.fromkeys(("hedges_g", "g_low", "g_high", "bca_low_mpa", "bca_high_mpa"))
    return replace(independent, method="mixed", **none, **{name: getattr(fit, name) for name in kept})


def _with_bounds(values: Floats, bound: Bools, first: Bools, sites: Names, *, in_pairs: bool) -> PlantContrast:
    """Censored regression and the log-rank test; a bound is never averaged. Plants that are no bound on a side still have a mean there."""
    means: Facts = {
        name: float(values[side].mean()) for name, side in (("mean_a_mpa", first), ("mean_b_mpa", ~first)) if not bound[side].any()
    }
    if in_pairs or len(np.unique(sites)) > 1:
        return PlantContrast(**means, **reason("bounds_in_pairs" if in_pairs else "bounds_at_several_sites", n=int(bound.sum())))
    sides = [part.tolist() for side in (first, ~first) for part in (values[side], bound[side])]
    found = censored_difference(*sides)
    if found.difference_mpa is None:
        told: Facts = {"readings_a": _told(values[first], bound[first]), "readings_b": _told(values[~first], bound[~first])}
        shown = told if len(values) <= MOST_SHOWN else {}
        return PlantContrast(**means, **shown, reason_code=found.reason_code, reason=found.reason)
    return PlantContrast(
        method="censored",
        difference_mpa=found.difference_mpa,
        df=float(len(values) - 2),
        ci_low_mpa=found.ci_low_mpa,
        ci_high_mpa=found.ci_high_mpa,
        p_value=found.p_value,
        logrank_p_value=logrank(*sides).p_value,
        **means,
    )


def _tested(
    method: str,
    found: Facts,
    se: float,
    df: float,
    size: tuple[float, float, float] | None,
    bca: tuple[float, float] | None,
) -> PlantContrast:
    """The difference with its t interval and test, effect size and bootstrap interval."""
    difference, half = found["difference_mpa"], float(stdtrit(df, 0.975)) * se
    g, g_low, g_high = size or (None, None, None)
    bca_low, bca_high = bca or (None, None)
    return PlantContrast(
        method=method,
        **found,
        se_mpa=se,
        df=df,
        ci_low_mpa=difference - half,
        ci_high_mpa=difference + half,
        p_value=2 * float(stdtr(df, -abs(difference) / se)),
        hedges_g=g,
        g_low=g_low,
        g_high=g_high,
        bca_low_mpa=bca_low,
        bca_high_mpa=bca_high,
    )


def _told(values: Floats, bound: Bools | None = None) -> str:
    """The values of a few plants in words: "−1.20, −1.35 and below −4.00 MPa"."""
    bounds = np.zeros(len(values), dtype=bool) if bound is None else bound
    parts = [f"{'below ' if is_bound else ''}{number(value)}" for value, is_bound in sorted(zip(values, bounds, strict=True))]
    return f"{listed(parts)} MPa"
