"""Means of plants under the choices of a reader: the published summaries where they narrow nothing, recomputed here where they do."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from dashboards.words import GROUPS, POSITIONS

if TYPE_CHECKING:
    import pandas as pd

FEWEST_FOR_AN_INTERVAL = 3
"""Two plants give an interval so wide (t of one degree of freedom is 12.7) that it says nothing."""


def position_means(plants: pd.DataFrame) -> pd.DataFrame:
    """One row per functional group and topographic position: the plants' mean, MPa, and its 95 % interval.

    The interval is Student's, mean ± t(0.975, n − 1) s/√n, with plants as the unit. A plant that is a bound has no place in
    a mean: then the middle plant stands for the group where every bound lies beyond it, and otherwise nothing does.

    Args:
        plants: rows of `plant_values`.

    Returns:
        functional_group, topographic_position, n_plants, n_leaves, n_below_limit (plants), kind (mean, median, none),
        value_mpa, ci_low_mpa, ci_high_mpa, reason.
    """
    import pandas as pd

    names = ["functional_group", "topographic_position", "water_potential_mpa", "below_limit", "n_leaves"]
    found: dict[tuple[str, str], list[tuple[float, bool, int]]] = {}
    for group, position, value, is_bound, n_leaves in zip(*(plants[name].tolist() for name in names), strict=True):
        found.setdefault((group, position), []).append((value, is_bound, n_leaves))
    rows = [
        {"functional_group": group, "topographic_position": position, **_summary(found[group, position])}
        for group in GROUPS
        for position in POSITIONS
        if (group, position) in found
    ]
    columns = ["functional_group", "topographic_position", "n_plants", "n_leaves", "n_below_limit"]
    columns += ["kind", "value_mpa", "ci_low_mpa", "ci_high_mpa", "reason"]
    return pd.DataFrame(rows, columns=columns)


def _summary(chosen: list[tuple[float, bool, int]]) -> dict[str, object]:
    """The summary of plants, each with its value in MPa, whether that is a bound, and its leaves."""
    values = sorted(value for value, _, _ in chosen)
    n = len(values)
    n_below = sum(is_bound for _, is_bound, _ in chosen)
    counts = {"n_plants": n, "n_leaves": sum(n_leaves for _, _, n_leaves in chosen), "n_below_limit": n_below}
    if n_below:
        wettest_bound = max(value for value, is_bound, _ in chosen if is_bound)
        middle = (values[(n - 1) // 2] + values[n // 2]) / 2
        is_known = values[(n - 1) // 2] > wettest_bound
        reason = f"{n_below} of {n} plants are bounds: the mean is not known"
        return counts | _value("median" if is_known else "none", middle if is_known else math.nan, math.nan, math.nan, reason)
    mean = math.fsum(values) / n
    if n < FEWEST_FOR_AN_INTERVAL:
        return counts | _value("mean", mean, math.nan, math.nan, f"fewer than {FEWEST_FOR_AN_INTERVAL} plants: no interval")
    from scipy.special import stdtrit

    variance = math.fsum((value - mean) ** 2 for value in values) / (n - 1)
    half = float(stdtrit(n - 1, 0.975)) * math.sqrt(variance / n)
    return counts | _value("mean", mean, mean - half, mean + half, "")


def _value(kind: str, value: float, low: float, high: float, reason: str) -> dict[str, object]:
    return {"kind": kind, "value_mpa": value, "ci_low_mpa": low, "ci_high_mpa": high, "reason": reason}
