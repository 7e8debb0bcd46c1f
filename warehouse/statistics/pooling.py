"""Partial pooling of group means: a short history is drawn towards what its pool has in common.

Empirical Bayes, the best linear unbiased prediction; Robinson 1991, Stat. Sci. 6:15.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from warehouse.statistics.censored_likelihood import Floats

FEWEST_GROUPS = 3


@dataclass(frozen=True)
class Pool:
    """Mean over groups (MPa), variance between them and variance within them (MPa squared)."""

    mean: float
    between: float
    within: float


def pool_of(groups: Sequence[Floats]) -> Pool | None:
    """Mean and variance components of groups by the analysis of variance; None below 3 groups of two or more values.

    The variance between is never below 0: then all groups are taken to share one mean. Source: Searle, Casella & McCulloch
    1992, Variance Components, ch. 3 (unbalanced one-way layout, method of moments).
    """
    used = [group for group in groups if len(group) > 1]
    if len(used) < FEWEST_GROUPS:
        return None
    n = np.array([len(group) for group in used], dtype=float)
    means = np.array([float(np.mean(group)) for group in used])
    total = float(np.sum(n))
    within = float(sum(np.sum((group - mean) ** 2) for group, mean in zip(used, means, strict=True))) / (total - len(used))
    grand = float(n @ means) / total
    between_square = float(n @ (means - grand) ** 2) / (len(used) - 1)
    typical_n = (total - float(n @ n) / total) / (len(used) - 1)
    between = max(0.0, (between_square - within) / typical_n)
    if within == 0:
        return None
    weights = 1 / (between + within / n)
    return Pool(float(weights @ means) / float(np.sum(weights)), between, within)


def pooled_mean(mean: float, n: int, pool: Pool) -> float:
    """m* = mu + t2 / (t2 + s2 / n) (m - mu): the mean of n values, drawn towards the pool's the more, the fewer they are."""
    return pool.mean + pool.between / (pool.between + pool.within / n) * (mean - pool.mean)
