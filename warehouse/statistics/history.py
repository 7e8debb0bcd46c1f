"""How unusual each value is against the earlier values of its own kind: z, robust z, percentile, and partial pooling where few are.

Positive is drier. Only what is strictly earlier makes the history, so that a value's own day or season is left out of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, sqrt
from typing import Any

import numpy as np

from warehouse.statistics.censored_likelihood import Bools, Floats
from warehouse.statistics.history_words import history_sentence, subject
from warehouse.statistics.pooling import Pool, pool_of, pooled_mean
from warehouse.statistics.reasons import reason

FEWEST, FIRM_FROM, FIRM_SEMESTERS = 5, 10, 3
_MAD_TO_SD = 1.4826  # of a normal law
_DECIMALS = 9  # of MPa: means of leaves that are alike differ in the last bits


@dataclass(frozen=True)
class OwnHistory:
    """One entry per value, in the order of the arguments; potentials and differences in MPa, percentile in percent."""

    is_wider: list[bool]
    n_history: list[int]
    n_history_semesters: list[int]
    history_semesters: list[str | None]
    history_mean_mpa: list[float | None]
    history_sd_mpa: list[float | None]
    anomaly_mpa: list[float | None]
    z: list[float | None]
    robust_z: list[float | None]
    pooled_mean_mpa: list[float | None]
    pooled_z: list[float | None]
    percentile: list[float | None]
    index_is_bound: list[bool]
    history_basis: list[str]
    reason_code: list[str | None]
    reason: list[str | None]
    sentence: list[str]


@dataclass(frozen=True)
class Past:
    """What lies before one time: the values in order, the limits of bounds in order, and the semesters."""

    values: Floats
    limits: Floats
    semesters: Sequence[str]

    @property
    def n(self) -> int:
        """Earlier plants or seasons, bounds among them."""
        return len(self.values) + len(self.limits)


Series = dict[str, tuple[Any, Floats, Bools, Any]]


def own_history(
    kind: list[str],
    wider: list[str],
    time: list[int],
    semester: list[str],
    value_mpa: list[float | None],
    is_bound: list[bool],
    who: list[str],
    site_name: list[str],
    date: list[str | None],
    sampling_window: str,
) -> OwnHistory:
    """Compare every value of one pool (functional group, season, part of the day) with the earlier ones of its kind.

    Under 5 earlier values of the kind, those of the wider kind make the history; under 5 of these there is no index; 5 to 9, or
    fewer than 3 semesters, are provisional, and partly pooled with the other kinds. A value that is a bound, and a rank that
    bounds of the history leave open, give an index that is "at least" what it says; a history with bounds gives ranks alone.

    Args:
        kind: what a value is compared with, such as taxon and site.
        wider: what it is compared with where that has too few, such as functional group and site; may be the same.
        time: any number that orders days or seasons; equal times are not each other's history.
        semester: code of its semester.
        value_mpa: potential, MPa; where a bound, the value lies below; null where there is none: it has and makes no history.
        is_bound: True where the value is a bound.
        who: name of the kind of plant, or code of the functional group, for the sentence.
        site_name: the site as shown.
        date: date of a plant; null where the value is that of a season.
        sampling_window: code of the part of the day.

    Source: percentile and z by definition; median and MAD (Hampel 1974, JASA 69:383); pooling see `warehouse.statistics.pooling`.
    """
    times, values, bounds = np.array(time), np.round(np.array(value_mpa, dtype=float), _DECIMALS), np.array(is_bound, dtype=bool)
    own, others = _series(kind, times, values, bounds, semester), _series(wider, times, values, bounds, semester)
    rows: list[tuple[Any, ...]] = [()] * len(values)
    pools: dict[int, Pool | None] = {}
    for at, places in _moments(kind, time).items():
        past, is_wider = _before(own[at[0]], at[1]), False
        if past.n < FEWEST and (further := _before(others[wider[places[0]]], at[1])).n >= FEWEST:
            past, is_wider = further, True
        basis, pool = _basis(past), None
        if basis == "provisional" and not is_wider and not len(past.limits):
            pool = pools[at[1]] if at[1] in pools else pools.setdefault(at[1], _pool_before(own, at[1]))
        by = _measures(past, basis, pool)
        for place in places:
            numbers = _index(float(values[place]), bool(bounds[place]), past, basis, by)
            start = subject(who[place], site_name[place], semester[place], date[place], sampling_window)
            told = history_sentence(numbers, start, semester[place], is_season=date[place] is None, is_wider=is_wider)
            rows[place] = (is_wider, *numbers.values(), told)
    return OwnHistory(*(list(column) for column in zip(*rows, strict=True)))


def _moments(kind: list[str], time: list[int]) -> dict[tuple[str, int], list[int]]:
    """Places of the values of each kind and time."""
    found: dict[tuple[str, int], list[int]] = {}
    for place, at in enumerate(zip(kind, time, strict=True)):
        found.setdefault(at, []).append(place)
    return found


def _series(kind: list[str], times: Any, values: Floats, bounds: Bools, semester: list[str]) -> Series:
    """Times, values, bounds and semesters of each kind, in order of time."""
    kinds, semesters = np.array(kind), np.array(semester)
    found: Series = {}
    for name in dict.fromkeys(kind):
        mine = np.flatnonzero(kinds == name)
        mine = mine[np.argsort(times[mine], kind="stable")]
        found[name] = (times[mine], values[mine], bounds[mine], semesters[mine])
    return found


def _before(series: tuple[Any, Floats, Bools, Any], time: int) -> Past:
    times, values, bounds, semesters = series
    n = int(np.searchsorted(times, time, side="left"))
    past, hidden, known = values[:n], bounds[:n], np.isfinite(values[:n])
    return Past(np.sort(past[known & ~hidden]), np.sort(past[known & hidden]), list(dict.fromkeys(semesters[:n][known].tolist())))


def _pool_before(series: Series, time: int) -> Pool | None:
    """What the histories of all kinds before a time have in common; those that hold bounds take no part."""
    pasts = [_before(kind, time) for kind in series.values()]
    return pool_of([past.values for past in pasts if not len(past.limits)])


def _basis(past: Past) -> str:
    if past.n < FEWEST:
        return "too_few"
    return "firm" if past.n >= FIRM_FROM and len(past.semesters) >= FIRM_SEMESTERS else "provisional"


@dataclass(frozen=True)
class Measures:
    """What the values of one kind and time are measured by, MPa; null with a reason where the history does not give it."""

    mean: float | None = None
    sd: float | None = None
    median: float | None = None
    robust_sd: float | None = None
    pooled: float | None = None
    sd_within: float | None = None
    reason_code: str | None = None
    reason: str | None = None


def _measures(past: Past, basis: str, pool: Pool | None) -> Measures:
    if basis == "too_few":
        return Measures(**reason("short_history", n=past.n, needed=FEWEST))
    if len(past.limits):
        return Measures(**reason("history_with_bounds"))
    mean, median = float(np.mean(past.values)), float(np.median(past.values))
    if past.values[0] == past.values[-1]:
        return Measures(mean, 0.0, **reason("identical_history"))
    told = {} if (mad := float(np.median(np.abs(past.values - median)))) else reason("no_robust_spread")
    pooled = (pooled_mean(mean, past.n, pool), sqrt(pool.within)) if pool else (None, None)
    return Measures(mean, float(np.std(past.values, ddof=1)), median, _MAD_TO_SD * mad, *pooled, **told)


def _index(value: float, is_bound: bool, past: Past, basis: str, by: Measures) -> dict[str, Any]:
    """The columns of one value, from n_history to reason."""
    is_ranked = basis != "too_few" and isfinite(value)
    percentile, is_open = _percentile(value, is_bound, past) if is_ranked else (None, False)
    told = {"reason_code": by.reason_code, "reason": by.reason} if isfinite(value) else reason("no_estimate_to_compare")
    return {
        "n_history": past.n,
        "n_history_semesters": len(past.semesters),
        "history_semesters": ";".join(past.semesters) or None,
        "history_mean_mpa": by.mean,
        "history_sd_mpa": by.sd,
        "anomaly_mpa": _drier_by(by.mean, value, 1.0),
        "z": _drier_by(value, by.mean, by.sd),
        "robust_z": _drier_by(value, by.median, by.robust_sd),
        "pooled_mean_mpa": by.pooled,
        "pooled_z": _drier_by(value, by.pooled, by.sd_within),
        "percentile": percentile,
        "index_is_bound": is_ranked and (is_bound or is_open),
        "history_basis": basis,
        **told,
    }


def _percentile(value: float, is_bound: bool, past: Past) -> tuple[float, bool]:
    """Share of the history that was surely wetter, percent, ties half, and whether bounds of the history leave more of it open."""
    drier = int(np.searchsorted(past.values, value, side="left"))
    alike = int(np.searchsorted(past.values, value, side="right")) - drier
    wetter = len(past.values) - drier - (0 if is_bound else alike / 2)
    n_open = len(past.limits) - int(np.searchsorted(past.limits, value, side="right"))
    return 100 * wetter / past.n, n_open > 0


def _drier_by(value: float | None, middle: float | None, spread: float | None) -> float | None:
    """How far a value lies below the middle, in spreads, positive where drier; null where one of them is not known."""
    if value is None or middle is None or not spread or not isfinite(value) or not isfinite(middle):
        return None
    return (middle - value) / spread
