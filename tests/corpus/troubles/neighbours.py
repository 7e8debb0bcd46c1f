"""Layouts whose neighbours mislead: columns that look like readings, headings that name nothing known, averages in odd places."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tests.corpus.places import SITES, TAXA
from tests.corpus.truth import (
    BAR,
    DATE,
    LEAF,
    PLACE,
    PLANT,
    SITE,
    TAXON,
    TIME,
    USUAL,
    WINDOW,
    Column,
    Grid,
    Leaf,
    Ugly,
    a_class,
    unclocked,
    usual,
)
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"
RIVALS = (
    ("Pressure (bar)", "Pressure, second try (bar)"),
    ("Reading (bar)", "Corrected reading (bar)"),
    ("Student reading (bar)", "TA reading (bar)"),
)


def _csv(case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(2, case, f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def pressures_that_are_none() -> list[Ugly]:
    """Columns with a unit of pressure that hold no leaf's reading."""
    leaves = a_class(251)
    made = []
    for header, value in (
        ("VPD (kPa)", 2.1),
        ("Barometric pressure (kPa)", 97.4),
        ("Chamber max (bar)", 40),
        ("Tank pressure (bar)", 150),
        ("Pressure at first bubble (bar)", 9.5),
        ("Expected (bar)", 15),
        ("Last year's pressure (bar)", 16.5),
        ("Turgor pressure (MPa)", 0.4),
        ("Osmotic potential (MPa)", -1.1),
        ("Soil water potential (MPa)", -0.4),
        ("Rate of increase (bar/s)", 0.2),
        ("Gauge error (bar)", 0.5),
    ):
        column: Column = (header, lambda _, value=value: value)  # type: ignore[misc]
        asks = {"answers": ("columns.reading=Pressure (bar)",)}
        made.append(_csv(f"a column of {header}", Grid().table(leaves, (*PLACE, column, BAR), 7), **asks))
    for first, second in RIVALS:
        grid = Grid().table(leaves, (*PLACE, (first, lambda leaf: leaf.number), (second, lambda leaf: leaf.number + 1.5)), 6)
        asks_which = frozenset({"column_unclear"})
        made.append(_csv(f"{first} and {second}", grid, asks=asks_which, answers=(f"columns.reading={first}",)))
    return made


def wide_traps() -> list[Ugly]:
    """Wide tables of mixed units, with computed columns and rows, unknown sites, groups for species."""
    groups = [list(pair) for pair in zip(*[iter(unclocked(a_class(252, leaves=2)))] * 2, strict=True)]
    lead = (DATE, WINDOW, SITE, TAXON, PLANT)
    names = [name for name, _ in lead]

    def wide(grid: Grid, of: Sequence[Sequence[Leaf]], after: Sequence[object] = ()) -> Grid:
        for group in of:
            grid.rows.append([value(group[0]) for _, value in lead] + [leaf.number for leaf in group] + list(after))
            for position, leaf in enumerate(group):
                grid.note(leaf, len(lead) + position)
        return grid

    units = [[pair[0], pair[1].but(number=float(round(pair[1].number * 14.5 / 5) * 5), unit="psi")] for pair in groups]
    two_units = wide(Grid().add([*names, "Leaf 1 (bar)", "Leaf 2 (psi)"]), units)
    computed = wide(Grid().add([*names, "Leaf 1 (bar)", "Leaf 2 (bar)", "Ψ (MPa)"]), groups, (-1.7,))
    extra = ("Max (bar)", "Range (bar)", "SD (bar)", "Avg")
    many = wide(Grid().add([*names, "Leaf 1 (bar)", "Leaf 2 (bar)", *extra]), groups, (19, 2, 1.4, 17.7))
    below = wide(Grid().add([*names, "Leaf 1 (bar)", "Leaf 2 (bar)"]), groups)
    below.add([None, None, None, None, "Mean", 17.5, 18.1], ["Mean", None, None, None, None, 17, 18])
    remarked = wide(Grid().add([*names, "Leaf 1 (bar)", "Leaf 2 (bar)", "Remarks"]), groups, ("",))
    remarked.rows[2][7], remarked.rows[4][7] = "leaf 2 was dead", "both recut"
    changed = {"G3": "doubt", "F5": "doubt", "G5": "doubt"}
    remarked.truth = [true.but(expect=changed.get(true.cell, "load")) for true in remarked.truth]
    lead = (DATE, WINDOW, TAXON, PLANT, LEAF)
    names = [name for name, _ in lead]
    pairs = [[left, right] for left, right in zip(*[iter(unclocked(a_class(253, sites=("ridge",))))] * 2, strict=True)]
    sites = [[left.but(leaf="1"), right.but(site="draw", leaf="1", plant=left.plant, expect="aside")] for left, right in pairs]
    unknown_site = wide(Grid().add([*names, "Ridge Top (bar)", "Hill 4 (bar)"]), sites)
    lead = (DATE, WINDOW, SITE, PLANT, LEAF)
    names = [name for name, _ in lead]
    taxa = [[left.but(leaf="1"), right.but(taxon="quma", leaf="1", plant=left.plant)] for left, right in pairs]
    group_names = wide(Grid().add([*names, "Bluestem (bar)", "Oak (bar)"]), taxa)
    asks = frozenset({"taxon_unknown", "column_missing"})
    return [
        _csv("wide: a leaf in bar, a leaf in psi", two_units),
        _csv("wide: the mean as a potential beside the leaves", computed),
        _csv("wide: max, range, SD and mean beside the leaves", many),
        _csv("wide: means below the leaves", below),
        _csv("wide: a remark on one of the leaves", remarked),
        _csv("wide: a column of an unknown site", unknown_site, is_hopeless=True),
        _csv("wide: columns of groups, not species", group_names, asks=asks | {"column_unclear"}, is_hopeless=True),
    ]


