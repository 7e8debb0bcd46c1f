"""How far a class's readings can be trusted: agreement of observers, spread of leaves within a plant, observers' share of variance.

A plant is the unit; readings of one leaf by one observer are averaged first. A reading that is a bound is given as None and left out:
the caller counts them.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeVar

import numpy as np
from scipy.special import fdtri

from warehouse.statistics.agreement import LEAST_PAIRED, Table, complete_table, intraclass, limits_of_agreement, within_sd
from warehouse.statistics.reasons import reason

LEAST_OBSERVERS = 5  # levels of a random factor
MOST_OBSERVERS = 100  # of one section: more is a name spelt in many ways, or a file of many classes under one name
LEAST_LEFT = 5  # degrees of freedom among plants read by one observer
NEAR_ZERO_MPA = 0.5  # a mean nearer to 0 makes a coefficient of variation meaningless
REPEATED = 1.96 * 2**0.5
Key = TypeVar("Key", bound=Hashable)


@dataclass(frozen=True)
class WithinPlant:
    """Spread of the leaves of one plant, pooled over the plants of which two leaves or more were read."""

    n_plants_repeated: int
    within_plant_sd_mpa: float | None = None
    within_plant_cv: float | None = None
    within_plant_reason_code: str | None = None
    within_plant_reason: str | None = None


@dataclass(frozen=True)
class ObserverShare:
    """Variance that goes with who read, as a share (0 to 1) of that among plants alike in kind and place."""

    n_observers: int
    observer_sd_mpa: float | None = None
    observer_share: float | None = None
    observer_share_low: float | None = None
    observer_share_high: float | None = None
    observer_reason_code: str | None = None
    observer_reason: str | None = None


@dataclass(frozen=True)
class PairedReadings:
    """Agreement on what two or more observers read: by leaf, or where no leaf was read twice by plant; potentials, MPa."""

    paired_by: str | None
    n_paired: int
    repeatability_sd_mpa: float | None = None
    repeatability_mpa: float | None = None
    n_table_observers: int | None = None
    n_table: int | None = None
    icc_1_1: float | None = None
    icc_2_1: float | None = None
    icc_3_1: float | None = None
    icc_2_1_low: float | None = None
    icc_2_1_high: float | None = None
    observer_a: str | None = None
    observer_b: str | None = None
    n_pairs: int | None = None
    bias_mpa: float | None = None
    bias_se_mpa: float | None = None
    limit_low_mpa: float | None = None
    limit_high_mpa: float | None = None
    limit_se_mpa: float | None = None
    trend: float | None = None
    trend_low: float | None = None
    trend_high: float | None = None
    reason_code: str | None = None
    reason: str | None = None


def within_plant_spread(readings_mpa: Sequence[float | None], leaves: Sequence[str], plants: Sequence[str]) -> WithinPlant:
    """Standard deviation of leaves within plants, MPa, and as a share of the mean potential (null within 0.5 MPa of 0)."""
    known = [((leaf, plant), value) for leaf, plant, value in zip(leaves, plants, readings_mpa, strict=True) if value is not None]
    of_plant: dict[str, list[float]] = {}
    for (_, plant), mean in _means(known).items():
        of_plant.setdefault(plant, []).append(mean)
    repeated = [values for values in of_plant.values() if len(values) > 1]
    sd = within_sd(repeated)
    if sd is None:
        return WithinPlant(0, **_named("within_plant", reason("no_plant_repeated")))
    mean = abs(float(np.mean([np.mean(values) for values in repeated])))
    if mean < NEAR_ZERO_MPA:
        return WithinPlant(len(repeated), sd, None, **_named("within_plant", reason("near_zero", limit=NEAR_ZERO_MPA)))
    return WithinPlant(len(repeated), sd, sd / mean)


def observer_variance(
    readings_mpa: Sequence[float | None], plants: Sequence[str], kinds: Sequence[str], observers: Sequence[str | None]
) -> ObserverShare:
    """Variance component of observers beside that of plants read by one observer, by fitting constants (Henderson's method 3).

    Plant means by observer are compared within `kinds` (plants alike in site, taxon and window), or within the plant where
    several observers read it. An estimate below 0 is given as 0. The 95 % interval is exact for balanced normal data only.

    Source: Searle, Casella & McCulloch 1992, Variance Components, section 5.5; interval as of an intraclass correlation.
    """
    rows = zip(readings_mpa, plants, kinds, observers, strict=True)
    known = [(value, plant, kind, observer) for value, plant, kind, observer in rows if value is not None and observer is not None]
    of_plant: dict[str, set[str]] = {}
    for _, plant, _, observer in known:
        of_plant.setdefault(plant, set()).add(observer)
    n_observers = len({observer for *_, observer in known})
    if n_observers < LEAST_OBSERVERS:
        code = "few_observers" if n_observers else "no_observers"
        return ObserverShare(n_observers, **_named("observer", reason(code, n=n_observers, least=LEAST_OBSERVERS)))
    if n_observers > MOST_OBSERVERS:
        return ObserverShare(n_observers, **_named("observer", reason("many_observers", n=n_observers, most=MOST_OBSERVERS)))
    cell = {(plant, observer): plant if len(of_plant[plant]) > 1 else kind for _, plant, kind, observer in known}
    value = _means([((plant, observer), reading) for reading, plant, _, observer in known])
    _, at_cell = np.unique([cell[key] for key in value], return_inverse=True)
    _, at_observer = np.unique([observer for _, observer in value], return_inverse=True)
    fit = _constants_fitted(np.array(list(value.values())), at_cell, at_observer)
    if fit is None:
        return ObserverShare(n_observers, **_named("observer", reason("observers_confounded")))
    mean_square, error, df, df_error, per_observer = fit
    if error + mean_square <= 1e-20:
        return ObserverShare(n_observers, **_named("observer", reason("no_spread")))
    component = max(0.0, (mean_square - error) / per_observer)
    low, high = (_share(mean_square / error / fdtri(df, df_error, p), per_observer) if error > 0 else None for p in (0.975, 0.025))
    return ObserverShare(n_observers, component**0.5, component / (component + error), low, high)


def _constants_fitted(values: np.ndarray, cells: np.ndarray, observers: np.ndarray) -> tuple[float, float, int, int, float] | None:
    """Mean squares of observers within cells and of error, their degrees of freedom, and the first's multiple of the component.

    None where observers and cells cannot be told apart, or too little is left for the error.
    """
    counts = np.zeros((int(observers.max()) + 1, int(cells.max()) + 1))
    np.add.at(counts, (observers, cells), 1.0)
    of_cell = np.bincount(cells, values) / counts.sum(axis=0)
    left = values - of_cell[cells]
    design = np.diag(counts.sum(axis=1)) - counts / counts.sum(axis=0) @ counts.T
    roots, vectors = np.linalg.eigh(design)
    is_free = roots > 1e-9 * max(float(roots[-1]), 1.0)
    df = int(is_free.sum())
    df_error = len(values) - counts.shape[1] - df
    if df < 1 or df_error < LEAST_LEFT:
        return None
    along = np.bincount(observers, left) @ vectors[:, is_free]
    explained = float((along**2 / roots[is_free]).sum())
    return explained / df, max(0.0, float(left @ left) - explained) / df_error, df, df_error, float(np.trace(design)) / df


def _share(ratio: float, per_observer: float) -> float:
    return float((ratio - 1) / (ratio - 1 + per_observer)) if ratio > 1 else 0.0


def paired_readings(
    readings_mpa: Sequence[float | None], leaves: Sequence[str], plants: Sequence[str], observers: Sequence[str | None]
) -> PairedReadings:
    """Agreement of observers who read the same: leaves where five or more were read by two observers, else plants.

    The intraclass correlations stand on the largest complete table, Bland and Altman's limits on the two observers who share most.
    """
    by_leaf, by_plant = (_read_by_several(readings_mpa, keys, observers) for keys in (leaves, plants))
    paired_by, read = ("leaf", by_leaf) if len(by_leaf) >= LEAST_PAIRED else ("plant", by_plant)
    if not read:
        return PairedReadings(None, 0, **reason("not_paired"))
    if len(read) < LEAST_PAIRED:
        return PairedReadings(paired_by, len(read), **reason("few_paired", n=len(read), least=LEAST_PAIRED))
    sd = within_sd([list(row.values()) for row in read.values()]) or 0.0
    found = PairedReadings(paired_by, len(read), sd, REPEATED * sd)
    names, targets = complete_table(read)
    if len(targets) < LEAST_PAIRED:
        return replace(found, **reason("no_complete_table", least=LEAST_PAIRED))
    correlations = intraclass([[read[target][name] for name in names] for target in targets])
    pairs = [(row[names[0]], row[names[1]]) for row in read.values() if names[0] in row and names[1] in row]
    limits = limits_of_agreement([pair[0] for pair in pairs], [pair[1] for pair in pairs])
    table: dict[str, Any] = {"n_table_observers": len(names), "n_table": len(targets), "observer_a": names[0], "observer_b": names[1]}
    known = replace(found, **table, n_pairs=len(pairs), **vars(limits))
    return replace(known, **reason("no_spread")) if correlations is None else replace(known, **vars(correlations))


def _read_by_several(readings: Sequence[float | None], keys: Sequence[str], observers: Sequence[str | None]) -> Table:
    rows = zip(readings, keys, observers, strict=True)
    known = [((key, observer), value) for value, key, observer in rows if value is not None and observer is not None]
    read: Table = {}
    for (key, observer), mean in _means(known).items():
        read.setdefault(key, {})[observer] = mean
    return {key: row for key, row in read.items() if len(row) > 1}


def _means(keyed: Iterable[tuple[Key, float]]) -> dict[Key, float]:
    """The mean of the values of each key, in the order in which the keys come."""
    found: dict[Key, list[float]] = {}
    for key, value in keyed:
        found.setdefault(key, []).append(value)
    return {key: sum(values) / len(values) for key, values in found.items()}


def _named(prefix: str, why: dict[str, Any]) -> dict[str, Any]:
    return {f"{prefix}_{name}": text for name, text in why.items()}
