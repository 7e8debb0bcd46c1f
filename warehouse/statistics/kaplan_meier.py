"""The share of plants above each balance pressure, where some are known only to lie above a limit (Kaplan & Meier 1958, JASA 53:457)."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from warehouse.statistics.censored_likelihood import Bools, Floats

_SLACK = 1e-12


@dataclass(frozen=True)
class Curve:
    """Kaplan-Meier: the pressures that were reached, in order, and the share of plants above each of them."""

    pressures: Floats
    shares_above: Floats


def curve(pressures: Floats, is_bound: Bools) -> Curve:
    """Share of plants above each pressure at which one was reached: product of (1 - reached / at risk); Kaplan & Meier 1958."""
    reached, n_reached = np.unique(pressures[~is_bound], return_counts=True)
    at_risk = len(pressures) - np.searchsorted(np.sort(pressures), reached, side="left")
    return Curve(reached, np.cumprod(1 - n_reached / at_risk))


def pressure_at(found: Curve, share_above: float) -> float:
    """The pressure that this share of plants lies above; infinite where fewer plants were ever reached.

    The first step at or below the share (with 1e-12 of slack); where the curve lies flat at the share, the middle of that step,
    as R has it. A flat step that no later value ends has no middle.
    """
    below = np.flatnonzero(found.shares_above <= share_above + _SLACK)
    if not len(below):
        return inf
    first = below[0]
    if found.shares_above[first] < share_above - _SLACK:
        return float(found.pressures[first])
    return float(found.pressures[first] + found.pressures[first + 1]) / 2 if first + 1 < len(found.pressures) else inf


def restricted_mean(found: Curve, upper: float) -> float:
    """Mean pressure if none were above `upper`: the area under the curve up to there. The mean itself is no lower."""
    steps = np.concatenate([[0.0], found.pressures, [upper]])
    return float(np.diff(steps) @ np.concatenate([[1.0], found.shares_above]))
