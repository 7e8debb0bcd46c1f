"""The REML criterion of a linear mixed model, its minimum, and the precision there.

y = X b + sum of Z_k u_k + e. Each random factor's covariance is relative to the residual variance s2: a ratio of variances where
only the intercept varies (0 is allowed, and then exact), the entries of a lower triangle where a slope varies too. Criterion and
solution after Bates, Maechler, Bolker & Walker 2015, J. Stat. Softw. 67(1), eq. 34 to 42.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log, pi, sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Levels = NDArray[np.signedinteger[Any]]
_STEP = 1e-3  # of a ratio, for its derivatives
_NEAR_ZERO = 1e-6  # a ratio of variances that no data could tell from 0
_FLAT = 0.02  # of the criterion, per doubling or so of a ratio: differences in steps leave some noise


@dataclass(frozen=True)
class Factor:
    """A random factor: the level of each row, counted from 0, and the columns whose effect varies by level (ones: the intercept)."""

    level: Levels
    columns: Floats

    @property
    def n_levels(self) -> int:
        """How many levels there are."""
        return int(self.level.max()) + 1


@dataclass(frozen=True)
class Solved:
    """The model at given ratios: `logs` are the criterion's log determinants, `spread` is (X' V^-1 X)^-1 where V is relative to s2."""

    logs: float
    rss: float
    coefficients: Floats
    spread: Floats


class Criterion:
    """The REML criterion of one data set, -2 log of the restricted likelihood, as a function of the ratios.

    The factor with the most levels is eliminated block by block, so that thousands of plants cost little; slopes may vary by it alone.
    """

    def __init__(self, y: Floats, x: Floats, factors: Sequence[Factor]) -> None:
        self.n, self.n_fixed = x.shape
        self.factors = factors
        first, rest = factors[0], factors[1:]
        dummies = [np.equal.outer(factor.level, np.arange(factor.n_levels)).astype(float) for factor in rest]
        self._sizes = [factor.n_levels for factor in rest]
        every = np.hstack([*dummies, x, y[:, None]])
        self._cross = every.T @ every
        n, width = first.n_levels, first.columns.shape[1]
        self._width, self._corner = width, np.tril_indices(width)
        self._own = np.zeros((n, width, width))
        np.add.at(self._own, first.level, first.columns[:, :, None] * first.columns[:, None, :])
        self._shared = np.zeros((n, width, every.shape[1]))
        np.add.at(self._shared, first.level, first.columns[:, :, None] * every[:, None, :])

    @property
    def starts(self) -> Floats:
        """Ratios to start from: variances alike, nothing correlated."""
        return np.concatenate([np.eye(self._width)[self._corner], np.ones(len(self._sizes))])

    @property
    def bounds(self) -> list[tuple[float | None, None]]:
        """A variance is not negative; entries off the triangle's diagonal are free."""
        return [(0.0 if start else None, None) for start in self.starts]

    def at(self, ratios: Floats) -> Solved:
        """Solve for the fixed effects at these ratios.

        Raises:
            numpy.linalg.LinAlgError: the fixed columns are not independent, or they leave no residual.
        """
        width, n_first = self._width, len(self._corner[0])
        root = np.zeros((width, width))
        root[self._corner] = ratios[:n_first] if width > 1 else np.sqrt(ratios[:1])
        scale = np.concatenate([np.repeat(np.sqrt(ratios[n_first:]), self._sizes), np.ones(self.n_fixed + 1)])
        block = np.linalg.cholesky(root.T @ self._own @ root + np.eye(width))
        shared = root.T @ self._shared * scale
        shared = (shared / block if width == 1 else np.linalg.solve(block, shared)).reshape(-1, scale.size)
        whole = self._cross * np.outer(scale, scale) - shared.T @ shared
        n_rest = sum(self._sizes)
        whole[np.arange(n_rest), np.arange(n_rest)] += 1
        lower = np.linalg.cholesky(whole)
        fixed = slice(n_rest, n_rest + self.n_fixed)
        inverse = np.linalg.inv(lower[fixed, fixed])
        logs = 2 * (np.log(np.diagonal(block, axis1=1, axis2=2)).sum() + np.log(np.diagonal(lower)[:-1]).sum())
        return Solved(float(logs), float(lower[-1, -1] ** 2), inverse.T @ lower[-1, fixed], inverse.T @ inverse)

    def value(self, ratios: Floats) -> float:
        """The criterion with s2 at its best for these ratios."""
        solved, df = self.at(ratios), self.n - self.n_fixed
        return float(solved.logs + df * (1 + log(2 * pi * solved.rss / df)))

    def minimum(self) -> Floats | None:
        """The ratios at the minimum; None where the search does not arrive."""
        from scipy.optimize import minimize

        options = {"ftol": 1e-10, "gtol": 1e-7, "maxiter": 200}
        found = minimize(self.value, self.starts, method="L-BFGS-B", bounds=self.bounds, options=options)
        bounded = np.array([low is not None for low, _ in self.bounds])
        # Where the criterion still falls towards a variance of 0, that is where its minimum is.
        at_zero = bounded & (found.x < _NEAR_ZERO) & (found.jac > 0)
        slope = np.where(at_zero, 0.0, found.jac) * np.maximum(np.abs(found.x), 0.1)
        return np.where(at_zero, 0.0, found.x) if np.isfinite(found.fun) and np.all(np.abs(slope) < _FLAT) else None


