"""How far midday potential follows the soil: the slope on predawn potential, and the hydroscape that it encloses.

Source: Martinez-Vilalta et al. 2014, New Phytol. 204:105 (slope); Meinzer et al. 2016, Ecol. Lett. 19:1343 (area).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, sqrt
from typing import Any

import numpy as np
from scipy.special import stdtrit

from warehouse.statistics.clustered import Clustered, clustered_fit
from warehouse.statistics.reasons import reason
from warehouse.statistics.response_words import hydroscape_sentence, plants_in_words

LEAST_PAIRS = 8
LEAST_DATES = 5  # a range over plants of one day is no drying
LEAST_RANGE_MPA = 1.0
MOST_BOUNDS = 0.8


@dataclass(frozen=True)
class Hydroscape:
    """Midday = intercept + slope * predawn, both MPa; the area (MPa²) lies between this line, the 1:1 line and predawn 0."""

    n_pairs: int
    n_dates: int
    n_midday_below_limit: int
    n_predawn_below_limit: int
    n_midday_wetter: int
    predawn_range_mpa: float | None = None
    slope: float | None = None
    slope_ci_low: float | None = None
    slope_ci_high: float | None = None
    intercept_mpa: float | None = None
    intercept_ci_low_mpa: float | None = None
    intercept_ci_high_mpa: float | None = None
    isohydry: str | None = None
    closing_mpa: float | None = None
    hydroscape_mpa2: float | None = None
    hydroscape_ci_low_mpa2: float | None = None
    hydroscape_ci_high_mpa2: float | None = None
    method: str | None = None
    reason_code: str | None = None
    reason: str | None = None
    area_reason_code: str | None = None
    area_reason: str | None = None
    sentence: str | None = None


def hydroscape(
    predawn_mpa: Sequence[float],
    predawn_below_limit: Sequence[bool],
    midday_mpa: Sequence[float],
    midday_below_limit: Sequence[bool],
    dates: Sequence[str],
    functional_group: str,
    taxon_name: str | None,
    topographic_position: str,
) -> Hydroscape:
    """Slope of midday on predawn potential over pairs of one plant and date, with 95 % intervals over dates, and the area.

    Least squares, or censored regression where a midday reading is a bound; errors clustered by date. Pairs whose predawn is a bound
    are counted and left out: choosing by the predictor leaves the line where it is. Nothing is shown for under 8 pairs, under 5
    dates or under 1 MPa of predawn range; no area where the slope is 1 or more, or may be by its interval.

    Args:
        predawn_mpa: predawn potential of each plant and date, MPa.
        predawn_below_limit: True where that is a bound.
        midday_mpa: midday potential of the following noon, MPa.
        midday_below_limit: True where that is a bound.
        dates: the date of each.
        functional_group: its code, as the rest for the sentence.
        taxon_name: name of the kind of plant, None for the whole group.
        topographic_position: its code, or `all`.
    """
    known = [place for place, is_bound in enumerate(predawn_below_limit) if not is_bound]
    x, y = (np.array([values[place] for place in known], dtype=float) for values in (predawn_mpa, midday_mpa))
    is_bound, of_date = np.array([midday_below_limit[place] for place in known], dtype=bool), [dates[place] for place in known]
    reach = float(x.max() - x.min()) if known else None
    found = Hydroscape(
        *(len(known), len(set(of_date)), int(is_bound.sum()), len(predawn_mpa) - len(known), int(np.sum((y > x) & ~is_bound)), reach)
    )
    why = _refusal(found)
    if why:
        told = replace(found, **why, **{f"area_{name}": text for name, text in why.items()})
    else:
        fitted = clustered_fit(np.column_stack([np.ones(len(x)), x]), y, is_bound, of_date)
        told = replace(found, **_line(fitted), **_area(fitted), method="censored" if is_bound.any() else "least_squares")
    who = plants_in_words(functional_group, taxon_name, topographic_position)
    return replace(told, sentence=hydroscape_sentence(who, **{name: getattr(told, name) for name in _SAID}))


_SAID = (
    *("n_pairs", "n_dates", "n_midday_below_limit", "n_midday_wetter", "slope", "slope_ci_low", "slope_ci_high", "isohydry"),
    *("hydroscape_mpa2", "hydroscape_ci_low_mpa2", "hydroscape_ci_high_mpa2", "reason", "area_reason"),
)


def _refusal(found: Hydroscape) -> dict[str, Any]:
    if found.n_pairs < LEAST_PAIRS:
        return reason("few_pairs", n=found.n_pairs, least=LEAST_PAIRS)
    if found.n_dates < LEAST_DATES:
        return reason("few_dates", n=found.n_dates, least=LEAST_DATES)
    if found.predawn_range_mpa is None or found.predawn_range_mpa < LEAST_RANGE_MPA - 1e-9:
        return reason("not_enough_drying", reach=f"{found.predawn_range_mpa or 0:.2f}", least=f"{LEAST_RANGE_MPA:g}")
    if found.n_midday_below_limit > MOST_BOUNDS * found.n_pairs:
        return reason("response_of_bounds", n_bounds=found.n_midday_below_limit, n=found.n_pairs)
    return {}


def _line(fitted: Clustered) -> dict[str, Any]:
    intercept, slope = (float(value) for value in fitted.coefficients)
    t = float(stdtrit(fitted.n_clusters - 2, 0.975))
    of_intercept, of_slope = (t * sqrt(max(0.0, float(fitted.covariance[place, place]))) for place in (0, 1))
    low, high = slope - of_slope, slope + of_slope
    return {
        **{"slope": slope, "slope_ci_low": low, "slope_ci_high": high, "isohydry": isohydry(low, high)},
        "intercept_mpa": intercept,
        "intercept_ci_low_mpa": intercept - of_intercept,
        "intercept_ci_high_mpa": intercept + of_intercept,
    }


def isohydry(slope_low: float, slope_high: float) -> str:
    """The word for a slope by its interval: it holds 0, lies between, holds 1, lies beyond; undecided where it holds both."""
    if slope_low <= 0 <= slope_high:
        return "undecided" if slope_high >= 1 else "isohydric"
    if slope_high < 0:
        return "reversed"
    if slope_high < 1:
        return "partly_isohydric"
    return "anisohydric" if slope_low <= 1 else "extremely_anisohydric"


def _area(fitted: Clustered) -> dict[str, Any]:
    """Area L² / (2 (1 - s)) MPa², its corner L / (1 - s) MPa, and its interval by the delta method on the logarithm.

    None where the interval of the slope holds 1: the lines might not meet, and the area has no upper end.
    """
    intercept, slope = (float(value) for value in fitted.coefficients)
    if slope >= 1 - 1e-9 or intercept >= 0:
        return {f"area_{name}": text for name, text in reason("no_closing").items()}
    t = float(stdtrit(fitted.n_clusters - 2, 0.975))
    if slope + t * sqrt(max(0.0, float(fitted.covariance[1, 1]))) >= 1:
        return {f"area_{name}": text for name, text in reason("area_open").items()}
    area = intercept**2 / (2 * (1 - slope))
    slopes = np.array([2 / intercept, 1 / (1 - slope)])
    half = t * sqrt(max(0.0, float(slopes @ fitted.covariance @ slopes)))
    return {
        **{"closing_mpa": intercept / (1 - slope), "hydroscape_mpa2": area},
        **{"hydroscape_ci_low_mpa2": area * exp(-half), "hydroscape_ci_high_mpa2": area * exp(half)},
    }
