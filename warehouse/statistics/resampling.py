"""Bootstrap intervals of differences and ratios of means: bias corrected and accelerated, over plants or students, with a fixed seed.

Every resample of n plants is a row of weights that is drawn once for each n, so that a group costs one product of a matrix with
a vector. Efron 1987, J. Am. Stat. Assoc. 82:171; several samples as in Davison & Hinkley 1997, section 5.3 (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import isfinite, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

Floats = NDArray[np.float64]
RESAMPLES = 9999
POOR_BELOW = 8  # plants on a side: the interval is then rough, mostly too narrow
MOST_PLANTS = 40  # on a side: the interval of a mean of more is that of Student's t, and the weights of all sizes up to it take 65 MB
_SEED = 19870301
_DRAWS_AT_ONCE = 1_000_000
_SHIFT = 1237  # prime to RESAMPLES: samples of one size meet other rows of the same weights


@lru_cache(maxsize=MOST_PLANTS)
def _weights(n: int) -> Floats:
    """The share of each of n plants in each resample; a row adds up to 1."""
    drawn = np.random.default_rng([_SEED, n]).integers(0, n, (RESAMPLES, n))
    cells = (drawn + n * np.arange(RESAMPLES)[:, None]).ravel()
    return np.bincount(cells, minlength=RESAMPLES * n).reshape(RESAMPLES, n) / n


def bca_interval(samples: Sequence[tuple[Floats, float]], level: float = 0.95) -> tuple[float, float] | None:
    """Interval of the sum of weight times mean over samples that are drawn apart from each other.

    Args:
        samples: the plants' values of each sample, and its weight: 1 and -1 for a difference.
        level: of the interval.

    Returns:
        its ends, in the unit of the values; None where nothing varies, or a sample is larger than `MOST_PLANTS` or of one plant.
    """
    if any(not 2 <= len(values) <= MOST_PLANTS for values, _ in samples):
        return None
    estimate = sum(weight * float(values.mean()) for values, weight in samples)
    deviations = np.zeros(RESAMPLES)
    cubes, squares = 0.0, 0.0
    for place, (values, weight) in enumerate(samples):
        centred = values - values.mean()
        resampled = _weights(len(values)) @ (weight * centred)
        turn = place * _SHIFT % RESAMPLES
        deviations[turn:] += resampled[: RESAMPLES - turn]
        deviations[:turn] += resampled[RESAMPLES - turn :]
        # The jackknife's influence of each plant, over the sample's size.
        influence = weight * centred / len(values)
        cubes += float((influence**3).sum())
        squares += float((influence**2).sum())
    if not squares > 0 or not isfinite(squares):
        return None
    acceleration = cubes / (6 * squares**1.5)
    # A resample with every plant once ties with the estimate, but for rounding.
    ends = _corrected(deviations, 1e-9 * sqrt(squares), acceleration, level)
    return None if ends is None else (ends[0] + estimate, ends[1] + estimate)


def bca_of_ratio(above: Floats, below: Floats, level: float = 0.95) -> tuple[float, float] | None:
    """Interval of the mean of `above` over the mean of `below`, two values of each unit (a student), which are drawn together.

    Returns:
        its ends; None where nothing varies, or a resample or the sample without one unit has nothing below.
    """
    n, drawer = len(above), np.random.default_rng([_SEED, len(above)])
    left_out = below.sum() - below
    if n < 2 or not left_out.min() > 0:
        return None
    estimate = float(above.sum() / below.sum())
    deviations = np.empty(RESAMPLES)
    block = max(1, _DRAWS_AT_ONCE // n)
    for start in range(0, RESAMPLES, block):
        drawn = drawer.integers(0, n, (min(block, RESAMPLES - start), n))
        under = below[drawn].sum(axis=1)
        if not under.min() > 0:
            return None
        deviations[start : start + len(drawn)] = above[drawn].sum(axis=1) / under - estimate
    without_one = (above.sum() - above) / left_out
    influence = without_one.mean() - without_one
    squares = float((influence**2).sum())
    if not squares > 1e-24 * max(estimate**2, 1.0) or not isfinite(squares):
        return None
    ends = _corrected(deviations, 1e-9 * sqrt(squares), float((influence**3).sum()) / (6 * squares**1.5), level)
    return None if ends is None else (ends[0] + estimate, ends[1] + estimate)


def _corrected(deviations: Floats, slack: float, acceleration: float, level: float) -> tuple[float, float] | None:
    """The two deviations of resamples from the estimate that make the interval; what differs by less than `slack` from 0 ties with it."""
    deviations.sort()
    below = (np.searchsorted(deviations, -slack) + np.searchsorted(deviations, slack, side="right")) / (2 * RESAMPLES)
    bias = float(ndtri(below))
    z = bias + ndtri(np.array([(1 - level) / 2, (1 + level) / 2]))
    shares = ndtr(bias + z / (1 - acceleration * z))
    if not np.all(np.isfinite(shares)):
        return None
    low, high = np.interp(shares * (RESAMPLES - 1), np.arange(RESAMPLES), deviations)
    return float(low), float(high)
