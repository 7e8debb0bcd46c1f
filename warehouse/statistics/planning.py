"""How many plants and leaves show a difference between two sites: power of the comparison of plant means.

With p plants a site and m leaves a plant, the mean of a site has the variance (sd_plant² + sd_leaf² / m) / p, and the difference
of two sites twice that. Two-sided test of Student at 5 % with 2 (p - 1) degrees of freedom; power by the noncentral t (Cohen 1988,
Statistical Power Analysis, ch. 2).
"""

from __future__ import annotations

from math import inf, isnan, sqrt

from scipy.special import nctdtr, stdtrit

ALPHA = 0.05
MOST_PLANTS = 1000


def sd_of_plant_means(sd_plant_mpa: float, sd_leaf_mpa: float, leaves: int) -> float:
    """Standard deviation of plant means, MPa, where `leaves` leaves of each plant are averaged."""
    return sqrt(sd_plant_mpa**2 + sd_leaf_mpa**2 / leaves)


def power(difference_mpa: float, sd_mpa: float, plants: int) -> float:
    """Chance that two sites with `plants` plants each show a true difference; `sd_mpa` is that of plant means.

    For fewer than two plants there is no test, and the power is 0.
    """
    if plants < 2:
        return 0.0
    if sd_mpa <= 0:
        return 1.0
    df = 2.0 * (plants - 1)
    shift = abs(difference_mpa) / (sd_mpa * sqrt(2 / plants))
    limit = float(stdtrit(df, 1 - ALPHA / 2))
    lower = float(nctdtr(df, shift, -limit))
    return 1 - float(nctdtr(df, shift, limit)) + (0.0 if isnan(lower) else lower)  # scipy has NaN for a far tail that is 0


def plants_needed(difference_mpa: float, sd_mpa: float, wanted: float) -> int | None:
    """The fewest plants a site that reach the wanted power; None where more than 1000 were needed."""
    low, high = 1, 2
    while power(difference_mpa, sd_mpa, high) < wanted:
        low, high = high, high * 2
        if low > MOST_PLANTS:
            return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if power(difference_mpa, sd_mpa, middle) >= wanted else (middle, high)
    return high if high <= MOST_PLANTS else None


def difference_seen(sd_mpa: float, plants: int, wanted: float) -> float:
    """The smallest true difference, MPa, that two sites with `plants` plants each show with the wanted power."""
    if plants < 2:
        return inf
    low, high = 0.0, max(sd_mpa, 1e-6)
    while power(high, sd_mpa, plants) < wanted:
        high *= 2
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if power(middle, sd_mpa, plants) >= wanted else (middle, high)
    return high
