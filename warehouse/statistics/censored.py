"""Summary of one group of plants of which some may be bounds: Kaplan-Meier ranks and maximum likelihood, in balance pressure.

A plant below -limit is right-censored in pressure: it lies somewhere above its limit. It is never averaged and never dropped.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, inf, isfinite, sqrt
from typing import Any

import numpy as np
from scipy.special import stdtrit

from warehouse.statistics.censored_likelihood import Bools, Fit, Floats, NoSpread, fit, profile_interval
from warehouse.statistics.kaplan_meier import curve, pressure_at, restricted_mean
from warehouse.statistics.reasons import reason

FEWEST_VALUES = 5
"""With fewer plants that gave a value, and a bound among them, there is no model: what their ranks decide, and the readings."""
MOST_BOUNDS_FOR_A_MEDIAN, MOST_BOUNDS_FOR_A_MEAN = 0.5, 0.8
_NO_SPREAD_MPA = 1e-9  # means of leaves that are alike differ in the last bits


@dataclass(frozen=True)
class Likelihood:
    """Maximum-likelihood estimates of potentials, MPa, with 95 % intervals; lognormal in balance pressure."""

    mle_normal_mean_mpa: float | None = None
    mle_normal_sd_mpa: float | None = None
    mle_normal_ci_low_mpa: float | None = None
    mle_normal_ci_high_mpa: float | None = None
    mle_lognormal_mean_mpa: float | None = None
    mle_lognormal_ci_low_mpa: float | None = None
    mle_lognormal_ci_high_mpa: float | None = None
    mle_lognormal_median_mpa: float | None = None


@dataclass(frozen=True)
class GroupEstimate(Likelihood):
    """Summary of one group of plants, potentials in MPa; the columns are described in the yml of `site_season`."""

    mean_mpa: float | None = None
    sd_mpa: float | None = None
    se_mpa: float | None = None
    ci_low_mpa: float | None = None
    ci_high_mpa: float | None = None
    median_mpa: float | None = None
    median_is_bound: bool = False
    q25_mpa: float | None = None
    q75_mpa: float | None = None
    driest_mpa: float | None = None
    wettest_mpa: float | None = None
    restricted_mean_mpa: float | None = None
    restricted_at_mpa: float | None = None
    method: str | None = None
    estimate_mpa: float | None = None
    estimate_is_bound: bool = False
    estimate_ci_low_mpa: float | None = None
    estimate_ci_high_mpa: float | None = None
    reason_code: str | None = None
    reason: str | None = None
    sentence: str | None = None


def group_estimate(water_potential_mpa: list[float], below_limit: list[bool]) -> GroupEstimate:
    """One group of plants: its central value by the method that its bounds allow, without a sentence.

    No bound: `t_interval`, mean and Student's interval (`single_plant`: no interval). Bounds: `censored_normal`, mean by maximum
    likelihood with its profile interval, from 5 values on and up to 80 % bounds; else `rank`, the median where the ranks
    decide it, as a bound where it falls on bounds, or nothing. Median and quartiles are Kaplan-Meier's, R's midpoint where
    half of the plants lie above a flat step; no median where more than half are bounds.

    Args:
        water_potential_mpa: one per plant, MPa; where a bound, the plant lies below.
        below_limit: True where the plant is a bound.

    Raises:
        ValueError: a potential is missing or not finite, or the lists differ in length.

    Source: Kaplan & Meier 1958, JASA 53:457; Tobin 1958; Helsel 2012, Statistics for Censored Environmental Data (2nd ed.).
    """
    pressures, is_bound = -np.array(water_potential_mpa, dtype=float), np.array(below_limit, dtype=bool)
    if pressures.shape != is_bound.shape or not len(pressures) or not np.all(np.isfinite(pressures)):
        raise ValueError("each plant needs a finite potential, and whether it is a bound")
    return GroupEstimate(**(_with_bounds(pressures, is_bound) if np.any(is_bound) else _of_values(pressures)))


def _of_values(pressures: Floats) -> dict[str, Any]:
    n, mean = len(pressures), -float(np.mean(pressures))
    found = {**_ranks(pressures, np.zeros(n, dtype=bool)), "mean_mpa": mean, "estimate_mpa": mean, "method": "t_interval"}
    if n == 1:
        return found | {"method": "single_plant"} | reason("one_plant")
    sd = float(np.std(pressures, ddof=1))
    found |= {"sd_mpa": sd, "se_mpa": sd / sqrt(n)}
    if sd < _NO_SPREAD_MPA:
        return found | reason("identical_plants")
    half = float(stdtrit(n - 1, 0.975)) * sd / sqrt(n)
    ends = {"ci_low_mpa": mean - half, "ci_high_mpa": mean + half}
    return found | ends | {f"estimate_{name}": end for name, end in ends.items()}


def _with_bounds(pressures: Floats, is_bound: Bools) -> dict[str, Any]:
    n, n_bounds = len(pressures), int(np.sum(is_bound))
    told: dict[str, Any] = {"n_bounds": n_bounds, "n": n}
    found = _ranks(pressures, is_bound)
    by_rank = {"method": "rank", "estimate_mpa": found["median_mpa"], "estimate_is_bound": found["median_is_bound"]}
    if n_bounds == n:
        return found | by_rank | reason("all_bounds", **told)
    if n - n_bounds < FEWEST_VALUES:
        code = "few_values_undecided" if found["median_mpa"] is None else "few_values_with_bounds"
        return found | by_rank | reason(code, **told, needed=FEWEST_VALUES)
    upper = float(np.max(pressures))
    found |= {"restricted_mean_mpa": -restricted_mean(curve(pressures, is_bound), upper), "restricted_at_mpa": -upper}
    if n_bounds / n > MOST_BOUNDS_FOR_A_MEAN:
        return found | by_rank | reason("mostly_bounds")
    try:
        found |= likelihood(pressures, is_bound)
    except NoSpread:
        return found | by_rank | reason("no_variance_in_groups")
    return (
        found
        | {"method": "censored_normal", "estimate_mpa": found["mle_normal_mean_mpa"]}
        | {f"estimate_ci_{end}_mpa": found[f"mle_normal_ci_{end}_mpa"] for end in ("low", "high")}
        | reason("bounds_among_plants", **told)
    )


def _ranks(pressures: Floats, is_bound: Bools) -> dict[str, Any]:
    """Median, quartiles and extremes, as far as bounds leave them known."""
    wettest_they_can_be, share = curve(pressures, np.zeros_like(is_bound)), float(np.mean(is_bound))
    n_values = int(np.sum(~is_bound))
    estimated = curve(pressures, is_bound)
    driest_they_can_be = curve(np.where(is_bound, inf, pressures), np.zeros_like(is_bound))

    def ranked(share_above: float) -> float:
        """Infinite where the rank falls on bounds, NaN where it cannot be decided."""
        if not np.any(is_bound) or n_values >= FEWEST_VALUES:
            return pressure_at(estimated, share_above)
        wet, dry = pressure_at(wettest_they_can_be, share_above), pressure_at(driest_they_can_be, share_above)
        return dry if dry in (wet, inf) else float("nan")

    median = ranked(0.5) if share <= MOST_BOUNDS_FOR_A_MEDIAN else inf
    known = {"median_mpa": median, "q25_mpa": ranked(0.25), "q75_mpa": ranked(0.75)}
    found: dict[str, Any] = {name: -value if isfinite(value) else None for name, value in known.items()}
    if median == inf:  # at least half of the plants are drier than this, whatever the bounds hide
        found |= {"median_mpa": -pressure_at(wettest_they_can_be, 0.5), "median_is_bound": True}
    least = float(np.min(pressures))
    return {
        "median_is_bound": False,
        **found,
        "driest_mpa": -float(np.max(pressures)),
        "wettest_mpa": -least if np.any(pressures[~is_bound] == least) else None,
    }


def likelihood(pressures: Floats, is_bound: Bools) -> dict[str, Any]:
    """The fields of `Likelihood`: normal with its profile interval; lognormal where every pressure is above 0.

    The lognormal mean is exp(mu + sd^2 / 2) and its interval Wald's on the log scale; the median is exp(mu).

    Raises:
        NoSpread: the values are all the same, and the bounds no higher.
    """
    ones, middle = np.ones((len(pressures), 1)), float(np.mean(pressures))
    normal = fit(ones, pressures - middle, is_bound)
    low, high = profile_interval(ones, pressures - middle, is_bound, 0, normal)
    found: dict[str, Any] = {
        "mle_normal_mean_mpa": -middle - float(normal.coefficients[0]),
        "mle_normal_sd_mpa": normal.sd,
        "mle_normal_ci_low_mpa": -middle - high,
        "mle_normal_ci_high_mpa": -middle - low,
    }
    return found if np.min(pressures) <= 0 else found | _lognormal(fit(ones, np.log(pressures), is_bound))


def _lognormal(logs: Fit) -> dict[str, float]:
    mu, sd = float(logs.coefficients[0]), logs.sd
    by_theta = np.array([sd, -mu * sd - sd**3])  # of mu + sd^2 / 2, by mu / sd and 1 / sd
    log_mean, half = mu + sd**2 / 2, 1.959964 * sqrt(float(by_theta @ logs.covariance @ by_theta))
    return {
        "mle_lognormal_mean_mpa": -exp(log_mean),
        "mle_lognormal_ci_low_mpa": -exp(log_mean + half),
        "mle_lognormal_ci_high_mpa": -exp(log_mean - half),
        "mle_lognormal_median_mpa": -exp(mu),
    }
