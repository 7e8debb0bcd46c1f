"""Hedges' g, and intervals of standardised differences from the noncentral t distribution."""

from __future__ import annotations

from math import exp, isfinite, sqrt

from scipy.special import gammaln, nctdtr, nctdtrinc

_WIDEST = 1e6  # standard deviations; beyond it the numbers are absurd


def hedges_g(t: float, df: float, scale: float, level: float = 0.95) -> tuple[float, float, float] | None:
    """Effect size g = J t scale, and the ends of its interval.

    J = Gamma(df/2) / (sqrt(df/2) Gamma((df - 1)/2)) takes the bias of small samples away (Hedges 1981, J. Educ. Stat. 6:107). The
    interval holds the noncentralities under which a t as far out as this one has probability (1 - level)/2 (Steiger & Fouladi 1997).

    Args:
        t: the difference over its standard error from the pooled standard deviation; for pairs, from that of the differences.
        df: degrees of freedom of that deviation, at least 2.
        scale: sqrt(1/n1 + 1/n2); for pairs 1/sqrt(n).
        level: of the interval.

    Returns:
        g and its lower and upper end, in standard deviations; None where there are no such numbers.
    """
    if df < 2 or not isfinite(t) or abs(t * scale) > _WIDEST:
        return None
    correction = exp(float(gammaln(df / 2) - gammaln((df - 1) / 2))) / sqrt(df / 2)
    ends = noncentral_interval(t, df, level)
    return None if ends is None else (correction * scale * t, correction * scale * ends[0], correction * scale * ends[1])


def noncentral_interval(t: float, df: float, level: float = 0.95) -> tuple[float, float] | None:
    """The noncentralities under which a t as far out as this one has probability (1 - level)/2, or None where they are not found."""
    low, high = _noncentrality(t, df, (1 + level) / 2), _noncentrality(t, df, (1 - level) / 2)
    return None if low is None or high is None else (low, high)


def _noncentrality(t: float, df: float, share: float) -> float | None:
    """The noncentrality under which t is the quantile of this share."""
    found = float(nctdtrinc(df, share, t))
    return found if abs(float(nctdtr(df, found, t)) - share) < 1e-4 else None
