"""Two groups of which some values are bounds: the difference by censored regression, and the log-rank test."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Any

import numpy as np
from scipy.special import stdtr

from warehouse.statistics.censored_likelihood import Bools, Floats, NoSpread, fit, profile_interval, restricted, t_of
from warehouse.statistics.reasons import reason

FEWEST_VALUES, FEWEST_VALUES_OF_SIDE, MOST_BOUNDS = 5, 2, 0.8


@dataclass(frozen=True)
class CensoredDifference:
    """First minus second mean potential, MPa, with its 95 % profile-likelihood interval; sd is that within the groups, MPa."""

    difference_mpa: float | None = None
    ci_low_mpa: float | None = None
    ci_high_mpa: float | None = None
    p_value: float | None = None
    sd_mpa: float | None = None
    reason_code: str | None = None
    reason: str | None = None


@dataclass(frozen=True)
class LogRank:
    """Log-rank test of two groups: chi-squared with one degree of freedom, and whether the first was drier than expected."""

    chi_squared: float | None = None
    p_value: float | None = None
    is_first_drier: bool | None = None
    reason_code: str | None = None
    reason: str | None = None


def censored_difference(
    first_mpa: list[float], is_first_bound: list[bool], second_mpa: list[float], is_second_bound: list[bool]
) -> CensoredDifference:
    """Difference of the means of two groups of plants, bounds counted as bounds: censored regression with a group term.

    Both groups are taken as normal with one common sd. A potential below -limit is a balance pressure above limit: the fit is
    made in pressures, and d(potential) = -d(pressure). Interval and p-value are those of the profile likelihood with the cut
    that makes them Student's pooled t where nothing is a bound.

    Args:
        first_mpa: potentials of the plants of the first group, MPa; where a bound, the plant lies below.
        is_first_bound: True where the plant is a bound; as long as `first_mpa`.
        second_mpa: as for the first, of the second group.
        is_second_bound: as for the first, of the second group.

    Returns:
        first minus second, MPa: positive where the first is wetter; null with a reason where the rules forbid it.

    Source: Tobin 1958, Econometrica 26:24; Helsel 2012, Statistics for Censored Environmental Data (2nd ed.).
    """
    pressures, is_bound, is_first = _gathered(first_mpa, is_first_bound, second_mpa, is_second_bound)
    refused = _refused(is_bound, is_first)
    if refused:
        return CensoredDifference(**refused)
    design = np.column_stack([np.ones(len(pressures)), is_first])
    middle = float(np.mean(pressures))
    try:
        best = fit(design, pressures - middle, is_bound)
        low, high = profile_interval(design, pressures - middle, is_bound, 1, best)
        degrees = len(pressures) - 2
        t = t_of(best, restricted(design, pressures - middle, is_bound, 1, 0.0), len(pressures), degrees)
    except NoSpread:
        return CensoredDifference(**reason("no_variance_in_groups"))
    return CensoredDifference(-float(best.coefficients[1]), -high, -low, 2 * float(stdtr(degrees, -t)), best.sd)


def logrank(first_mpa: list[float], is_first_bound: list[bool], second_mpa: list[float], is_second_bound: list[bool]) -> LogRank:
    """Whether two groups of plants differ anywhere in their distribution of potentials, of whatever shape; bounds are bounds.

    Source: Mantel 1966, Cancer Chemother. Rep. 50:163; Peto & Peto 1972, J. R. Stat. Soc. A 135:185. Arguments as in
    `censored_difference`. The p-value is that of large groups: with few values take it as a guide.
    """
    from scipy.stats import CensoredData
    from scipy.stats import logrank as tested

    pressures, is_bound, is_first = _gathered(first_mpa, is_first_bound, second_mpa, is_second_bound)
    if not 0 < int(np.sum(is_first)) < len(is_first):
        return LogRank(**reason("side_without_plants"))
    n_values = int(np.sum(~is_bound))
    if n_values < FEWEST_VALUES:
        return LogRank(**reason("few_values", n=n_values, needed=FEWEST_VALUES))
    with np.errstate(invalid="ignore"):  # 0 / 0 where every value is the same
        found = tested(*(CensoredData.right_censored(pressures[side], is_bound[side]) for side in (is_first, ~is_first)))
    z = float(found.statistic)
    return LogRank(z**2, float(found.pvalue), z < 0) if isfinite(z) else LogRank(**reason("ranks_do_not_differ"))


def _gathered(
    first_mpa: list[float], is_first_bound: list[bool], second_mpa: list[float], is_second_bound: list[bool]
) -> tuple[Floats, Bools, Bools]:
    """Pressures, which of them are bounds, and which are of the first group."""
    pressures = -np.array([*first_mpa, *second_mpa], dtype=float)
    is_bound = np.array([*is_first_bound, *is_second_bound], dtype=bool)
    is_first = np.arange(len(pressures)) < len(first_mpa)
    if len(first_mpa) != len(is_first_bound) or len(pressures) != len(is_bound) or not np.all(np.isfinite(pressures)):
        raise ValueError("each plant needs a finite potential, and whether it is a bound")
    return pressures, is_bound, is_first


def _refused(is_bound: Bools, is_first: Bools) -> dict[str, Any] | None:
    """Why there is no difference; None where there may be one."""
    if not 0 < int(np.sum(is_first)) < len(is_first):
        return reason("side_without_plants")
    n_values = int(np.sum(~is_bound))
    if n_values < FEWEST_VALUES:
        return reason("few_values", n=n_values, needed=FEWEST_VALUES)
    for side in (is_first, ~is_first):
        if int(np.sum(~is_bound[side])) < FEWEST_VALUES_OF_SIDE:
            return reason("few_values_on_a_side", needed=FEWEST_VALUES_OF_SIDE)
        if float(np.mean(is_bound[side])) > MOST_BOUNDS:
            return reason("mostly_bounds")
    return None
