"""Layouts in which a row holds several readings, or a column does: wide tables, tables side by side, transposed tables."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tests.corpus.places import SITES, TAXA
from tests.corpus.truth import BAR, DATE, LEAF, PLANT, SITE, TAXON, TIME, WINDOW, Column, Grid, Leaf, Ugly, a_class, unclocked
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"


def _csv(case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(2, case, f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def _wide(grid: Grid, groups: Sequence[Sequence[Leaf]], lead: Sequence[Column], after: Sequence[object] = ()) -> Grid:
    """One row per group of leaves, their readings side by side behind the lead columns."""
    for group in groups:
        grid.rows.append([value(group[0]) for _, value in lead] + [leaf.number for leaf in group] + list(after))
        for position, leaf in enumerate(group):
            grid.note(leaf, len(lead) + position)
    return grid


def _plants(leaves: Sequence[Leaf]) -> list[list[Leaf]]:
    groups: dict[tuple[object, ...], list[Leaf]] = {}
    for leaf in leaves:
        groups.setdefault((leaf.day, leaf.site, leaf.taxon, leaf.plant), []).append(leaf)
    return list(groups.values())


def by_replicate() -> list[Ugly]:
    """A column per leaf of a plant, with a mean that is no reading."""
    groups = _plants(unclocked(a_class(231, leaves=3)))
    lead = (DATE, WINDOW, SITE, TAXON, PLANT)
    names = [name for name, _ in lead]
    titled = Grid().add([*names, "Leaf 1 (bar)", "Leaf 2 (bar)", "Leaf 3 (bar)", "Mean (bar)"])
    grouped = Grid().add([None] * 5 + ["Pressure (bar)", None, None, None], [*names, "Leaf 1", "Leaf 2", "Leaf 3", "Average"])
    bare = Grid().add(["Balance pressure in bar, one column per leaf"], [*names, "Rep 1", "Rep 2", "Rep 3"])
    numbered = Grid().add([*names, "Pressure 1 (bar)", "Pressure 2 (bar)", "Pressure 3 (bar)"])
    short = Grid().add([*names, "P1 (bar)", "P2 (bar)", "P3 (bar)"])
    merged = Grid("Sheet1").add([None] * 5 + ["Pressure (bar)"], [*names, "Leaf 1", "Leaf 2", "Leaf 3"])
    for grid in (bare, numbered, short, merged):
        _wide(grid, groups, lead)
    _wide(titled, groups, lead, (17.2,))
    _wide(grouped, groups, lead, (17.2,))

    def merge(book: Any) -> None:
        book["Sheet1"].merge_cells("F1:H1")

    return [
        _csv("wide: Leaf 1 (bar) ... and a mean", titled),
        _csv("wide: one group header over the leaves", grouped),
        _csv("wide: replicates with the unit in the title", bare),
        _csv("wide: Pressure 1 (bar) ...", numbered),
        _csv("wide: P1 (bar) ...", short),
        Ugly(2, "wide: merged group header", f"{NAME}.xlsx", xlsx_bytes(merged, shape=merge), tuple(merged.truth)),
    ]


def with_gaps() -> Ugly:
    """A wide table in which some plants have fewer leaves: a blank is no reading, and no zero."""
    groups = _plants(unclocked(a_class(232, leaves=3)))
    lead = (DATE, WINDOW, SITE, TAXON, PLANT)
    grid = _wide(Grid().add([*(name for name, _ in lead), "Leaf 1 (bar)", "Leaf 2 (bar)", "Leaf 3 (bar)"]), groups, lead)
    for row in (2, 5):
        grid.rows[row][7] = None
    grid.rows[6][6] = ">40"
    changed = []
    for truth in grid.truth:
        if truth.cell in ("H3", "H6"):
            continue
        changed.append(truth.but(number=40.0, endpoint="not_reached") if truth.cell == "G7" else truth)
    grid.truth = changed
    return _csv("wide with blanks and a bound", grid)


def by_site_or_species() -> list[Ugly]:
    """A column per site, or per species, under a title that says what the numbers are."""
    leaves = unclocked(a_class(233, taxa=("ange", "rhgl"), plants=3))
    sites = ("ridge", "draw")
    site_groups = [
        [leaf for leaf in leaves if (leaf.taxon, leaf.plant) == key] for key in dict.fromkeys((x.taxon, x.plant) for x in leaves)
    ]
    lead = (DATE, WINDOW, TAXON, PLANT, LEAF)
    names = [name for name, _ in lead]
    by_site = _wide(Grid().add(["Pressure in bar"], [*names, *(SITES[site] for site in sites)]), site_groups, lead)
    by_site_unit = _wide(Grid().add([*names, *(f"{SITES[site]} (bar)" for site in sites)]), site_groups, lead)
    lead = (DATE, WINDOW, SITE, PLANT, LEAF)
    names = [name for name, _ in lead]
    taxon_groups = [[leaf for leaf in leaves if (leaf.site, leaf.plant) == key] for key in dict.fromkeys((x.site, x.plant) for x in leaves)]
    by_taxon = _wide(Grid().add(["Balance pressure (bar)"], [*names, TAXA["ange"], TAXA["rhgl"]]), taxon_groups, lead)
    by_code = _wide(Grid().add([*names, "ANGE (bar)", "RHGL (bar)"]), taxon_groups, lead)
    return [
        _csv("wide: a column per site", by_site),
        _csv("wide: a column per site with the unit", by_site_unit),
        _csv("wide: a column per species", by_taxon),
        _csv("wide: a column per species' code", by_code),
    ]


def by_window() -> list[Ugly]:
    """Predawn and midday of the same plant side by side."""
    early, late = unclocked(a_class(234, window="predawn")), unclocked(a_class(235))
    groups = [list(pair) for pair in zip(early, late, strict=True)]
    lead = (DATE, SITE, TAXON, PLANT, LEAF)
    names = [name for name, _ in lead]
    words = _wide(Grid().add([*names, "Predawn (bar)", "Midday (bar)"]), groups, lead)
    pressures = _wide(Grid().add([*names, "Pressure predawn (bar)", "Pressure midday (bar)"]), groups, lead)
    greek = Grid().add([*names, "Ψpd (MPa)", "Ψmd (MPa)"])
    for group in groups:
        greek.rows.append([value(group[0]) for _, value in lead] + [round(-leaf.pressure_mpa, 3) for leaf in group])
        for position, leaf in enumerate(group):
            greek.note(leaf, 5 + position)
    timed = a_class(234, window="predawn"), a_class(235)
    clocked = Grid().add([*names, "PD time", "PD pressure (bar)", "MD time", "MD pressure (bar)"])
    for pair in zip(*timed, strict=True):
        cells: list[object] = [value(pair[0]) for _, value in lead]
        for leaf in pair:
            cells.extend([TIME[1](leaf), leaf.number])
        clocked.rows.append(cells)
        clocked.note(pair[0], 6)
        clocked.note(pair[1], 8)
    return [
        _csv("wide: Predawn (bar), Midday (bar)", words),
        _csv("wide: pressure predawn, pressure midday", pressures),
        _csv("wide: Ψpd and Ψmd", greek),
        _csv("wide: a time beside each of predawn and midday", clocked),
    ]


def two_tables() -> list[Ugly]:
    """Two tables side by side with the same column names: one per site with its name above, or one page continued on the right."""
    leaves = a_class(236)
    columns = (DATE, TIME, TAXON, PLANT, LEAF, BAR)
    names = [name for name, _ in columns]
    ridge, draw = ([leaf for leaf in leaves if leaf.site == site] for site in ("ridge", "draw"))
    headed = Grid().add(["Ridge Top", None, None, None, None, None, None, "Creek Draw"], [*names, None, *names])
    for left, right in zip(ridge, draw, strict=True):
        headed.rows.append([value(left) for _, value in columns] + [None] + [value(right) for _, value in columns])
        headed.note(left, 5)
        headed.note(right, 12)
    full = (DATE, TIME, SITE, TAXON, PLANT, LEAF, BAR)
    names = [name for name, _ in full]
    pages, touching = Grid().add([*names, None, *names]), Grid().add([*names, *names])
    for left, right in zip(leaves[:6], leaves[6:], strict=True):
        pages.rows.append([value(left) for _, value in full] + [None] + [value(right) for _, value in full])
        touching.rows.append([value(left) for _, value in full] + [value(right) for _, value in full])
        for grid, place in ((pages, 14), (touching, 13)):
            grid.note(left, 6)
            grid.note(right, place)
    uneven = Grid().add([*names, None, *names])
    for position, left in enumerate(leaves[:8]):
        right_leaf = leaves[8 + position] if position < 4 else None
        uneven.rows.append([value(left) for _, value in full] + ([None] + [value(right_leaf) for _, value in full] if right_leaf else []))
        uneven.note(left, 6)
        if right_leaf:
            uneven.note(right_leaf, 14)
    return [
        _csv("two tables side by side under site names", headed),
        _csv("two tables side by side", pages),
        _csv("two tables side by side without a gap", touching),
        _csv("two tables side by side of unequal length", uneven),
    ]


def transposed() -> list[Ugly]:
    """Names down the first column, a leaf in each column after it."""
    leaves = a_class(237, plants=2)
    columns = (DATE, TIME, SITE, TAXON, PLANT, LEAF, BAR)
    grid = Grid("Sheet1")
    for name, value in columns:
        grid.rows.append([name, *(value(leaf) for leaf in leaves)])
    for position, leaf in enumerate(leaves):
        grid.note(leaf, position + 1)
    titled = Grid("Sheet1").add(["Section A, Fall 2024"], [])
    titled.rows.extend(list(row) for row in grid.rows)
    for position, leaf in enumerate(leaves):
        titled.note(leaf, position + 1)
    text = Grid("", [list(row) for row in grid.rows])
    for position, leaf in enumerate(leaves):
        text.note(leaf, position + 1)
    return [
        Ugly(2, "transposed", f"{NAME}.xlsx", xlsx_bytes(grid), tuple(grid.truth)),
        Ugly(2, "transposed under a title", f"{NAME}.xlsx", xlsx_bytes(titled), tuple(titled.truth)),
        _csv("transposed text", text),
    ]


FILES = [by_replicate, with_gaps, by_site_or_species, by_window, two_tables, transposed]
