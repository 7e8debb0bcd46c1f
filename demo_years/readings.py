"""What was written down for each leaf: the plant's potential, as a pair of students read it on one chamber's gauge."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from random import Random

from demo_years.classes import Section, Visit, visits
from demo_years.plants import Meadow, leaf_mpa

# Exact factors to MPa; psi from the pound, standard gravity and the inch (NIST SP 811, appendix B.8).
MPA_PER = {"MPa": 1.0, "bar": 0.1, "psi": 0.45359237 * 9.80665 / 0.0254**2 / 1e6}

IDLE_REMARKS = {
    True: ("dew on the leaf, dried", "leaf a bit small", "slow, steady pressure rise"),
    False: ("windy", "cloud passed over", "leaf a bit small", "slow, steady pressure rise", "leaf edge slightly torn"),
}  # by whether it was before dawn
CUT_REMARK = "first bubbles came from the cut"
DEAD_REMARK = "leaf was senesced"
BOUND_REMARK = "no endpoint"


@dataclass(frozen=True)
class Chamber:
    """A pressure chamber as the register has it: code, unit of its gauge, smallest step and highest pressure in that unit."""

    code: str
    unit: str
    step: float
    limit: float

    def written(self, value: float) -> str:
        """A value in the gauge's unit as its step is written."""
        return f"{value:.{0 if self.step >= 1 else 1 if self.step >= 0.1 else 2}f}"


@dataclass(frozen=True)
class Reading:
    """One leaf's reading: `pressure` in the chamber's unit as written, "" where nothing was; for a bound it is the limit."""

    visit: Visit
    chamber: Chamber
    pressure: str
    endpoint: str
    leaf_state: str
    remark: str

    @property
    def balance_pressure_mpa(self) -> float | None:
        """Balance pressure, MPa, converted from what is written; None where nothing is."""
        return float(self.pressure) * MPA_PER[self.chamber.unit] if self.pressure else None


def read_section(section: Section, chamber: Chamber, meadow: Meadow, rng: Random) -> list[Reading]:
    """Every reading of one section's field day, in the order in which it was written down."""
    return [_read(visit, chamber, meadow, rng) for visit in visits(section, rng)]


def _read(visit: Visit, chamber: Chamber, meadow: Meadow, rng: Random) -> Reading:
    plant = meadow.plant_mpa(visit.taxon, visit.site, visit.day, visit.window, visit.plant_draw)
    pressure_mpa = max(0.06, -leaf_mpa(plant, rng) + visit.observer.bias_mpa + rng.gauss(0.0, 0.03))
    chance, state, remark, endpoint = rng.random(), "green", "", "seen"
    if chance < 0.008:
        return Reading(visit, chamber, "", endpoint, state, "leaf broke in the seal")
    if chance < 0.023:
        pressure_mpa, remark, endpoint = pressure_mpa * rng.uniform(0.2, 0.5), CUT_REMARK, "doubtful"
    elif chance < 0.040 and visit.window != "predawn":
        pressure_mpa, remark, state = pressure_mpa * rng.uniform(1.2, 1.6), DEAD_REMARK, "senesced"
    elif chance < 0.085:
        remark = rng.choice(IDLE_REMARKS[visit.window == "predawn"])
    elif chance < 0.090:
        remark = f"{visit.observer.name.split()[0]} read this one twice"
    steps = max(1, round(pressure_mpa / MPA_PER[chamber.unit] / chamber.step))
    value = steps * chamber.step
    if value >= chamber.limit:
        return Reading(visit, chamber, chamber.written(chamber.limit), "not_reached", state, remark or BOUND_REMARK)
    return Reading(visit, chamber, chamber.written(value), endpoint, state, remark)


def mistyped(readings: Iterable[Reading], site: str, other: str) -> list[Reading]:
    """The readings with two sites taken for each other: what a corrected file puts right."""
    swap = {site: other, other: site}
    return [replace(one, visit=replace(one.visit, site=swap.get(one.visit.site, one.visit.site))) for one in readings]
