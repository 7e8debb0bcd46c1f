"""The students of ten invented years: what they score in a test before and after the unit, and the levels that they are given.

Names, scores and levels are invented. What students gain rises slowly over the years; some miss a test, some leave an item blank.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import exp

from demo_years.chance import stream
from demo_years.classes import FIRST_NAMES, LAST_NAMES
from demo_years.vocabulary import register_rows

ITEMS = tuple(f"Q{number}" for number in range(1, 11))
POINTS = 2
TOTAL_POINTS = POINTS * len(ITEMS)
# How hard each item is, in the units of a student's ability: the signs (Q5) and the fair contrast (Q8) are the hardest.
HARDNESS = (-0.8, -0.3, 0.1, -0.4, 0.9, 0.2, 0.3, 1.0, -0.1, 0.5)
OUTCOMES = ("wp_reading", "unit_sign", "fair_contrast", "field_record")
WITHOUT_POST = "2020-fall"
Marks = tuple[int | None, ...]


@dataclass(frozen=True)
class Learner:
    """One invented student: `scores` by phase, each item's points (None: left blank), None where he or she was not there."""

    name: str
    code: str
    semester: str
    section: str
    scores: dict[str, Marks | None]
    levels: dict[str, int | None] = field(default_factory=dict)

    @property
    def last_first(self) -> str:
        """The name as a class list has it."""
        first, last = self.name.split()
        return f"{last}, {first}"

    def total(self, phase: str) -> int | None:
        """Points of all items, blanks left out; None where the student was not there."""
        marks = self.scores[phase]
        return None if marks is None else sum(mark for mark in marks if mark is not None)


def gain_of(semester: str) -> float:
    """How much easier the items have become after the unit, in the units of ability: more from year to year."""
    return 0.5 + 0.12 * (int(semester[:4]) - 2016)


def cohort(semester: str) -> list[Learner]:
    """The students of a semester, section by section, each section in the order of its list."""
    rng = stream(f"learners {semester}")
    sections = [row["section"] for row in register_rows("sections") if row["semester"] == semester]
    size = rng.randint(14, 34)
    names = [f"{first} {last}" for first in FIRST_NAMES for last in LAST_NAMES]
    codes = rng.sample(range(100, 1000), size)
    made = []
    for number, name in enumerate(rng.sample(names, size)):
        ability = rng.gauss(0.0, 0.9)
        there = {"pre": rng.random() > 0.06, "post": rng.random() > 0.08 and semester != WITHOUT_POST}
        scores: dict[str, Marks | None] = {}
        for phase, ease in (("pre", -0.6), ("post", -0.6 + gain_of(semester))):
            marks = tuple(_mark(rng.random(), rng.random(), ability + ease - hard) for hard in HARDNESS)
            scores[phase] = marks if there[phase] else None
        levels = {code: _level(rng.random(), ability + gain_of(semester)) for code in OUTCOMES}
        code = f"S{codes[number]}"
        made.append(Learner(name, code, semester, sections[number % len(sections)], scores, levels))
    return sorted(made, key=lambda one: (one.section, one.last_first))


def _mark(draw: float, blank: float, ease: float) -> int | None:
    """0, 1 or 2 points: both halves of an item by chance, the second harder; about one item of fifty is left blank."""
    if blank < 0.02:
        return None
    first, both = 1 / (1 + exp(-ease - 0.7)), 1 / (1 + exp(-ease + 0.7))
    return 2 if draw < both else 1 if draw < first else 0


def _level(draw: float, ease: float) -> int | None:
    """A level from 1 to 4; about one in twenty-five is not given."""
    if draw > 0.96:
        return None
    return 1 + sum(draw < 1 / (1 + exp(step - 1.2 * ease)) for step in (-1.2, 0.3, 2.0))
