"""Maximum likelihood where some values are bounds: a normal linear model of right-censored responses (Tobin 1958).

One likelihood serves a mean, a difference of two groups and a regression. In Olsen's terms (1978, Econometrica 46:1211),
the coefficients over sd and 1 over sd, it has one maximum, which Newton's method finds from any start.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import expm1, log, pi, sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr, stdtrit

Floats = NDArray[np.floating[Any]]
Bools = NDArray[np.bool_]
_LOG_ROOT_2PI = 0.5 * log(2 * pi)
_MOST_STEPS, _CLOSE, _ABSURD = 200, 1e-10, 1e150
_COLLAPSED = 1e7  # an sd this many times smaller than the responses is none


class NoSpread(ArithmeticError):
    """The values fit the model exactly, so that their likelihood has no maximum."""


@dataclass(frozen=True)
class Fit:
    """A maximum: the coefficient of each column of the design, the sd about them, and the covariance of (coefficients / sd, 1 / sd)."""

    coefficients: Floats
    sd: float
    log_likelihood: float
    covariance: Floats


def fit(design: Floats, responses: Floats, is_bound: Bools) -> Fit:
    """Fit responses ~ Normal(design @ coefficients, sd), a bound being a response that lies above its value.

    Args:
        design: one row per response, any number of columns, full rank.
        responses: values, or what they lie above, in any unit.
        is_bound: True where the response is above its value.

    Raises:
        NoSpread: the values lie on the model, and the bounds below it.
        ArithmeticError: no maximum was found, as where a column is known through bounds alone.
    """
    scale = float(np.max(np.abs(responses))) or 1.0
    if scale > _ABSURD:
        raise ArithmeticError("responses whose squares have no number")
    scaled, events = responses / scale, int(np.sum(~is_bound))
    theta = np.append(np.linalg.lstsq(design, scaled, rcond=None)[0], 1.0)
    value, gradient, hessian = _log_likelihood(theta, design, scaled, is_bound)
    for _ in range(_MOST_STEPS):
        step = np.linalg.solve(hessian, -gradient)
        theta, value, gradient, hessian = _climbed(theta, step, value, design, scaled, is_bound)
        if theta[-1] > _COLLAPSED:
            raise NoSpread
        if np.max(np.abs(step) / (1 + np.abs(theta))) < _CLOSE:
            sd = scale / float(theta[-1])
            unit = np.append(np.ones(design.shape[1]), 1 / scale)
            return Fit(theta[:-1] * sd, sd, value - events * log(scale), np.linalg.inv(-hessian) * np.outer(unit, unit))
    raise ArithmeticError("no maximum of the likelihood")


def _climbed(
    theta: Floats, step: Floats, value: float, design: Floats, responses: Floats, is_bound: Bools
) -> tuple[Floats, float, Floats, Floats]:
    """The step, halved until it climbs and 1 / sd stays above 0."""
    for _ in range(60):
        ahead = theta + step
        if ahead[-1] > 0:
            found = _log_likelihood(ahead, design, responses, is_bound)
            if found[0] >= value - 1e-12 * abs(value):
                return ahead, *found
        step = step / 2
    raise ArithmeticError("no maximum of the likelihood")


def _log_likelihood(theta: Floats, design: Floats, responses: Floats, is_bound: Bools) -> tuple[float, Floats, Floats]:
    """Value, gradient and Hessian by theta = (coefficients / sd, 1 / sd)."""
    rows = np.column_stack([-design, responses])  # z = rows @ theta
    z, precision = rows @ theta, float(theta[-1])
    log_above = log_ndtr(-z)
    hazard = np.exp(-(z**2) / 2 - _LOG_ROOT_2PI - log_above)
    events = int(np.sum(~is_bound))
    value = float(np.sum(np.where(is_bound, log_above, -(z**2) / 2 - _LOG_ROOT_2PI))) + events * log(precision)
    gradient = -rows.T @ np.where(is_bound, hazard, z)
    hessian = -(rows.T * np.where(is_bound, hazard * (hazard - z), 1.0)) @ rows
    gradient[-1] += events / precision
    hessian[-1, -1] -= events / precision**2
    return value, gradient, hessian


def profile_interval(design: Floats, responses: Floats, is_bound: Bools, column: int, best: Fit) -> tuple[float, float]:
    """95 % profile-likelihood interval of one column's coefficient: all values that are not too unlikely, in the responses' unit.

    The cut is the one that gives Student's t interval where no response is a bound, with responses less columns as degrees of
    freedom; the usual cut, by chi-squared, holds for large groups and is too narrow for a class's.
    """
    from scipy.optimize import brentq

    degrees = len(responses) - design.shape[1]
    half_width = float(stdtrit(degrees, 0.975))

    def beyond(value: float) -> float:
        return t_of(best, restricted(design, responses, is_bound, column, value), len(responses), degrees) - half_width

    middle, reach = float(best.coefficients[column]), best.sd / sqrt(len(responses))
    ends = []
    for side in (-reach, reach):
        far = half_width * side
        while beyond(middle + far) < 0:
            far *= 2
        ends.append(float(brentq(beyond, middle, middle + far, xtol=1e-9 * best.sd)))
    return ends[0], ends[1]


def restricted(design: Floats, responses: Floats, is_bound: Bools, column: int, value: float) -> Fit:
    """The fit with one column's coefficient held at a value."""
    return fit(np.delete(design, column, axis=1), responses - value * design[:, column], is_bound)


def t_of(best: Fit, held: Fit, n: int, degrees: int) -> float:
    """The size of Student's t that the drop of the likelihood amounts to, exactly so where none of the n responses is a bound."""
    drop = max(0.0, best.log_likelihood - held.log_likelihood)
    return sqrt(degrees * expm1(2 * drop / n))
