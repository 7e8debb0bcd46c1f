"""True readings on invented registers, and the place of each in an ugly file: what a reader must find there, and no more."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, time

from tests.corpus.places import SITES, TAXA

# Exact factors, stated here once more so that the score does not lean on the code that it judges: 1 bar = 0.1 MPa (NIST SP 811, B.8);
# 1 psi = 0.45359237 kg * 9.80665 m/s2 / (0.0254 m)^2.
MPA = {"MPa": 1.0, "bar": 0.1, "psi": 0.006894757293168361, "kPa": 0.001}


@dataclass(frozen=True)
class Leaf:
    """One leaf as the class measured it: a pressure of `number` in `unit` (a bound where `endpoint` is not_reached).

    `expect` is `load`, `doubt` (kept with its mark, out of the means) or `aside` (no value that could be used).
    """

    day: date
    clock: str
    window: str
    site: str
    taxon: str
    plant: str
    leaf: str
    number: float
    unit: str = "bar"
    endpoint: str = "seen"
    semester: str = "2024-fall"
    section: str = "a"
    expect: str = "load"

    @property
    def pressure_mpa(self) -> float:
        """Balance pressure, MPa."""
        return self.number * MPA[self.unit]

    def but(self, **changes: object) -> Leaf:
        """The same leaf with something changed."""
        return replace(self, **changes)  # type: ignore[arg-type]  # the names are those of the fields


@dataclass(frozen=True)
class Truth:
    """A leaf and the place of its reading in the file: sheet, row from 1, column letters."""

    leaf: Leaf
    sheet: str
    row: int
    column: str

    @property
    def cell(self) -> str:
        """The cell of the reading."""
        return f"{self.column}{self.row}"

    def but(self, **changes: object) -> Truth:
        """The same place with something else true of its leaf."""
        return replace(self, leaf=self.leaf.but(**changes))


@dataclass(frozen=True)
class Ugly:
    """An ugly file.

    Attributes:
        trouble: the number of the group of troubles, 1 to 9.
        case: what is ugly about it.
        file_name: as handed in.
        data: its bytes.
        truth: the readings in it.
        asks: codes of questions of which at least one must be raised; empty where the file decides everything by itself.
        answers: KEY=VALUE that settle the questions.
        says: regular expressions that the receipt must match.
        hides: words that nothing kept and no receipt may hold.
        is_hopeless: True where no answer can make it load.
    """

    trouble: int
    case: str
    file_name: str
    data: bytes
    truth: tuple[Truth, ...] = ()
    asks: frozenset[str] = frozenset()
    answers: tuple[str, ...] = ()
    says: tuple[str, ...] = ()
    hides: tuple[str, ...] = ()
    is_hopeless: bool = False


Cell = object
Column = tuple[str, Callable[[Leaf], Cell]]


@dataclass
class Grid:
    """A sheet being laid out, and the places of the readings in it."""

    sheet: str = ""
    rows: list[list[Cell]] = field(default_factory=list)
    truth: list[Truth] = field(default_factory=list)

    def add(self, *rows: Sequence[Cell]) -> Grid:
        """Append rows that hold no reading."""
        self.rows.extend(list(row) for row in rows)
        return self

    def table(self, leaves: Sequence[Leaf], columns: Sequence[Column], reading: int, *, header: bool = True, left: int = 0) -> Grid:
        """Append a table, one row per leaf; `reading` is the position of the column of readings, `left` the columns left blank."""
        if header:
            self.rows.append([None] * left + [name for name, _ in columns])
        for leaf in leaves:
            self.rows.append([None] * left + [value(leaf) for _, value in columns])
            self.note(leaf, reading + left)
        return self

    def note(self, leaf: Leaf, position: int, row: int | None = None) -> None:
        """Say that the last row (or the row named) holds a leaf's reading at a position counted from 0."""
        self.truth.append(Truth(leaf, self.sheet, row or len(self.rows), letters(position)))


def letters(position: int) -> str:
    """Column letters of a position counted from 0."""
    text, number = "", position + 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(65 + rest) + text
    return text


def a_class(
    seed: int,
    *,
    days: Sequence[date] = (date(2024, 9, 17),),
    sites: Sequence[str] = ("ridge", "draw"),
    taxa: Sequence[str] = ("ange", "rhgl"),
    plants: int = 3,
    leaves: int = 1,
    unit: str = "bar",
    window: str = "midday",
    semester: str = "2024-fall",
    section: str = "a",
) -> list[Leaf]:
    """Readings of a class: ordinary pressures, no two alike on one site and day, in the order in which classes work."""
    chance = random.Random(seed)  # noqa: S311  # a seed makes the same files every time; nothing is secret
    minute, start = 0, {"predawn": 5 * 60 + 20, "midday": 12 * 60 + 40, "morning": 9 * 60, "afternoon": 16 * 60}[window]
    found = []
    for day in days:
        minute = 0
        for site in sites:
            for taxon in taxa:
                for number in range(plants * leaves):
                    lowest, highest = (3, 9) if window == "predawn" else (11, 30)
                    bar = chance.randrange(lowest * 2, highest * 2) / 2
                    clock = start + minute
                    minute += 2
                    leaf = Leaf(
                        day,
                        f"{clock // 60:02d}:{clock % 60:02d}",
                        window,
                        site,
                        taxon,
                        str(number // leaves + 1),
                        str(number % leaves + 1),
                        _in_unit(bar, unit),
                        unit,
                        semester=semester,
                        section=section,
                    )
                    found.append(leaf)
    return found


def _in_unit(bar: float, unit: str) -> float:
    """The number that a gauge in that unit would show, in its own steps."""
    if unit == "psi":
        return float(round(bar * 14.5038 / 5) * 5)
    return round(bar * 0.1, 3) if unit == "MPa" else bar * 100 if unit == "kPa" else bar


def number(value: float) -> str:
    """A number as people type it."""
    return f"{value:g}"


DATE: Column = ("Date", lambda leaf: leaf.day)
TIME: Column = ("Time", lambda leaf: time.fromisoformat(leaf.clock))
SITE: Column = ("Site", lambda leaf: SITES[leaf.site])
TAXON: Column = ("Species", lambda leaf: TAXA[leaf.taxon])
PLANT: Column = ("Plant", lambda leaf: int(leaf.plant))
LEAF: Column = ("Leaf", lambda leaf: int(leaf.leaf))
BAR: Column = ("Pressure (bar)", lambda leaf: leaf.number)
USUAL: tuple[Column, ...] = (DATE, TIME, SITE, TAXON, PLANT, LEAF, BAR)
PLACE = (DATE, TIME, SITE, TAXON, PLANT, LEAF)


def usual(leaves: Sequence[Leaf], sheet: str = "") -> Grid:
    """The plainest layout: one header, one row per leaf, the reading in column G."""
    return Grid(sheet).table(leaves, USUAL, 6)


def unclocked(leaves: Sequence[Leaf]) -> list[Leaf]:
    """The same leaves in a file that gives their window and no clock time."""
    return [leaf.but(clock="") for leaf in leaves]


WINDOW: Column = ("Window", lambda leaf: leaf.window)