def headings_that_change() -> list[Ugly]:
    """Stacked tables with the same header whose headings change the site, the unit, the section, or say nothing."""
    leaves = [leaf.but(expect="aside" if leaf.site == "bench" else "load") for leaf in a_class(254, sites=("ridge", "bench", "draw"))]
    columns = (DATE, TIME, TAXON, PLANT, LEAF, BAR)
    unknown, missing = Grid(), Grid()
    for site, heading, none in (("ridge", "Ridge Top", "Ridge Top"), ("bench", "Hill 4", None), ("draw", "Creek Draw", "Creek Draw")):
        here = [leaf for leaf in leaves if leaf.site == site]
        unknown.add([heading]).table(here, columns, 5).add([])
        missing.add([none] if none else []).table(here, columns, 5).add([])
    bars, psis = a_class(255), a_class(256, unit="psi", sites=("bench",))
    plain = (*PLACE, ("Pressure", lambda leaf: leaf.number))
    units = Grid().add(["Readings in bar"]).table(bars, plain, 6).add([], ["Readings in psi"]).table(psis, plain, 6)
    named = Grid().table(bars, USUAL, 6).add([]).table(psis, (*PLACE, ("Pressure (psi)", lambda leaf: leaf.number)), 6)
    second = [leaf.but(section="b") for leaf in a_class(257, sites=("bench",))]
    sections = Grid().add(["Section A"]).table(bars, USUAL, 6).add([], ["Section B"]).table(second, USUAL, 6)
    rows = Grid().add([name for name, _ in columns])
    for heading, site in (("Ridge Top", "ridge"), ("Somewhere else", "bench"), ("Creek Draw", "draw")):
        rows.add([heading]).table([leaf for leaf in leaves if leaf.site == site], columns, 5, header=False)
    return [
        _csv("stacked: an unknown site's heading", unknown, is_hopeless=True),
        _csv("stacked: a heading is missing", missing, is_hopeless=True),
        _csv("stacked: the unit in each heading", units),
        _csv("stacked: the unit in each header", named),
        Ugly(2, "stacked: the section in each heading", "Fall 2024.csv", csv_bytes(sections.rows), tuple(sections.truth)),
        _csv("heading rows, one unknown", rows, is_hopeless=True),
    ]


def averages_in_odd_words() -> Ugly:
    """Summary rows that name date, site and species like a reading, each labelled in another word, in another column."""
    leaves = a_class(258)
    grid = Grid().add([name for name, _ in USUAL])
    labels = ("Avg.", "x̄", "AVERAGE:", "grand mean", "Std. Dev.", "SE", "Class mean", "Min", "Max", "overall", "mean of 3", "n=3")
    for position, (leaf, label) in enumerate(zip(leaves, labels, strict=True)):
        grid.table([leaf], USUAL, 6, header=False)
        row: list[object] = [leaf.day, None, SITES[leaf.site], TAXA[leaf.taxon], None, None, 17.2]
        row[4 + position % 2] = label
        grid.add(row)
    return _csv("averages in odd words", grid)


def beside_and_around() -> list[Ugly]:
    """Lists and small tables to the right, example rows, blocks with averages between, a plant's number written once."""
    leaves = a_class(259, leaves=2)
    listed = usual(leaves)
    for at, (code, name) in enumerate((("Code", "Species"), ("ANGE", "big bluestem"), ("RHGL", "smooth sumac"))):
        listed.rows[at].extend([None, code, name])
    means = usual(leaves)
    for at, cells in enumerate((("Site", "Species", "Mean (bar)"), ("Ridge Top", "ANGE", 17.2), ("Creek Draw", "ANGE", 15.1))):
        means.rows[at].extend([None, *cells])
    example = Grid().add([name for name, _ in USUAL])
    example.add(["e.g. 2024-09-17", "13:05", "Ridge Top", "Andropogon gerardii", 1, 1, 18.5])
    example.add(["EXAMPLE", "13:05", "Ridge Top", "Andropogon gerardii", 1, 1, 18.5]).table(leaves, USUAL, 6, header=False)
    once, before = usual(leaves), None
    for row in once.rows[1:]:
        plant, same = row[4], row[2:5] == before
        before = row[2:5]
        row[4] = None if same else plant
    between = Grid().add([name for name, _ in USUAL])
    for at in range(0, len(leaves), 6):
        between.table(leaves[at : at + 6], USUAL, 6, header=False)
        for row in between.rows[-5:]:
            row[0] = row[2] = None
        between.add([None, None, None, None, "Average", None, 17.5], [])
    top = usual(leaves)
    for row in top.rows[2:]:
        row[0] = None
    late = usual(leaves)
    late.rows[1][2] = None
    late.truth[0] = late.truth[0].but(expect="aside")
    pivot = Grid("Summary").add(["Date", "Site", "Species", "Average pressure (bar)"])
    pivot.add(*[[leaf.day, SITES[leaf.site], TAXA[leaf.taxon], 17.3] for leaf in leaves[::6]])
    data = usual(leaves, "Data")
    return [
        _csv("a list of codes to the right", listed),
        _csv("a small table of means to the right", means),
        _csv("example rows on top", example),
        _csv("a plant's number once per plant", once),
        _csv("site and date once per block, averages between", between),
        _csv("the date once for the whole table", top),
        _csv("a blank site in the first row", late),
        Ugly(2, "a sheet of averages with date, site and species", f"{NAME}.xlsx", xlsx_bytes(data, pivot), tuple(data.truth)),
    ]


FILES = [pressures_that_are_none, wide_traps, headings_that_change, averages_in_odd_words, beside_and_around]
