"""How far two observers agree on the same leaf or plant: intraclass correlation, Bland-Altman limits, repeatability.

A leaf can be pressed only once or twice, since it dries and is rewetted at its cut. So these figures tell of the observer alone
only where both read the same endpoint side by side; else they tell of leaf and observer together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from scipy.special import fdtri, stdtrit

LEAST_PAIRED = 5  # leaves or plants; fewer say nothing about agreement
Table = dict[str, dict[str, float]]  # what was read, by observer: the reading, MPa


@dataclass(frozen=True)
class Intraclass:
    """Intraclass correlations of single readings, without unit; a negative one is shown as it is."""

    icc_1_1: float | None
    icc_2_1: float | None
    icc_3_1: float | None
    icc_2_1_low: float | None
    icc_2_1_high: float | None


@dataclass(frozen=True)
class Limits:
    """Bland and Altman's limits of agreement, MPa: the differences are the first observer's readings minus the second's."""

    bias_mpa: float
    bias_se_mpa: float
    limit_low_mpa: float
    limit_high_mpa: float
    limit_se_mpa: float
    trend: float | None
    trend_low: float | None
    trend_high: float | None


def intraclass(table: Sequence[Sequence[float]]) -> Intraclass | None:
    """ICC(1,1), (2,1) and (3,1) of a complete table, a row for each leaf and a column for each observer; None without any spread.

    The 95 % interval is that of ICC(2,1), which takes the observers as a sample and counts their bias as disagreement.

    Source: Shrout & Fleiss 1979, Psychol. Bull. 86:420; interval as in McGraw & Wong 1996, Psychol. Methods 1:30.
    """
    values = np.asarray(table, float)
    n, k = values.shape
    grand, rows, columns = values.mean(), values.mean(axis=1), values.mean(axis=0)
    between = k * ((rows - grand) ** 2).sum() / (n - 1)
    observers = n * ((columns - grand) ** 2).sum() / (k - 1)
    left = values - rows[:, None] - columns[None, :] + grand
    error = (left**2).sum() / ((n - 1) * (k - 1))
    within = ((values - rows[:, None]) ** 2).sum() / (n * (k - 1))
    if between + within <= 1e-20:
        return None
    two = (between - error) / (between + (k - 1) * error + k * (observers - error) / n)
    low, high = _interval(float(two), between, observers, error, n, k)
    return Intraclass(
        float((between - within) / (between + (k - 1) * within)),
        float(two),
        float((between - error) / (between + (k - 1) * error)),
        low,
        high,
    )


def _interval(icc: float, between: float, observers: float, error: float, n: int, k: int) -> tuple[float | None, float | None]:
    if error <= 1e-20:  # the observers differ by a constant, or not at all: F has no finite value
        return None, None
    ratio = observers / error
    top = (k * icc * ratio + n * (1 + (k - 1) * icc) - k * icc) ** 2
    below = (n - 1) * (k * icc * ratio) ** 2 + (n * (1 + (k - 1) * icc) - k * icc) ** 2
    df = (k - 1) * (n - 1) * top / below
    upper, lower = fdtri(n - 1, df, 0.975), fdtri(df, n - 1, 0.975)
    rest = k * observers + (k * n - k - n) * error
    return (
        float(n * (between - upper * error) / (upper * rest + n * between)),
        float(n * (lower * between - error) / (rest + n * lower * between)),
    )


def limits_of_agreement(first: Sequence[float], second: Sequence[float]) -> Limits:
    """Bias and limits (bias ± 1.96 s) of paired readings, with standard errors s/√n and √(3 s²/n), all MPa.

    `trend` is the slope of the differences on the pairs' means, with 95 % interval: where it is not 0 the limits do not hold at
    both ends; null where the means do not differ.

    Source: Bland & Altman 1986, Lancet i:307 (who took 2 s); 1.96 s as in Bland & Altman 1999, Stat. Methods Med. Res. 8:135.
    """
    one, two = np.asarray(first, float), np.asarray(second, float)
    difference, mean, n = one - two, (one + two) / 2, len(one)
    bias, s = float(difference.mean()), float(difference.std(ddof=1))
    trend: tuple[float | None, float | None, float | None] = (None, None, None)
    spread = ((mean - mean.mean()) ** 2).sum()
    if n > 2 and spread > 1e-20:
        slope = float(((mean - mean.mean()) * difference).sum() / spread)
        left = difference - bias - slope * (mean - mean.mean())
        reach = float(stdtrit(n - 2, 0.975) * np.sqrt((left**2).sum() / (n - 2) / spread))
        trend = (slope, slope - reach, slope + reach)
    return Limits(bias, s / n**0.5, bias - 1.96 * s, bias + 1.96 * s, (3 * s * s / n) ** 0.5, *trend)


def within_sd(groups: Sequence[Sequence[float]]) -> float | None:
    """Standard deviation within groups, the root of the within mean square; None where no group holds two values."""
    arrays = [np.asarray(group, float) for group in groups if len(group) > 1]
    if not arrays:
        return None
    return float((sum(((values - values.mean()) ** 2).sum() for values in arrays) / sum(len(values) - 1 for values in arrays)) ** 0.5)


def complete_table(read: Table) -> tuple[list[str], list[str]]:
    """The observers who read the most together, and what all of them read: the largest complete table, built up from a pair.

    Begins with the two observers who share the most, and takes a further one in as long as the table does not get smaller.
    """
    seen: dict[str, set[str]] = {}
    for target, readings in read.items():
        for observer in readings:
            seen.setdefault(observer, set()).add(target)
    pairs = sorted(combinations(sorted(seen), 2), key=lambda pair: -len(seen[pair[0]] & seen[pair[1]]))
    if not pairs:
        return [], []
    observers = list(pairs[0])
    shared = seen[observers[0]] & seen[observers[1]]
    while others := sorted(seen.keys() - set(observers), key=lambda name: (-len(shared & seen[name]), name)):
        further = shared & seen[others[0]]
        if len(further) * (len(observers) + 1) < len(shared) * len(observers) or len(further) < LEAST_PAIRED:
            break
        observers, shared = [*observers, others[0]], further
    return observers, sorted(shared)
