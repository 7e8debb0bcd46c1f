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

    rows = []
    for group in GROUPS:
        for position in POSITIONS:
            chosen = plants[(plants["functional_group"] == group) & (plants["topographic_position"] == position)]
            if not chosen.empty:
                rows.append({"functional_group": group, "topographic_position": position, **_summary(chosen)})
    columns = ["functional_group", "topographic_position", "n_plants", "n_leaves", "n_below_limit"]
    columns += ["kind", "value_mpa", "ci_low_mpa", "ci_high_mpa", "reason"]
    return pd.DataFrame(rows, columns=columns)


def _summary(chosen: pd.DataFrame) -> dict[str, object]:
    values = sorted(float(value) for value in chosen["water_potential_mpa"])
    n = len(values)
    n_below = int(chosen["below_limit"].sum())
    counts = {"n_plants": n, "n_leaves": int(chosen["n_leaves"].sum()), "n_below_limit": n_below}
    if n_below:
        wettest_bound = float(chosen.loc[chosen["below_limit"], "water_potential_mpa"].max())
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
