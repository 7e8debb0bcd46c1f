"""Headers of two lines, the first of which names groups of columns: Predawn and Midday over the leaves, each with a mean beside them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

from tests.corpus.places import SITES, TAXA
from tests.corpus.truth import Grid, Leaf, Ugly, a_class, unclocked
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"
TITLE = ["Section A, 9/17/2024, all in bar"]
Labelled = tuple[str, Callable[[int], object], Sequence[str]]
LINES: tuple[Labelled, ...] = (
    ("leaves by number", lambda leaf: leaf, ()),
    ("leaves by number, and their mean", lambda leaf: leaf, ("Mean", "SD")),
    ("leaves as L1, and their mean", lambda leaf: f"L{leaf}", ("Mean",)),
    ("leaves by name and unit, and their mean", lambda leaf: f"Rep {leaf} (bar)", ("Avg",)),
)


def windows_over_leaves() -> list[Ugly]:
    """A column for each leaf below Predawn and below Midday, written once at the first of them."""
    both = [[unclocked(a_class(1301, leaves=3, window=window)) for window in ("predawn", "midday")]]
    made = []
    for case, label, computed in LINES:
        wide = 3 + len(computed)
        second = [label(leaf) for leaf in (1, 2, 3)] + list(computed)
        grid = Grid().add(TITLE, [], ["Site", "Species", "Plant", "Predawn", *[None] * (wide - 1), "Midday", *[None] * (wide - 1)])
        grid.add([None] * 3 + second + second)
        for predawn, midday in both:
            for at in range(0, len(predawn), 3):
                _record(grid, [predawn[at : at + 3], midday[at : at + 3]], len(computed))
        made.append(Ugly(2, f"{case}, below windows", f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth)))
    return made


def _record(grid: Grid, groups: Sequence[Sequence[Leaf]], computed: int) -> None:
    """A row of a plant: its leaves window by window, each group with what is computed of it."""
    first = groups[0][0]
    row: list[object] = [SITES[first.site], TAXA[first.taxon], int(first.plant)]
    starts = []
    for group in groups:
        starts.append(len(row))
        mean = round(sum(leaf.number for leaf in group) / len(group), 1)
        row += [leaf.number for leaf in group] + [mean, 0.7][:computed]
    grid.rows.append(row)
    for start, group in zip(starts, groups, strict=True):
        for position, leaf in enumerate(group):
            grid.note(leaf, start + position)


def leaves_below_the_pressure() -> Ugly:
    """One group, the pressure, over the numbers of its leaves, in a workbook."""
    grid = Grid("Sheet1").add(["Date", "Time", "Site", "Species", "Plant", "Balance pressure (bar)"], [None] * 5 + [1, 2])
    leaves = a_class(1302, leaves=2)
    for one, two in zip(leaves[::2], leaves[1::2], strict=True):
        grid.rows.append([one.day, one.clock, SITES[one.site], TAXA[one.taxon], int(one.plant), one.number, two.number])
        grid.note(one, 5)
        grid.note(two.but(clock=one.clock), 6)
    return Ugly(2, "leaves by number, below the pressure", f"{NAME}.xlsx", xlsx_bytes(grid), tuple(grid.truth))


def days_over_readings() -> list[Ugly]:
    """A column for each day, as dates of a workbook and as text."""
    made = []
    days = (date(2024, 9, 17), date(2024, 9, 24))
    for case, header in (("columns by day", days), ("columns by day, as text", ("9/17/2024", "9/24/2024"))):
        grid = Grid("Sheet1" if header is days else "").add(["Section A midday (bar)"], ["Site", "Species", "Plant", *header])
        leaves = [unclocked(a_class(1303, days=(day,))) for day in days]
        for pair in zip(*leaves, strict=True):
            grid.rows.append([SITES[pair[0].site], TAXA[pair[0].taxon], int(pair[0].plant), *(leaf.number for leaf in pair)])
            for position, leaf in enumerate(pair):
                grid.note(leaf.but(leaf=""), 3 + position)
        data = xlsx_bytes(grid) if header is days else csv_bytes(grid.rows)
        made.append(Ugly(2, case, f"{NAME}.{'xlsx' if header is days else 'csv'}", data, tuple(grid.truth)))
    return made


FILES = [windows_over_leaves, leaves_below_the_pressure, days_over_readings]
