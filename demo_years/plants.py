"""How the simulated plants answer to soil and air: predawn near the soil, midday on a line below it.

The line is that of Martinez-Vilalta et al. 2014, New Phytologist 204:105: midday = L + s predawn, with s near 0
where stomata hold the leaf's potential and near 1 where it follows the soil. The numbers are invented.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from random import Random

from demo_years.soil import Profile, afternoon_vapour_deficit_kpa, remaining_share
from demo_years.weather import Day

LATITUDE_DEG = 38.4

# TAW = 1000 (FC - WP) Zr: thin soil on the crown (0.25 m), deep soil below. Woody roots reach water in fissures and below.
HERBACEOUS = {
    "crown": Profile(available_mm=32, caught_share=0.85),
    "brow": Profile(available_mm=58, caught_share=0.80),
    "swale": Profile(available_mm=180, caught_share=1.25, rise_mm=0.7),
    "bottom": Profile(available_mm=225, caught_share=1.05, rise_mm=1.6),
}
WOODY = {
    "crown": Profile(available_mm=130, caught_share=0.85, rise_mm=0.6),
    "brow": Profile(available_mm=150, caught_share=0.80, rise_mm=0.8),
    "swale": Profile(available_mm=260, caught_share=1.25, rise_mm=1.2),
    "bottom": Profile(available_mm=330, caught_share=1.05, rise_mm=1.8),
}


@dataclass(frozen=True)
class Response:
    """How one kind of plant answers: predawn offset below the soil and midday line (MPa; slope without unit)."""

    is_woody: bool
    offset_mpa: float
    intercept_mpa: float
    slope: float


RESPONSES = {
    "ange": Response(False, -0.05, -0.95, 0.95),
    "scsc": Response(False, -0.08, -1.05, 1.00),
    "sonu": Response(False, -0.05, -0.90, 0.95),
    "pasm": Response(False, -0.10, -1.20, 0.85),
    "elca": Response(False, -0.08, -1.10, 0.85),
    "somi": Response(False, -0.05, -0.75, 0.75),
    "hepa": Response(False, -0.05, -0.60, 0.80),
    "amca": Response(True, -0.05, -1.00, 0.80),
    "rhgl": Response(True, -0.05, -0.85, 0.55),
    "codr": Response(True, -0.08, -1.10, 0.65),
    "quma": Response(True, -0.10, -1.45, 0.60),
    "juni": Response(True, -0.08, -1.00, 0.45),
}
WINDOW_PULL = {"predawn": 0.0, "morning": 0.55, "midday": 1.0}


def soil_potential_mpa(share_left: float) -> float:
    """Potential of the soil that a plant meets before dawn, MPa, from the share of water left: steep near the end."""
    return max(-2.5, -0.15 / math.pow(max(share_left, 0.02), 0.95))


class Meadow:
    """Soil and air at every site on every day, and what a leaf would show in them."""

    def __init__(self, days: list[Day]) -> None:
        self._left = {
            (woody, site): remaining_share(days, profile, LATITUDE_DEG)
            for woody, profiles in ((False, HERBACEOUS), (True, WOODY))
            for site, profile in profiles.items()
        }
        self._deficit = {day.day: afternoon_vapour_deficit_kpa(day.highest_c, day.lowest_c) for day in days}

    def share_left(self, site: str, day: date, *, is_woody: bool) -> float:
        """Share of the available water left at a site, 0 to 1."""
        return self._left[is_woody, site][day]

    def plant_mpa(self, taxon: str, site: str, day: date, window: str, own: float) -> float:
        """Water potential of a plant, MPa; `own` is its lasting difference from its kind, in standard deviations."""
        answer = RESPONSES[taxon]
        predawn = soil_potential_mpa(self.share_left(site, day, is_woody=answer.is_woody)) + answer.offset_mpa
        predawn *= 1 + 0.14 * own
        pull = min(1.5, max(0.45, 0.45 + 0.28 * self._deficit[day]))
        midday = answer.intercept_mpa * pull + answer.slope * predawn + 0.07 * own
        return predawn + WINDOW_PULL[window] * (min(midday, predawn - 0.1) - predawn)


def leaf_mpa(plant_mpa: float, rng: Random) -> float:
    """Water potential of one leaf of a plant, MPa: leaves differ more where the plant is dry."""
    return min(-0.08, plant_mpa + rng.gauss(0.0, 0.05 + 0.05 * abs(plant_mpa)))
