"""How water potential goes with the rain before it: slopes on days since rain, antecedent index or modelled soil water.

Every plant of a date has had the same rain. However many plants are read, the date is the unit of replication for rain, and a
regression that takes the plants for independent would be pseudoreplication (Hurlbert 1984, Ecol. Monogr. 54:187).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import sqrt
from typing import Any

import numpy as np
from scipy.special import stdtrit

from warehouse.statistics.censored_likelihood import Bools, Floats
from warehouse.statistics.clustered import clustered_fit
from warehouse.statistics.mixed import mixed_model
from warehouse.statistics.reasons import reason
from warehouse.statistics.response_words import plants_in_words, response_sentence

LEAST_DATES = 5
LEAST_DATES_LEFT = 3  # dates beyond what the season's means and the slope take
LEAST_VALUES = 5  # plants that are no bounds
MOST_BOUNDS = 0.8  # share of plants beyond which there is no model, as for a mean
LEAST_SEMESTERS = 10  # to stand for clusters by themselves


@dataclass(frozen=True)
class RainResponse:
    """A slope of water potential, MPa per unit of the predictor, and what it stands on."""

    n_plants: int
    n_leaves: int
    n_dates: int
    n_semesters: int
    n_plants_below_limit: int
    n_without_predictor: int
    predictor_low: float | None = None
    predictor_high: float | None = None
    predictor_middle: float | None = None
    middle_mpa: float | None = None
    slope: float | None = None
    slope_se: float | None = None
    slope_df: float | None = None
    slope_ci_low: float | None = None
    slope_ci_high: float | None = None
    method: str | None = None
    reason_code: str | None = None
    reason: str | None = None
    sentence: str | None = None


@dataclass(frozen=True)
class _Plants:
    """The plants whose predictor is known; `covariates` hold an intercept, kinds of plant and seasons, without dependent columns."""

    values: Floats
    is_bound: Bools
    predictor: Floats
    dates: list[str]
    semesters: list[str]
    covariates: Floats
    n_of_dates: int  # columns that tell dates apart: the seasons' means and the slope


def rain_response(
    water_potential_mpa: Sequence[float],
    below_limit: Sequence[bool],
    n_leaves: Sequence[int],
    predictor: Sequence[float | None],
    dates: Sequence[str],
    semesters: Sequence[str],
    kinds: Sequence[str],
    predictor_name: str,
    functional_group: str,
    taxon_name: str | None,
    topographic_position: str,
    sampling_window: str,
) -> RainResponse:
    """Slope of plants' potentials on a predictor, within kinds of plant and seasons, with a 95 % interval over dates.

    Without bounds: a mixed model by REML with random date and semester (each where it has 5 levels), Student's t with no more
    degrees of freedom than dates allow. With bounds, which are never left out, since they are the driest: censored regression, with
    errors clustered by semester where there are 10 or more, else by date.

    Args:
        water_potential_mpa: one per plant, date and window, MPa; for a bound its limit.
        below_limit: True where the plant is drier than that.
        n_leaves: leaves of each plant.
        predictor: days since rain, antecedent index (mm) or modelled soil water (0 to 1) of each; None where not known.
        dates: the date of each.
        semesters: the semester of each, such as 2024-fall.
        kinds: site and taxon of each; their means may differ.
        predictor_name: `days_since_rain`, `antecedent_index_mm` or `modelled_relative_water`.
        functional_group: its code, as the rest for the sentence.
        taxon_name: name of the kind of plant, None for the whole group.
        topographic_position: its code.
        sampling_window: its code.
    """
    known = [place for place, value in enumerate(predictor) if value is not None]
    x = np.array([predictor[place] for place in known], dtype=float)
    plants = _plants(known, x, water_potential_mpa, below_limit, dates, semesters, kinds)
    counts = RainResponse(
        *(len(known), sum(n_leaves[place] for place in known), len(set(plants.dates)), len(set(plants.semesters))),
        *(int(plants.is_bound.sum()), len(predictor) - len(known)),
    )
    if known:
        counts = replace(counts, predictor_low=float(x.min()), predictor_high=float(x.max()), predictor_middle=float(x.mean()))
    why = _refusal(plants, counts)
    found = replace(counts, **why) if why else replace(counts, **_slope(plants))
    return replace(
        found,
        sentence=response_sentence(
            *(predictor_name, plants_in_words(functional_group, taxon_name, topographic_position), sampling_window),
            *(found.n_plants, found.n_leaves, found.n_dates, found.n_semesters, found.n_plants_below_limit),
            *(found.slope, found.slope_ci_low, found.slope_ci_high),
            found.reason,
        ),
    )


def _plants(
    known: list[int],
    x: Floats,
    values: Sequence[float],
    below_limit: Sequence[bool],
    dates: Sequence[str],
    semesters: Sequence[str],
    kinds: Sequence[str],
) -> _Plants:
    seasons = [semesters[place].partition("-")[2] for place in known]
    labels = [[f"{kinds[place]}" for place in known], seasons]
    columns = [np.ones(len(known)), *(column for of_rows in labels for column in _dummies(of_rows))]
    return _Plants(
        np.array([values[place] for place in known], dtype=float),
        np.array([below_limit[place] for place in known], dtype=bool),
        x,
        [dates[place] for place in known],
        [semesters[place] for place in known],
        _independent(columns),
        len(set(seasons)) + 1,
    )


def _dummies(labels: list[str]) -> list[Floats]:
    return [np.array([label == level for label in labels], dtype=float) for level in sorted(set(labels))[1:]]


def _independent(columns: list[Floats]) -> Floats:
    """These columns, without those that the ones before them make up."""
    kept = columns[:1]
    for column in columns[1:]:
        ahead = np.column_stack([*kept, column])
        if np.linalg.matrix_rank(ahead) == len(kept) + 1:
            kept.append(column)
    return np.column_stack(kept)


def _refusal(plants: _Plants, counts: RainResponse) -> dict[str, Any]:
    """Why there is no slope; empty where there may be one."""
    n, n_bounds = counts.n_plants, counts.n_plants_below_limit
    if n == 0:
        return reason("no_predictor", n=counts.n_without_predictor)
    if counts.n_dates < LEAST_DATES or counts.n_dates - plants.n_of_dates < LEAST_DATES_LEFT:
        return reason("few_dates", n=counts.n_dates, least=max(LEAST_DATES, LEAST_DATES_LEFT + plants.n_of_dates))
    left = plants.predictor - plants.covariates @ np.linalg.lstsq(plants.covariates, plants.predictor, rcond=None)[0]
    if np.abs(left).max() <= 1e-9 * max(1.0, np.abs(plants.predictor).max()):
        return reason("predictor_alike")
    if n_bounds > MOST_BOUNDS * n or n - n_bounds < LEAST_VALUES:
        return reason("response_of_bounds", n_bounds=n_bounds, n=n)
    spread = plants.values - plants.covariates @ np.linalg.lstsq(plants.covariates, plants.values, rcond=None)[0]
    return reason("no_spread") if np.abs(spread).max() <= 1e-12 else {}


def _slope(plants: _Plants) -> dict[str, Any]:
    """The slope, its precision, the potential at the middle of the predictor, and the method."""
    design = np.column_stack([plants.covariates, plants.predictor])
    most_df = float(len(set(plants.dates)) - plants.n_of_dates)
    if plants.is_bound.any():
        return _clustered_slope(plants, design, most_df)
    columns = {f"column {place}": design[:, place].tolist() for place in range(1, design.shape[1])}
    fitted = mixed_model(plants.values.tolist(), columns, {"date": plants.dates, "semester": plants.semesters})
    if fitted.reason_code is not None:  # every date has one plant, or dates are semesters: nothing left to vary by
        return _clustered_slope(plants, design, most_df)
    known = dict(zip(("slope", "slope_se"), (fitted.estimates[-1], fitted.se[-1]), strict=True))
    method = "mixed_" + "_".join(sorted(fitted.factors))
    return _with_interval(known, min(most_df, fitted.df[-1]), float(design.mean(axis=0) @ np.array(fitted.estimates)), method)


def _clustered_slope(plants: _Plants, design: Floats, most_df: float) -> dict[str, Any]:
    by_semester = len(set(plants.semesters)) >= LEAST_SEMESTERS
    fitted = clustered_fit(design, plants.values, plants.is_bound, plants.semesters if by_semester else plants.dates)
    known = {"slope": float(fitted.coefficients[-1]), "slope_se": sqrt(max(0.0, float(fitted.covariance[-1, -1])))}
    kind = "censored" if plants.is_bound.any() else "least_squares"
    return _with_interval(
        *(known, min(most_df, fitted.n_clusters - 2.0), float(design.mean(axis=0) @ fitted.coefficients)),
        f"{kind}_by_{'semester' if by_semester else 'date'}",
    )


def _with_interval(known: dict[str, float], df: float, middle_mpa: float, method: str) -> dict[str, Any]:
    half = float(stdtrit(df, 0.975)) * known["slope_se"]
    ends = {"slope_ci_low": known["slope"] - half, "slope_ci_high": known["slope"] + half}
    return {**known, **ends, "slope_df": float(df), "middle_mpa": middle_mpa, "method": method}
