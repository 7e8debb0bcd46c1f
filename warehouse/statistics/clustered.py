"""A line or plane through potentials that hang together within a date or a semester, some of them bounds; robust standard errors.

Readings of one date share its weather, so that they are no independent witnesses of what weather does. Least squares, or censored
regression where plants are bounds, gives the coefficients; their covariance adds up what each cluster contributes as a whole (the
sandwich of Liang & Zeger 1986, Biometrika 73:13, times G / (G - 1)).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi, sqrt

import numpy as np
from scipy.special import log_ndtr

from warehouse.statistics.censored_likelihood import Bools, Floats, fit


@dataclass(frozen=True)
class Clustered:
    """Coefficients of the design's columns, MPa per unit of each, their covariance, and the number of clusters."""

    coefficients: Floats
    covariance: Floats
    n_clusters: int


def clustered_fit(design: Floats, potentials_mpa: Floats, is_bound: Bools, clusters: Sequence[str]) -> Clustered:
    """Fit potential ~ Normal(design @ coefficients, sd); a plant that is a bound lies below its value.

    Args:
        design: one row per plant, full rank, no column of zeros.
        potentials_mpa: values or bounds, MPa.
        is_bound: True where the plant is drier than its value.
        clusters: the date or semester of each; two or more.

    Raises:
        ArithmeticError: the values lie on the plane and bounds forbid a fit, or no maximum was found.
    """
    size = np.abs(design).max(axis=0)
    design = design / size  # columns alike in size keep the arithmetic sound
    names, place = np.unique(np.asarray(clusters, dtype=str), return_inverse=True)
    if is_bound.any():
        coefficients, bread, scores, to_coefficients = _censored(design, potentials_mpa, is_bound)
    else:
        coefficients = np.linalg.lstsq(design, potentials_mpa, rcond=None)[0]
        bread = np.linalg.inv(design.T @ design)
        scores, to_coefficients = design * (potentials_mpa - design @ coefficients)[:, None], np.eye(design.shape[1])
    sums = np.zeros((len(names), scores.shape[1]))
    np.add.at(sums, place, scores)
    meat = sums.T @ sums * len(names) / (len(names) - 1)
    covariance = to_coefficients @ bread @ meat @ bread @ to_coefficients.T
    return Clustered(coefficients / size, covariance / np.outer(size, size), len(names))


def _censored(design: Floats, potentials: Floats, is_bound: Bools) -> tuple[Floats, Floats, Floats, Floats]:
    """Coefficients, inverse information and scores in Olsen's terms (coefficients / sd, 1 / sd), and the way back from these."""
    scale = float(np.abs(potentials).max()) or 1.0
    pressures = -potentials / scale  # a bound lies above its pressure
    found = fit(design, pressures, is_bound)
    precision = 1 / found.sd
    theta = np.append(found.coefficients * precision, precision)
    rows = np.column_stack([-design, pressures])
    z = rows @ theta
    hazard = np.exp(-(z**2) / 2 - log_ndtr(-z)) / sqrt(2 * pi)
    scores = -rows * np.where(is_bound, hazard, z)[:, None]
    scores[:, -1] += np.where(is_bound, 0.0, found.sd)
    back = np.column_stack([np.eye(design.shape[1]), -found.coefficients]) * (-scale / precision)
    return -found.coefficients * scale, found.covariance, scores, back
