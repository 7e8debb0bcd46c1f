"""Blocks in more of the ways that classes lay them out: headings, labels above, ditto marks, pages, wide tables on two levels, forms."""

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
THREE = ("ridge", "bench", "draw")


def _csv(case: str, grid: Grid, *, name: str = NAME, **more: Any) -> Ugly:
    return Ugly(2, case, f"{name}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def headings() -> list[Ugly]:
    """Heading rows spelled many ways; a heading that contradicts the column; sections as headings."""
    leaves = a_class(281, sites=THREE)
    columns = (DATE, TIME, TAXON, PLANT, LEAF, BAR)
    forms = {
        "site and its position": ("RIDGE TOP (upland)", "LIMESTONE BENCH (slope)", "CREEK DRAW (lowland)"),
        "site numbers": ("Site 1: Ridge Top", "Site 2: Limestone Bench", "Site 3: Creek Draw"),
        "site and window": ("Ridge Top – midday", "Limestone Bench – midday", "Creek Draw – midday"),
        "stars": ("*** Ridge Top ***", "*** Limestone Bench ***", "*** Creek Draw ***"),
        "dashes": ("--- Ridge Top ---", "--- Limestone Bench ---", "--- Creek Draw ---"),
        "site = name": ("Site = Ridge Top", "Site = Limestone Bench", "Site = Creek Draw"),
        "site and day": ("Ridge Top, Sept 17", "Limestone Bench, Sept 17", "Creek Draw, Sept 17"),
        "site and unit": ("Ridge Top (bar)", "Limestone Bench (bar)", "Creek Draw (bar)"),
    }
    made: list[Ugly] = []
    for case, texts in forms.items():
        within, above = Grid().add([name for name, _ in columns]), Grid()
        for site, text in zip(THREE, texts, strict=True):
            here = [leaf for leaf in leaves if leaf.site == site]
            within.add([text]).table(here, columns, 5, header=False)
            above.add([text]).table(here, columns, 5).add([])
        is_even = len(made) % 2 == 0
        made.append(_csv(f"heading rows: {case}", within) if is_even else _csv(f"headings above tables: {case}", above))
    second = [leaf.but(section="b") for leaf in a_class(282, sites=("bench",))]
    first = a_class(283)
    for case, one, two in (
        ("Lab A – Tuesday", "Lab A – Tuesday", "Lab B – Thursday"),
        ("Section A (Tue 1:30)", "Section A (Tue 1:30)", "Section B (Thu 1:30)"),
        ("SEC. A", "SEC. A", "SEC. B"),
    ):
        grid = Grid().add([one]).table(first, USUAL, 6).add([], [two]).table(second, USUAL, 6)
        made.append(_csv(f"sections as headings: {case}", grid, name="Fall 2024"))
        within = Grid().add([name for name, _ in USUAL], [one]).table(first, USUAL, 6, header=False)
        within.add([two]).table(second, USUAL, 6, header=False)
        made.append(_csv(f"sections as heading rows: {case}", within, name="Fall 2024"))
    crossed = usual(leaves)
    crossed.rows.insert(7, ["Creek Draw"])
    crossed.truth = [type(true)(true.leaf, true.sheet, true.row + (true.row > 7), true.column) for true in crossed.truth]
    return [*made, _csv("a heading row against the column", crossed)]


def labels_above() -> list[Ugly]:
    """Labels and values in cells of their own above the header; the header again on each page under its page's title."""
    leaves = unclocked(a_class(284, sites=("ridge",)))
    plain = (TAXON, PLANT, LEAF, ("Pressure", lambda leaf: leaf.number))
    made = []
    for case, rows in (
        ("down", [["Section", "A"], ["Date", "2024-09-17"], ["Site", "Ridge Top"], ["Unit", "bar"], ["Window", "midday"]]),
        ("across", [["Site:", "Ridge Top", "Date:", "2024-09-17"], ["Window:", "midday", "Units:", "bar"]]),
        ("in one cell each", [["Site: Ridge Top"], ["Date: 2024-09-17"], ["Time: midday"], ["Unit: bar"]]),
        ("in one line", [["Ridge Top, midday, 2024-09-17, bar"]]),
    ):
        made.append(_csv(f"labels above the header: {case}", Grid().add(*rows, []).table(leaves, plain, 3)))
    pages = Grid()
    both = a_class(285)
    for at in range(0, 12, 4):
        pages.add([f"Page {at // 4 + 1} of 3"]).table(both[at : at + 4], USUAL, 6).add([])
    return [*made, _csv("a header on each page under the page's number", pages)]


def dittos() -> list[Ugly]:
    """More marks for ditto, in one column and in several."""
    marks = (",,", "„", "-do-", "id.", "↓", "|", "same as above", "as above", "〃", "-''-", '""', "' '", "v", "…", "see above")
    made = []
    for first in range(0, len(marks), 5):
        leaves = a_class(286, sites=THREE, plants=2)
        grid, before = usual(leaves), None
        for at, row in enumerate(grid.rows[1:]):
            same, before = row[2] == before, row[2]
            if same:
                row[0] = row[2] = marks[first + at % 5]
        made.append(_csv(f"ditto marks such as {marks[first]}", grid))
    return made


def _wide(grid: Grid, groups: Sequence[Sequence[Leaf]], lead: Sequence[Column], after: Sequence[object] = ()) -> Grid:
    for group in groups:
        grid.rows.append([value(group[0]) for _, value in lead] + [leaf.number for leaf in group] + list(after))
        for position, leaf in enumerate(group):
            grid.note(leaf, len(lead) + position)
    return grid


def wide_of_two() -> list[Ugly]:
    """Columns by species and window, site and window, window and leaf: in one header row or two, with means between."""
    early, late = unclocked(a_class(287, window="predawn", leaves=2)), unclocked(a_class(288, leaves=2))
    made = []
    by_plant: dict[tuple[str, str, str], list[Leaf]] = {}
    for leaf in (*early, *late):
        by_plant.setdefault((leaf.site, leaf.taxon, leaf.plant), []).append(leaf)
    groups = list(by_plant.values())
    lead = (DATE, SITE, TAXON, PLANT)
    names = [name for name, _ in lead]
    heads = ("PD leaf 1 (bar)", "PD leaf 2 (bar)", "MD leaf 1 (bar)", "MD leaf 2 (bar)")
    made.append(_csv("wide: window and leaf in one header", _wide(Grid().add([*names, *heads]), groups, lead)))
    rows = ([None] * 4 + ["Predawn", None, "Midday", None], [*names, "Leaf 1 (bar)", "Leaf 2 (bar)", "Leaf 1 (bar)", "Leaf 2 (bar)"])
    made.append(_csv("wide: windows above leaves", _wide(Grid().add(*rows), groups, lead)))
    units = ([None] * 4 + ["Predawn (bar)", None, "Midday (bar)", None], [*names, "Leaf 1", "Leaf 2", "Leaf 1", "Leaf 2"])
    made.append(_csv("wide: windows with units above leaves", _wide(Grid().add(*units), groups, lead)))
    short = ("PD1 (bar)", "PD2 (bar)", "MD1 (bar)", "MD2 (bar)")
    made.append(_csv("wide: PD1 PD2 MD1 MD2", _wide(Grid().add([*names, *short]), groups, lead)))
    between = Grid().add(
        [*names, "PD leaf 1 (bar)", "PD leaf 2 (bar)", "PD mean", "PD SE", "MD leaf 1 (bar)", "MD leaf 2 (bar)", "MD mean", "MD SE"]
    )
    for group in groups:
        cells = [leaf.number for leaf in group]
        between.rows.append([value(group[0]) for _, value in lead] + [*cells[:2], 5.5, 0.4, *cells[2:], 19.5, 0.6])
        for leaf, place in zip(group, (4, 5, 8, 9), strict=True):
            between.note(leaf, place)
    made.append(_csv("wide: means and errors between the windows", between))
    by_leaf: dict[tuple[str, str], list[Leaf]] = {}
    for leaf in (*early, *late):
        by_leaf.setdefault((leaf.site, leaf.plant + leaf.leaf), []).append(leaf)
    taxa = [sorted(group, key=lambda leaf: (leaf.taxon, leaf.window != "predawn")) for group in by_leaf.values()]
    lead = (DATE, SITE, PLANT, LEAF)
    names = [name for name, _ in lead]
    for case, heads in (
        ("one header", ("ANGE predawn (bar)", "ANGE midday (bar)", "RHGL predawn (bar)", "RHGL midday (bar)")),
        ("codes joined", ("ANGE_PD (bar)", "ANGE_MD (bar)", "RHGL_PD (bar)", "RHGL_MD (bar)")),
        ("window first", ("Predawn ANGE, bar", "Midday ANGE, bar", "Predawn RHGL, bar", "Midday RHGL, bar")),
    ):
        made.append(_csv(f"wide: species and window, {case}", _wide(Grid().add([*names, *heads]), taxa, lead)))
    two = ([None] * 4 + ["ANGE", None, "RHGL", None], [*names, "PD (bar)", "MD (bar)", "PD (bar)", "MD (bar)"])
    made.append(_csv("wide: species above windows", _wide(Grid().add(*two), taxa, lead)))
    merged = Grid("Sheet1", [list(row) for row in two])
    _wide(merged, taxa, lead)

    def merge(book: Any) -> None:
        book["Sheet1"].merge_cells("E1:F1")
        book["Sheet1"].merge_cells("G1:H1")

    made.append(Ugly(2, "wide: species merged above windows", f"{NAME}.xlsx", xlsx_bytes(merged, shape=merge), tuple(merged.truth)))
    for case, pair_of in (
        ("ordinals", ("1st leaf (bar)", "2nd leaf (bar)")),
        ("words", ("First leaf (bar)", "Second leaf (bar)")),
        ("hashes", ("Leaf #1 (bar)", "Leaf #2 (bar)")),
        ("unit first", ("bar, leaf 1", "bar, leaf 2")),
        ("letters", ("Leaf A (bar)", "Leaf B (bar)")),
        ("readings", ("Reading #1 [bar]", "Reading #2 [bar]")),
        ("R1", ("R1 (bar)", "R2 (bar)")),
    ):
        pairs = [list(pair) for pair in zip(late[::2], late[1::2], strict=True)]
        shown = [[leaf.but(leaf="ab"[int(leaf.leaf) - 1]) for leaf in pair] for pair in pairs] if case == "letters" else pairs
        lead5: tuple[Column, ...] = (DATE, WINDOW, SITE, TAXON, PLANT)
        made.append(_csv(f"wide: leaves as {case}", _wide(Grid().add([*(name for name, _ in lead5), *pair_of]), shown, lead5)))
    return made


def turned() -> list[Ugly]:
    """Tables on their side: the unit in a column of its own, a site over several columns, a legend below."""
    leaves = a_class(289, plants=2)
    columns = (DATE, TIME, SITE, TAXON, PLANT, LEAF, ("Pressure", lambda leaf: leaf.number))
    units = Grid()
    for name, value in columns:
        units.rows.append([name, {"Pressure": "bar", "Time": "24 h"}.get(name), *(value(leaf) for leaf in leaves)])
    once = Grid()
    for name, value in (*columns[:-1], BAR):
        cells: list[object] = [value(leaf) for leaf in leaves]
        if name == "Site":
            cells = [cell if at % 4 == 0 else None for at, cell in enumerate(cells)]
        once.rows.append([name, *cells])
    for position, leaf in enumerate(leaves):
        units.note(leaf, position + 2)
        once.note(leaf, position + 1)
    once.add([], ["* gauge read to half a bar"])
    return [_csv("transposed with a column of units", units), _csv("transposed, the site once per block", once)]


def forms() -> list[Ugly]:
    """Web forms: two dates, other questions, several leaves in one answer."""
    leaves = a_class(290)
    sent: Column = ("Timestamp", lambda leaf: f"2024/09/18 7:{20 + int(leaf.plant)}:07 PM CDT")
    questions: tuple[Column, ...] = (
        sent,
        ("What is the date of your field trip?", lambda leaf: f"{leaf.day.month}/{leaf.day.day}/{leaf.day.year}"),
        ("When was the leaf read (24-hour clock)?", lambda leaf: leaf.clock),
        ("At which of the sites did you work?", lambda leaf: SITES[leaf.site]),
        ("Which species is it?", lambda leaf: TAXA[leaf.taxon]),
        ("What is the number of the plant?", lambda leaf: leaf.plant),
        ("What is the number of the leaf?", lambda leaf: leaf.leaf),
        ("How many bar did the gauge show when water appeared?", lambda leaf: leaf.number),
        ("Was the leaf dead or damaged? Please explain.", lambda _: ""),
    )
    several = unclocked(a_class(291, leaves=2))
    pairs = [list(pair) for pair in zip(several[::2], several[1::2], strict=True)]
    asked: tuple[Column, ...] = (
        sent,
        ("Date of measurement", lambda leaf: f"{leaf.day.month}/{leaf.day.day}/{leaf.day.year}"),
        ("Predawn or midday?", lambda leaf: leaf.window),
        ("Site", SITE[1]),
        ("Species", TAXON[1]),
        ("Plant number", PLANT[1]),
    )
    wide = Grid().add([*(name for name, _ in asked), "Pressure of leaf 1 (bar)", "Pressure of leaf 2 (bar)", "Comments"])
    return [
        _csv("a form with two dates", Grid().table(leaves, questions, 7)),
        _csv("a form with two leaves in one answer", _wide(wide, pairs, asked, ("",))),
    ]


def header_rows() -> list[Ugly]:
    """Two and three header rows: groups merged over names, units below."""
    leaves = a_class(292)
    names = [name for name, _ in PLACE]
    three = Grid("Sheet1").add(
        ["When", None, "Where", "What", None, None, "Pressure"],
        [*names, "Balance pressure"],
        [None, "hh:mm", None, None, "no.", "no.", "bar"],
    )
    three.table(leaves, USUAL, 6, header=False)
    two = Grid("Sheet1").add(["Sample", None, None, None, None, None, "Measurement"], [*names, "Pressure (bar)"])
    two.table(leaves, USUAL, 6, header=False)

    def merge(book: Any) -> None:
        book["Sheet1"].merge_cells("A1:F1")

    gap = Grid().add([*names, "Pressure (bar)"], []).table(leaves, USUAL, 6, header=False)
    below = Grid().add([*names, "Pressure"], [None, None, None, None, None, None, "(bar)"]).table(leaves, USUAL, 6, header=False)
    return [
        Ugly(2, "three header rows", f"{NAME}.xlsx", xlsx_bytes(three), tuple(three.truth)),
        Ugly(2, "a merged header row above", f"{NAME}.xlsx", xlsx_bytes(two, shape=merge), tuple(two.truth)),
        _csv("a blank row below the header", gap),
        _csv("the unit alone in a second header row", below),
    ]


FILES = [headings, labels_above, dittos, wide_of_two, turned, forms, header_rows]
