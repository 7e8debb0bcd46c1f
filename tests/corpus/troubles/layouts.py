"""Layouts in which a row holds one reading: titles, headers in two rows or repeated, blocks, headings, averages, notes, sheets."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from tests.corpus.places import SITES, TAXA
from tests.corpus.truth import BAR, DATE, LEAF, PLACE, PLANT, SITE, TAXON, TIME, USUAL, Column, Grid, Leaf, Ugly, a_class, unclocked, usual
from tests.corpus.writing import csv_bytes

NAME = "Fall 2024 Section A"


def _csv(case: str, grid: Grid, *, name: str = NAME, **more: Any) -> Ugly:
    return Ugly(2, case, f"{name}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def titles() -> list[Ugly]:
    """Rows above the header that hold what the columns do not: section, semester, unit, window, the day."""
    leaves = a_class(201)
    grid = Grid().add(["Plant Physiology Lab"], ["Section A, Fall 2024"], ["Instructor's copy - do not edit"], [])
    grid.table(leaves, USUAL, 6)
    units = Grid().add(["Pressure chamber readings, Fall 2024, section A"], ["All pressures in bar"], [])
    units.table(leaves, (*PLACE, ("Pressure", lambda leaf: leaf.number)), 6)
    day = Grid().add(["Midday leaf pressures (bar), Section A", None, None, "Date:", date(2024, 9, 17)], [])
    day.table(unclocked(leaves), (SITE, TAXON, PLANT, LEAF, BAR), 4)
    return [
        _csv("title rows", grid, name="readings"),
        _csv("title rows hold the unit", units, name="readings"),
        _csv("title rows hold the day and the window", day, answers=("constants.date=2024-09-17",)),
    ]


def header_rows() -> list[Ugly]:
    """Two header rows: units below the names, or a group above them; the header again on each page."""
    leaves = a_class(202)
    below = Grid().add([name for name, _ in PLACE] + ["Pressure"], [None, "hh:mm", None, None, "no.", "no.", "bar"])
    below.table(leaves, USUAL, 6, header=False)
    above = Grid().add(["When", None, "Where", None, "Sample", None, "Result"])
    above.table(leaves, USUAL, 6)
    split = Grid().add(
        ["Date", "Time", "Site", "Species", "Plant", "Leaf", "Balance"], [None, None, None, "name", None, None, "pressure (bar)"]
    )
    split.table(leaves, USUAL, 6, header=False)
    pages = Grid()
    for at in range(0, 12, 4):
        pages.table(leaves[at : at + 4], USUAL, 6)
    turned = Grid().table(leaves[:6], USUAL, 6).add([])
    turned.table(leaves[6:], (PLANT, LEAF, BAR, TAXON, SITE, DATE, TIME), 2)
    return [
        _csv("units in a second header row", below),
        _csv("groups in a first header row", above),
        _csv("a header's words split over two rows", split),
        _csv("header repeated on each page", pages),
        _csv("header repeated with another order", turned),
    ]


def _thinned(leaves: Sequence[Leaf], blank: dict[int, str | None], columns: Sequence[Column] = USUAL) -> Grid:
    """The usual table with what repeats the row above written once; `blank` says what stands in each column instead."""
    grid = Grid().table(leaves, columns, [name for name, _ in columns].index(BAR[0]))
    for column, mark in blank.items():
        before: object = None
        for row in grid.rows[1:]:
            same, before = row[column] == before, row[column]
            if same:
                row[column] = mark
    return grid


def blocks() -> list[Ugly]:
    """A site, a day or a plant's name written once for all rows below it, blank or as ditto marks."""
    leaves = a_class(203, sites=("ridge", "bench", "draw"))
    made = [
        _csv("site once per block", _thinned(leaves, {2: None})),
        _csv("date once per block", _thinned(leaves, {0: None})),
        _csv("date, site and species once per block", _thinned(leaves, {0: None, 2: None, 3: None})),
    ]
    for mark, word in (
        ('"', "quotes"),
        ("″", "double primes"),
        ("do.", "do."),
        ("''", "two apostrophes"),
        ("ditto", "ditto"),
        ('-"-', "dashed quotes"),
    ):
        made.append(_csv(f"ditto marks as {word}", _thinned(leaves, {0: mark, 2: mark})))
    return made


def a_blank_that_is_no_ditto() -> Ugly:
    """One site is missing in a column where every other row names it: what stood there nobody can know."""
    leaves = a_class(204)
    grid = usual(leaves)
    grid.rows[7][2] = None  # the first leaf of the second site; the row above belongs to the first
    return _csv("one blank site among named ones", grid)