def satterthwaite(criterion: Criterion, ratios: Floats) -> Floats:
    """Degrees of freedom of each fixed effect (Satterthwaite 1946, Biometrics Bull. 2:110), variances at 0 taken as known.

    df = 2 f^2 / (g' A g), with f the effect's variance, g its derivatives by the ratios and log s2, and A the inverse of half the
    criterion's second derivatives.

    Raises:
        numpy.linalg.LinAlgError: the criterion is flat at its minimum.
    """
    free = [place for place, (low, _) in enumerate(criterion.bounds) if low is None or ratios[place] > 0]
    best, df = criterion.at(ratios), criterion.n - criterion.n_fixed
    s2 = best.rss / df
    steps = np.zeros((len(free), len(ratios)))
    for row, place in enumerate(free):
        size = _STEP * max(abs(ratios[place]), 0.01)
        steps[row, place] = min(size, ratios[place] / 2) if criterion.bounds[place][0] is not None else size
    widths = steps.sum(axis=1)
    up = [criterion.at(ratios + step) for step in steps]
    down = [criterion.at(ratios - step) for step in steps]

    def height(solved: Solved) -> float:
        return float(solved.logs + solved.rss / s2)

    m = len(free)
    curve = np.zeros((m + 1, m + 1))
    for i in range(m):
        curve[i, i] = (height(up[i]) - 2 * height(best) + height(down[i])) / widths[i] ** 2
        curve[i, m] = curve[m, i] = (down[i].rss - up[i].rss) / (2 * widths[i] * s2)
        for j in range(i):
            corners = [height(criterion.at(ratios + a * steps[i] + b * steps[j])) for a, b in ((1, 1), (1, -1), (-1, 1), (-1, -1))]
            curve[i, j] = curve[j, i] = (corners[0] - corners[1] - corners[2] + corners[3]) / (4 * widths[i] * widths[j])
    curve[m, m] = df
    np.linalg.cholesky(curve)
    precision = 2 * np.linalg.inv(curve)
    variances = s2 * np.diagonal(best.spread)
    rises = [
        s2 * (np.diagonal(high.spread) - np.diagonal(low.spread)) / (2 * width) for high, low, width in zip(up, down, widths, strict=True)
    ]
    slopes = np.vstack([*rises, variances])
    return np.asarray(2 * variances**2 / np.einsum("ik,ij,jk->k", slopes, precision, slopes))


def deviations(ratios: Floats, width: int, residual_sd: float) -> list[float]:
    """Standard deviations of the random effects, in their order, in the unit of y."""
    n_first = width * (width + 1) // 2
    root = np.zeros((width, width))
    root[np.tril_indices(width)] = ratios[:n_first] if width > 1 else np.sqrt(ratios[:1])
    first = np.sqrt((root**2).sum(axis=1))
    return [residual_sd * float(sd) for sd in (*first, *(sqrt(ratio) for ratio in ratios[n_first:]))]
