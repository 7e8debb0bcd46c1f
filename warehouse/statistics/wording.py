"""Parts of sentences: numbers with their unit and a proper minus, counts, intervals. Used by every sentence on an estimate.

The dashboard takes its words for groups, semesters and parts of the day from here, so that its titles say the same as these sentences.
"""

from __future__ import annotations

from collections.abc import Iterable

DECIMALS = 2  # of MPa: what a gauge of 10 psi or of 0.5 bar supports


def mpa(value: float, decimals: int = DECIMALS) -> str:
    """A potential or a difference, MPa, as "−1.25 MPa"; never "−0.00"."""
    return f"{number(value, decimals)} MPa"


def number(value: float, decimals: int = DECIMALS) -> str:
    """A number with a proper minus sign and these decimals."""
    text = f"{round(value, decimals) + 0.0:.{decimals}f}"
    return text.replace("-", "−")


def counted(n: int, noun: str, plural: str | None = None) -> str:
    """A count with its noun: "1 plant", "14 plants"."""
    return f"{n} {noun if n == 1 else plural or noun + 's'}"


def interval(low: float, high: float, decimals: int = DECIMALS, level: int = 95) -> str:
    """An interval in brackets: "(95 % interval 0.31 to 0.93)"."""
    return f"({level} % interval {number(low, decimals)} to {number(high, decimals)})"


def listed(items: Iterable[str], last: str = "and") -> str:
    """Words in a row: "a", "a and b", "a, b and c"."""
    *words, end = list(items) or [""]
    return f"{', '.join(words)} {last} {end}" if words else end


def sentence(text: str) -> str:
    """The text with a capital at its start."""
    return text[:1].upper() + text[1:]


WINDOWS: dict[str, str] = {"predawn": "before dawn", "morning": "in the morning", "midday": "at midday", "afternoon": "in the afternoon"}
GROUPS: dict[str, str] = {"forb": "forbs", "c3_grass": "C3 grasses", "c4_grass": "C4 grasses", "shrub": "shrubs", "tree": "trees"}
"""Functional groups, ordered by the usual height of the plant, low to tall."""
SEASONS = ("winter", "spring", "summer", "fall")


def semester_words(semester: str) -> str:
    """A semester's code as its name, within a sentence too: "Fall 2024"; what has no such form comes back as it is."""
    year, _, season = semester.partition("-")
    return f"{season.capitalize()} {year}" if season in SEASONS else semester


def at_start(sampling_window: str) -> str:
    """A part of the day as a sentence begins with it: "At midday"."""
    return sentence(WINDOWS.get(sampling_window, sampling_window))


def when(semester: str, sampling_window: str) -> str:
    """The start of a sentence: "At midday in Fall 2024"."""
    return f"{at_start(sampling_window)} in {semester_words(semester)}"


def plants_and_leaves(n_plants: int, n_leaves: int, leaves_stand_for_plants: bool) -> str:
    """What a summary stands on: "4 plants (12 leaves)"; where plants were not numbered, that leaves were taken for them."""
    if leaves_stand_for_plants:
        return f"{counted(n_plants, 'plant')} ({counted(n_leaves, 'leaf', 'leaves')}, leaves standing for plants where none were numbered)"
    return f"{counted(n_plants, 'plant')} ({counted(n_leaves, 'leaf', 'leaves')})"
