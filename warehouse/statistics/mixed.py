"""Linear mixed models by REML: what leaves of one plant, plants of one section and readings of one person have in common.

Plants are the unit of replication, leaves are subsamples (Hurlbert 1984, Ecol. Monogr. 54:187). Where every plant is read by one
person, its mean is all there is to use; a mixed model gives more where persons or sections stand across the plants, or where the
compared sides share some plants but not all. A general library's fit of crossed factors took ten times as long as this one and gave
up where a variance is 0, so the criterion is our own (`reml`), and the tests hold it to that library and to published fits.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import sqrt

import numpy as np
from scipy.special import stdtr, stdtrit

from warehouse.statistics.reasons import reason
from warehouse.statistics.reml import Criterion, Factor, Floats, Levels, deviations, satterthwaite

MIN_LEVELS = 5  # of a random factor: fewer tell next to nothing of its variance


@dataclass(frozen=True)
class MixedFit:
    """A fitted model: lists by fixed term ("intercept" first), then by random factor; empty where `reason` says why.

    Estimates, standard errors and deviations are in the unit of the response (per unit of a fixed column). `at_boundary` names the
    factors whose variance is estimated as 0, which is a result; `left_out` those that the data cannot tell of, with the reason.
    """

    n: int
    terms: list[str] = field(default_factory=list)
    estimates: list[float] = field(default_factory=list)
    se: list[float] = field(default_factory=list)
    df: list[float] = field(default_factory=list)
    ci_low: list[float] = field(default_factory=list)
    ci_high: list[float] = field(default_factory=list)
    p_values: list[float] = field(default_factory=list)
    factors: list[str] = field(default_factory=list)
    n_levels: list[int] = field(default_factory=list)
    sd: list[float] = field(default_factory=list)
    residual_sd: float | None = None
    reml_criterion: float | None = None
    at_boundary: list[str] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    reason_code: str | None = None
    reason: str | None = None


def mixed_model(
    response: Sequence[float],
    fixed: Mapping[str, Sequence[float]],
    random: Mapping[str, Sequence[str | None]],
    *,
    slope_varies: str | None = None,
    level: float = 0.95,
) -> MixedFit:
    """Fit response = intercept + fixed columns + a random intercept for each factor, by REML; t intervals with Satterthwaite's df.

    Args:
        response: one value per row, MPa or whatever is modelled.
        fixed: name to column, without the intercept; a factor enters as columns of 0 and 1.
        random: name to the level of each row; nested levels need names of their own ("a/1"). A factor is left out where it has under
            `MIN_LEVELS` levels, as many as rows, a row without a level, or the levels of another factor.
        slope_varies: a fixed column whose slope varies by the factor with the most levels, correlated with its intercept; its
            deviation then follows that factor's as "factor: column".
        level: of the intervals.

    Returns:
        The fit, or its reason: too few values, no spread, no factor left, columns that depend on each other, no convergence.
    """
    y, n = np.asarray(response, dtype=float), len(response)
    columns = np.column_stack([np.ones(n), *(np.asarray(column, dtype=float) for column in fixed.values())])
    kept, left_out = _usable(random, n)
    why = _refusal(y, columns, kept)
    if why is None:
        names = sorted(kept, key=lambda name: -int(kept[name].max()))
        one = np.ones((n, 1))
        varying = one if slope_varies is None else np.column_stack([one, np.asarray(fixed[slope_varies], dtype=float)])
        factors = [Factor(kept[name], varying if place == 0 else one) for place, name in enumerate(names)]
        if slope_varies is not None:
            names[1:1] = [f"{names[0]}: {slope_varies}"]
        # Both scales leave the ratios as they are and keep the arithmetic near 1.
        middle, size = float(y.mean()), float(np.std(y))
        criterion = Criterion((y - middle) / size, columns, factors)
        fitted = _fitted(criterion)
        if fitted is not None:
            ratios, df = fitted
            return _told(criterion, ratios, df, ["intercept", *fixed], names, (middle, size), left_out, level)
        why = reason("mixed_not_converged")
    return MixedFit(n, left_out=left_out, reason_code=why["reason_code"], reason=why["reason"])


def _usable(random: Mapping[str, Sequence[str | None]], n: int) -> tuple[dict[str, Levels], list[str]]:
    """Levels as whole numbers for each factor that the data can tell of, and why the others are left out."""
    kept: dict[str, Levels] = {}
    left_out = []
    for name, labels in random.items():
        if any(label is None for label in labels):
            left_out.append(f"{name} (not known for every value)")
            continue
        found, codes = np.unique(np.asarray(labels, dtype=str), return_inverse=True)
        if len(found) < MIN_LEVELS:
            left_out.append(f"{name} ({len(found)} of the {MIN_LEVELS} levels needed)")
        elif len(found) == n:
            left_out.append(f"{name} (one value each)")
        elif any(_same(codes, other) for other in kept.values()):
            left_out.append(f"{name} (cannot be told from another factor)")
        else:
            kept[name] = codes
    return kept, left_out


def _same(codes: Levels, other: Levels) -> bool:
    """Whether two factors split the rows alike."""
    n_pairs = len(np.unique(codes * (int(other.max()) + 1) + other))
    return bool(n_pairs == int(codes.max()) + 1 == int(other.max()) + 1)


def _refusal(y: Floats, columns: Floats, kept: Mapping[str, Levels]) -> dict[str, str] | None:
    n, n_fixed = columns.shape
    if n < n_fixed + 2:
        return reason("mixed_too_few", n=n)
    if not np.std(y) > 1e-12 * max(1.0, float(np.abs(y).max())):
        return reason("no_spread")
    if np.linalg.matrix_rank(columns) < n_fixed:
        return reason("mixed_not_identifiable")
    return None if kept else reason("mixed_no_factor", least=MIN_LEVELS)


def _fitted(criterion: Criterion) -> tuple[Floats, Floats] | None:
    """The ratios at the minimum and the degrees of freedom there; None where the search does not arrive or the minimum is flat."""
    try:
        ratios = criterion.minimum()
        return None if ratios is None else (ratios, satterthwaite(criterion, ratios))
    except np.linalg.LinAlgError:
        return None


def _told(
    criterion: Criterion,
    ratios: Floats,
    df: Floats,
    terms: list[str],
    factors: list[str],
    scale: tuple[float, float],
    left_out: list[str],
    level: float,
) -> MixedFit:
    """The fit in the response's own unit."""
    middle, size = scale
    solved, residual_df = criterion.at(ratios), criterion.n - criterion.n_fixed
    residual = sqrt(solved.rss / residual_df) * size
    estimates = solved.coefficients * size
    estimates[0] += middle
    se = residual * np.sqrt(np.diagonal(solved.spread))
    half = stdtrit(df, (1 + level) / 2) * se
    sd = deviations(ratios, criterion.factors[0].columns.shape[1], residual)
    return MixedFit(
        n=criterion.n,
        terms=terms,
        estimates=estimates.tolist(),
        se=se.tolist(),
        df=df.tolist(),
        ci_low=(estimates - half).tolist(),
        ci_high=(estimates + half).tolist(),
        p_values=(2 * stdtr(df, -np.abs(estimates / se))).tolist(),
        factors=factors,
        n_levels=[factor.n_levels for factor in criterion.factors for _ in range(factor.columns.shape[1])],
        sd=sd,
        residual_sd=residual,
        reml_criterion=criterion.value(ratios) + 2 * residual_df * float(np.log(size)),
        at_boundary=[name for name, found in zip(factors, sd, strict=True) if found < 1e-6 * residual],
        left_out=left_out,
    )
