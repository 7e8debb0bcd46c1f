"""Layouts over several sheets, the answers of web forms, tables with margins, gaps and notes beside them."""

from __future__ import annotations

from datetime import date
from typing import Any

from tests.corpus.places import SITES, TAXA
from tests.corpus.truth import BAR, DATE, LEAF, PLANT, SITE, TAXON, TIME, USUAL, WINDOW, Column, Grid, Ugly, a_class, unclocked, usual
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"


def _csv(case: str, grid: Grid, *, name: str = NAME, **more: Any) -> Ugly:
    return Ugly(2, case, f"{name}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def sheets() -> list[Ugly]:
    """Sections, sites or days on sheets of their own."""
    first = usual(a_class(211), "Section A")
    second = Grid("Section B")
    second.table(
        a_class(212, unit="psi", section="b"),
        (("Reading (psi)", lambda leaf: leaf.number), TAXON, PLANT, LEAF, SITE, TIME, DATE),
        0,
    )
    by_site = []
    for code in ("ridge", "draw"):
        leaves = [leaf for leaf in a_class(213) if leaf.site == code]
        by_site.append(Grid(SITES[code]).table(leaves, (DATE, TIME, TAXON, PLANT, LEAF, BAR), 5))
    by_day = []
    for day in (date(2024, 9, 17), date(2024, 9, 24)):
        leaves = a_class(day.day, days=(day,))
        by_day.append(Grid(day.isoformat()).table(leaves, (TIME, SITE, TAXON, PLANT, LEAF, BAR), 5))
    halves = [
        Grid("Predawn").table(unclocked(a_class(214, window="predawn")), (DATE, SITE, TAXON, PLANT, LEAF, BAR), 5),
        Grid("Midday").table(unclocked(a_class(215)), (DATE, SITE, TAXON, PLANT, LEAF, BAR), 5),
    ]
    return [_sheets("two sections, other order and unit", first, second, name="Fall 2024")] + [
        _sheets(case, *grids)
        for case, grids in (("a sheet per site", by_site), ("a sheet per day", by_day), ("predawn and midday on two sheets", halves))
    ]


def _sheets(case: str, *grids: Grid, name: str = NAME) -> Ugly:
    return Ugly(2, case, f"{name}.xlsx", xlsx_bytes(*grids), tuple(truth for grid in grids for truth in grid.truth))


def web_form() -> Ugly:
    """Answers of a web form: whole questions as headers; the time of sending is not the time of measuring."""
    leaves = a_class(216)
    columns: tuple[Column, ...] = (
        ("Timestamp", lambda leaf: f"{leaf.day.month}/{leaf.day.day}/{leaf.day.year} 19:{20 + int(leaf.plant)}:07"),
        ("What is your lab section?", lambda _: "Section A"),
        ("On which date did you measure this leaf?", lambda leaf: f"{leaf.day:%m/%d/%Y}"),
        ("At what time was the endpoint read (24 h)?", lambda leaf: leaf.clock),
        ("Which site were you at?", lambda leaf: SITES[leaf.site]),
        ("What plant species did you sample?", lambda leaf: TAXA[leaf.taxon]),
        ("Which plant (number on the tag)?", lambda leaf: leaf.plant),
        ("Which leaf of that plant?", lambda leaf: leaf.leaf),
        ("What was the balance pressure, in bar?", lambda leaf: leaf.number),
        ("Anything odd about the leaf or the endpoint?", lambda _: ""),
    )
    return _csv("answers of a web form", Grid().table(leaves, columns, 8), name="Leaf pressures (Responses) - Form Responses 1")


def sideways_margins() -> list[Ugly]:
    """Tables that start elsewhere than in A1, have blank columns within, or notes to the right."""
    leaves = a_class(217)
    shifted = Grid().add([], [], [None, None, None, "Readings"]).table(leaves, USUAL, 6, left=3)
    gaps = Grid().table(leaves, (DATE, TIME, ("", lambda _: None), SITE, TAXON, ("", lambda _: None), PLANT, LEAF, BAR), 8)
    noted = usual(leaves)
    for row, text in ((1, "gauge zero checked"), (3, "mean of the first three: 17.3"), (5, "42")):
        noted.rows[row].extend([None, None, text])
    counted = Grid().table(leaves, (("#", lambda leaf: leaves.index(leaf) + 1), *USUAL), 7)
    return [
        _csv("a table away from A1", shifted),
        _csv("blank columns within a table", gaps),
        _csv("notes to the right of a table", noted),
        _csv("rows numbered in a first column", counted),
        _csv("the window in a column", Grid().table(unclocked(leaves), (DATE, WINDOW, SITE, TAXON, PLANT, LEAF, BAR), 6)),
    ]


FILES = [sheets, web_form, sideways_margins]