def headings() -> list[Ugly]:
    """Sites, days or sections as rows of their own among the readings, and each site's table under its heading."""
    leaves = a_class(205, sites=("ridge", "bench", "draw"))
    columns = (DATE, TIME, TAXON, PLANT, LEAF, BAR)
    rows = Grid().add([name for name, _ in columns])
    stacked, spaced = Grid(), Grid().add(["Leaf pressures Fall 2024 section A"], [])
    for site in ("ridge", "bench", "draw"):
        here = [leaf for leaf in leaves if leaf.site == site]
        rows.add([SITES[site]]).table(here, columns, 5, header=False)
        stacked.add([SITES[site]]).table(here, columns, 5).add([])
        spaced.add([f"Site: {SITES[site]}"]).table(here, columns, 5).add(["Average", None, None, None, None, 17.25], [])
    days = (date(2024, 9, 17), date(2024, 9, 24))
    dated = a_class(206, days=days)
    by_day = Grid()
    for day in days:
        by_day.add([f"{day:%A, %B} {day.day}, {day.year}"])
        by_day.table([leaf for leaf in dated if leaf.day == day], (TIME, SITE, TAXON, PLANT, LEAF, BAR), 5).add([])
    windows = Grid()
    early = unclocked([*a_class(207, window="predawn"), *a_class(208)])
    for window, word in (("predawn", "PREDAWN"), ("midday", "MIDDAY")):
        windows.add([word]).table([leaf for leaf in early if leaf.window == window], (DATE, SITE, TAXON, PLANT, LEAF, BAR), 5).add([])
    return [
        _csv("site heading rows in one table", rows),
        _csv("stacked tables under site headings", stacked),
        _csv("stacked tables under 'Site: ...' with averages", spaced),
        _csv("stacked tables under day headings", by_day),
        _csv("stacked tables under predawn and midday", windows),
    ]


def below() -> list[Ugly]:
    """Blank rows, averages, totals, legends and notes among and below the readings."""
    leaves = a_class(209)
    grid = Grid().add([name for name, _ in USUAL])
    for at in range(0, 12, 3):
        grid.table(leaves[at : at + 3], USUAL, 6, header=False)
        mean = sum(leaf.number for leaf in leaves[at : at + 3]) / 3
        grid.add([None, None, None, None, None, "mean", round(mean, 2)], [])
    grid.add(["n", 12], ["Total", None, None, None, None, None, 245.5], [])
    grid.add(["Legend: 1 = first plant from the stake"], ["* chamber gauge sticks at 12 bar"], ["Measured by section A"])
    named = Grid().add([name for name, _ in USUAL])
    for at in range(0, 12, 3):
        named.table(leaves[at : at + 3], USUAL, 6, header=False)
        first = leaves[at]
        named.add([first.day, None, SITES[first.site], TAXA[first.taxon], "Avg", None, 18.2])
        named.add([first.day, None, SITES[first.site], TAXA[first.taxon], "SD", None, 2.2])
    site = Grid().add([name for name, _ in USUAL])
    for code in ("ridge", "draw"):
        site.table([leaf for leaf in leaves if leaf.site == code], USUAL, 6, header=False)
        site.add([None, None, f"{SITES[code]} average", None, None, None, 18.75])
    bare = usual(leaves).add([], [None, None, None, None, None, None, 18.77])
    small = usual(leaves).add([], ["Site", "Species", "Mean"], ["Ridge Top", "ANGE", 15.2], ["Creek Draw", "ANGE", 12.5])
    formulas = usual(leaves).add(
        [None, None, "Ridge vs Creek", None, None, "difference", 3.5], [None, None, None, None, None, "range", 9.5]
    )
    return [
        _csv("averages per block, totals, legend, notes", grid),
        _csv("averages that name site and species", named),
        _csv("averages behind the site's name", site),
        _csv("a mean without a word below the column", bare),
        _csv("a small table of means below", small),
        _csv("differences and ranges below", formulas),
    ]


def mean_columns() -> list[Ugly]:
    """Computed columns beside the readings: means, standard errors, the same in another unit."""
    leaves = a_class(210)
    extra: tuple[Column, ...] = (("Mean (bar)", lambda _: 17.5), ("SE", lambda _: 0.8), ("n", lambda _: 3))
    other = (("Ψ (MPa)", lambda leaf: round(-leaf.pressure_mpa, 3)),)
    group = Grid().table(leaves, (*USUAL, ("Class average (bar)", lambda _: 17.5)), 6)
    return [
        _csv("mean, SE and n beside the reading", Grid().table(leaves, (*USUAL, *extra), 6)),
        _csv("the potential computed beside the pressure", Grid().table(leaves, (*USUAL, *other), 6)),
        _csv("class average beside the reading", group),
    ]


FILES = [titles, header_rows, blocks, a_blank_that_is_no_ditto, headings, below, mean_columns]
