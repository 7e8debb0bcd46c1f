"""The cohorts: who goes out on which day, to which plants, at what time, and how they read and misread.

Everything is invented. A section visits all four sites with one pair of students each, in parallel, so that time of day
is not mixed up with place; the pairs change sites between the windows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from random import Random

from demo_years.chance import stream

SITES = ("crown", "brow", "swale", "bottom")
# Plants of each site: two C4 grasses, then a choice of C3 grass, forb, shrub and tree.
PALETTE: dict[str, tuple[tuple[str, ...], ...]] = {
    "crown": (("ange",), ("scsc", "sonu"), ("pasm",), ("somi", "hepa"), ("amca", "rhgl"), ("quma",)),
    "brow": (("ange",), ("scsc",), ("pasm", "elca"), ("hepa", "somi"), ("rhgl", "codr"), ("quma",)),
    "swale": (("ange",), ("sonu",), ("elca", "pasm"), ("somi", "hepa"), ("codr", "amca"), ("quma",)),
    "bottom": (("ange",), ("sonu",), ("elca",), ("hepa", "somi"), ("codr",), ("juni", "quma")),
}
_BEFORE_DAWN = (0, 4, 5)  # places in the palette that are also read before dawn: a grass, a shrub, a tree
PLANTS = 2
LEAVES = 2

FIRST_NAMES = (
    *("Aldwix", "Brenavo", "Cyntrel", "Dovriane", "Elsperith", "Fenwicka", "Gorlund", "Hespery", "Ilvane", "Jostwin", "Kelvary", "Lunetta"),
    *(
        "Mirabrook",
        "Nolwenna",
        "Orsolind",
        "Pellamar",
        "Quillon",
        "Rowantha",
        "Sylvarin",
        "Tamsel",
        "Ulvric",
        "Vesperine",
        "Wrenley",
        "Zephrine",
    ),
)
LAST_NAMES = (
    *("Acornwhistle", "Bramblequay", "Cloudfern", "Dewlantern", "Emberthatch", "Foxglimmer", "Gravelmoss", "Hazelspindle", "Inkberrow"),
    *("Junipoke", "Kettlemarsh", "Lichenby", "Mosswhittle", "Nettlequill", "Oxbowen", "Pebblewade", "Quagfeather", "Reedlatch"),
    *("Sedgewhirl", "Tanglefern", "Umberquill", "Vetchwater", "Willowknock", "Yarrowbright"),
)


@dataclass(frozen=True)
class Observer:
    """An invented student: lasting bias of his or her endpoints, MPa of pressure."""

    name: str
    bias_mpa: float

    @property
    def initials(self) -> str:
        """First letters of the names."""
        return "".join(part[0] for part in self.name.split())

    @property
    def email(self) -> str:
        """An address under a top-level domain that can never exist (RFC 2606)."""
        first, last = self.name.lower().split()
        return f"{first[0]}.{last}@ellorand.example"


@dataclass(frozen=True)
class Section:
    """One section's field day."""

    semester: str
    section: str
    day: date
    windows: tuple[str, ...]
    observers: tuple[Observer, ...]


@dataclass(frozen=True)
class Visit:
    """One leaf that a section goes to: `plant_draw` is the plant's lasting difference in standard deviations."""

    section: Section
    day: date
    time_cut: time
    time_read: time
    window: str
    site: str
    taxon: str
    plant: int
    leaf: int
    plant_draw: float
    observer: Observer


def field_day(semester: str, section: str) -> date:
    """Tuesday, Thursday or Friday of the last full week of April, or of mid-September: past the 12th of the month."""
    year, season = semester.split("-")
    start = date(int(year), 4, 22) if season == "spring" else date(int(year), 9, 13)
    monday = start + timedelta(days=-start.weekday() % 7)
    return monday + timedelta(days={"a": 1, "b": 3, "c": 4}[section])


def make_section(semester: str, section: str, *, is_one_of_three: bool) -> Section:
    """The section with its students; where three sections go out, only the first reads before dawn, and the last of 2019 in the morning."""
    rng = stream(f"class {semester} {section}")
    firsts, lasts = rng.sample(FIRST_NAMES, 8), rng.sample(LAST_NAMES, 8)
    observers = tuple(Observer(f"{first} {last}", rng.gauss(0.0, 0.04)) for first, last in zip(firsts, lasts, strict=True))
    windows: tuple[str, ...] = ("predawn", "midday")
    if is_one_of_three and section != "a":
        windows = ("morning",) if semester == "2019-spring" and section == "c" else ("midday",)
    return Section(semester, section, field_day(semester, section), windows, observers)


# Local clock time (daylight saving) at which a window starts, and minutes from one leaf to the next.
WINDOW_START = {"predawn": (time(4, 50), 5), "morning": (time(9, 5), 4), "midday": (time(12, 25), 5)}


def visits(section: Section, rng: Random) -> Iterator[Visit]:
    """Every leaf of the section's field day, window by window and site by site."""
    choices = {site: [_choose(options, section.semester, site) for options in PALETTE[site]] for site in SITES}
    draws = {(site, k, plant): rng.gauss(0.0, 1.0) for site in SITES for k in range(6) for plant in range(1, PLANTS + 1)}
    for turn, window in enumerate(section.windows):
        places = _BEFORE_DAWN if window == "predawn" else range(6)
        for number, site in enumerate(SITES):
            pair = (number + turn) % len(SITES)
            order = [(k, plant) for plant in range(1, PLANTS + 1) for k in places]
            rng.shuffle(order)
            start, step = WINDOW_START[window]
            clock = datetime.combine(section.day, start) + timedelta(minutes=rng.randint(0, 9))
            for place, (k, plant) in enumerate(order):
                observer = section.observers[2 * pair + place % 2]
                for leaf in range(1, LEAVES + 1):
                    wait = 7 + rng.randint(0, 2) if rng.random() < 0.015 else rng.choice((1, 1, 2, 2, 3))
                    read = clock + timedelta(minutes=wait)
                    yield Visit(
                        *(section, section.day, clock.time(), read.time(), window, site),
                        *(choices[site][k], plant, leaf, draws[site, k, plant], observer),
                    )
                    clock += timedelta(minutes=max(step, wait + 2))  # the chamber takes one leaf at a time


def _choose(options: tuple[str, ...], semester: str, site: str) -> str:
    """The semester's kind of plant for one place of the palette: usually the first."""
    return options[0] if stream(f"plants {semester} {site} {options}").random() < 0.7 else options[-1]
