"""What stands beside the readings and is none: legends, small tables of means, calculations, other sheets; and readings that do count."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from tests.corpus.places import SITES, TAXA
from tests.corpus.truth import BAR, DATE, LEAF, PLACE, PLANT, SITE, TAXON, TIME, USUAL, Column, Grid, Ugly, a_class, usual
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"
Block = Sequence[Sequence[object]]
CODES: Block = (("Code", "Species"), ("ANGE", "Andropogon gerardii"), ("RHGL", "Rhus glabra"), ("QUMA", "Quercus macrocarpa"))
MEANS: Block = (("Site", "Species", "Mean (bar)", "SE", "n"), ("Ridge Top", "ANGE", 17.2, 0.8, 3), ("Creek Draw", "ANGE", 15.1, 0.7, 3))
CROSSED: Block = ((None, "Ridge Top", "Creek Draw"), ("ANGE", 17.2, 15.1), ("RHGL", 19.3, 16.2))
BLOCKS: dict[str, Block] = {
    "a list of codes": CODES,
    "a list of codes under a title": (("Species codes",), *CODES),
    "means": MEANS,
    "means under a title": (("Summary",), *MEANS),
    "means by site and species, crossed": CROSSED,
    "means crossed, under a title": (("Average pressure (bar)",), *CROSSED),
    "means crossed with a name": (("Species", *CROSSED[0][1:]), *CROSSED[1:]),
    "a legend": (("Key:",), ("PD = predawn",), ("MD = midday",), ("> = no endpoint by 40 bar",), ("* = dead leaf",)),
    "a legend in two columns": (("Legend", None), ("D", "dead"), ("R", "recut"), ("NR", "not read")),
    "a box of figures": (("Mean", 17.25), ("SD", 2.4), ("n", 12), ("Max", 29.5)),
    "group members": (("Group members",), ("Member One",), ("Member Two",)),
    "a conversion": (("bar", "psi", "MPa"), (10, 145, 1), (20, 290, 2), (30, 435, 3)),
    "the weather": (("Temp (C)", 31), ("RH (%)", 40), ("Wind", "light"), ("Sunrise", "7:05")),
    "a check list": (("To do", "Done"), ("zero the gauge", "x"), ("change the gasket", "x")),
}


def _beside(block: Block, first: int, gap: int = 1) -> Grid:
    """The plain table (header in row 3) with a block to the right of it that begins in a row counted from 0."""
    grid = Grid().add(["Leaf pressures, Fall 2024 section A"], []).table(a_class(261), USUAL, 6)
    for at, cells in enumerate(block):
        while len(grid.rows) <= first + at:
            grid.add([])
        row = grid.rows[first + at]
        row.extend([None] * (7 + gap - len(row)))
        row.extend(cells)
    return grid


def _csv(case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(2, case, f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def to_the_right() -> list[Ugly]:
    """Each block beside the header, above it, and below it; one long enough to reach beyond the readings."""
    made = [_csv(f"to the right of the header: {case}", _beside(block, 2)) for case, block in BLOCKS.items()]
    made += [_csv(f"to the right of the readings: {case}", _beside(block, 4, 2)) for case, block in list(BLOCKS.items())[::2]]
    for case in ("a list of codes", "means", "a legend"):
        made.append(_csv(f"to the right of the last readings: {case}", _beside(BLOCKS[case], 12)))
        made.append(_csv(f"to the right from the top: {case}", _beside(BLOCKS[case], 0)))
    return made


def below() -> list[Ugly]:
    """Each block below the readings, after a blank row or at once."""
    made = []
    for case, block in BLOCKS.items():
        grid = usual(a_class(262)).add([])
        made.append(_csv(f"below: {case}", grid.add(*block)))
    for case in ("a list of codes", "means", "a legend in two columns", "a box of figures"):
        made.append(_csv(f"below at once: {case}", usual(a_class(262)).add(*BLOCKS[case])))
    return made


def left_and_above() -> list[Ugly]:
    """Blocks above the header, and a column of figures to the left of it."""
    made = []
    for case in ("a list of codes", "a legend in two columns", "a box of figures", "the weather", "means"):
        grid = Grid().add(["Fall 2024 section A"], []).add(*BLOCKS[case]).add([])
        made.append(_csv(f"above: {case}", grid.table(a_class(263), USUAL, 6)))
    return made


def unheaded() -> list[Ugly]:
    """Remarks typed beside the readings without a header: they count as remarks."""
    leaves = a_class(264)
    marked = {1: "dead", 4: "recut", 7: "leaf slipped"}
    true = [leaf.but(expect="doubt") if at in marked else leaf for at, leaf in enumerate(leaves)]
    grid = usual(true)
    for at, text in marked.items():
        grid.rows[at + 1].append(text)
    bound = [leaf.but(number=40.0, endpoint="not_reached") if at == 3 else leaf for at, leaf in enumerate(leaves)]
    sign = Grid().table(bound, (*PLACE, ("", lambda leaf: ">" if leaf.number == 40 else None), BAR), 7)
    return [_csv("remarks without a header", grid), _csv("the sign of a bound without a header", sign)]


def other_sheets() -> list[Ugly]:
    """Sheets of averages, codes, weather, instructions, charts, an empty form, beside the sheet of the readings."""
    leaves = a_class(265)
    sheets: dict[str, Grid] = {
        "Averages": Grid("Averages").add(["Date", "Site", "Species", "Pressure (bar)"], *_means(leaves)),
        "Summary": Grid("Summary").add(["Site", "Species", "Mean (bar)", "SE", "n"], *[[*row[1:], 0.5, 3] for row in _means(leaves)]),
        "Means": Grid("Sheet2").add(["Date", "Site", "Species", "Mean pressure (bar)"], *_means(leaves)),
        "Pivot": Grid("Pivot").add(
            ["Average of Pressure (bar)", "Column Labels"], ["Row Labels", "Creek Draw", "Ridge Top", "Grand Total"]
        ),
        "crossed means": Grid("Chart data").add(["Species", "Ridge Top", "Creek Draw"], ["ANGE", 17.2, 15.1], ["RHGL", 19.3, 16.2]),
        "Species list": Grid("Species list").add(["Code", "Species", "Common name"], ["ANGE", "Andropogon gerardii", "big bluestem"]),
        "Weather": Grid("Weather").add(["Date", "Time", "Site", "Temp (C)", "VPD (kPa)"], ["2024-09-17", "12:40", "Ridge Top", 31.2, 2.1]),
        "Instructions": Grid("Instructions").add(["How to use the pressure chamber"], ["1. Read the manual."], ["2. Wear goggles."]),
        "an empty form": Grid("Template").add([name for name, _ in USUAL]),
        "an empty form with ids": Grid("Form").add(
            [name for name, _ in USUAL], *[[None, None, None, None, at, 1, None] for at in range(1, 6)]
        ),
        "a conversion": Grid("Convert").add(["bar", "psi", "MPa"], [10, 145, 1], [20, 290, 2]),
        "Stem diameters": Grid("Diameters").add(
            ["Date", "Site", "Species", "Plant", "DBH (cm)"], ["2024-09-17", "Ridge Top", "ANGE", 1, 3.5]
        ),
        "Photosynthesis": Grid("Photosynthesis").add(
            ["Date", "Site", "Species", "Plant", "Leaf", "Anet (umol/m2/s)"], ["2024-09-17", "Ridge Top", "ANGE", 1, 1, 13.5]
        ),
    }
    sheets["Pivot"].add(["ANGE", 17.2, 15.1, 16.1], ["RHGL", 19.3, 16.2, 17.7], ["Grand Total", 18.2, 15.6, 16.9])
    made: list[Ugly] = []
    for case, sheet in sheets.items():
        grids = (usual(leaves, "Data"), sheet) if len(made) % 2 else (sheet, usual(leaves, "Data"))
        made.append(Ugly(2, f"another sheet: {case}", f"{NAME}.xlsx", xlsx_bytes(*grids), tuple(usual(leaves, "Data").truth)))
    return made


def _means(leaves: Sequence[Any]) -> list[list[object]]:
    return [[leaf.day, SITES[leaf.site], TAXA[leaf.taxon], 17.3] for leaf in leaves[::3]]


def two_tables() -> list[Ugly]:
    """Two true tables beside each other: other words, other units, other order, starting in other rows."""
    left_leaves, right_leaves = a_class(266, sites=("ridge",)), a_class(267, sites=("draw",), unit="psi")
    left = (DATE, TIME, SITE, TAXON, PLANT, LEAF, BAR)
    words: tuple[Column, ...] = (
        ("Day", DATE[1]), ("Clock", TIME[1]), ("Location", SITE[1]), ("Plant species", TAXON[1]), ("Indiv.", PLANT[1]), ("Rep", LEAF[1]),
        ("Reading (psi)", lambda leaf: leaf.number),
    )  # fmt: skip
    order = (words[6], words[3], words[4], words[5], words[2], words[0], words[1])
    made = []
    for case, right, reading, shift in (
        ("in other words and units", words, 6, 0),
        ("in another order", order, 0, 0),
        ("the second two rows lower", words, 6, 2),
    ):
        grid = Grid().add([name for name, _ in left] + ([None] + [name for name, _ in right] if not shift else []))
        for at in range(6 + shift):
            row: list[object] = [value(left_leaves[at]) for _, value in left] if at < 6 else [None] * 7
            if at == shift - 1:
                row += [None, *(name for name, _ in right)]
            elif at >= shift:
                row += [None, *(value(right_leaves[at - shift]) for _, value in right)]
            grid.rows.append(row)
            if at < 6:
                grid.note(left_leaves[at], 6)
            if at >= shift:
                grid.note(right_leaves[at - shift], 8 + reading)
        made.append(_csv(f"two tables side by side {case}", grid))
    titled = Grid().add(["Ridge Top (bar)", None, None, None, None, None, "Creek Draw (psi)"])
    plain = (DATE, TIME, TAXON, PLANT, ("Pressure", lambda leaf: leaf.number))
    names: list[object] = [name for name, _ in plain]
    titled.add([*names, None, *names])
    for one, two in zip(left_leaves, right_leaves, strict=True):
        titled.rows.append([value(one) for _, value in plain] + [None] + [value(two) for _, value in plain])
        titled.note(one.but(leaf=""), 4)
        titled.note(two.but(leaf=""), 10)
    return [*made, _csv("two tables side by side, site and unit above each", titled)]


def other_days() -> Ugly:
    """A table of last year's means below, with its own date."""
    grid = usual(a_class(268)).add([], ["Last year's averages"], ["Date", "Site", "Species", "Pressure (bar)"])
    grid.add([date(2023, 9, 19), "Ridge Top", "ANGE", 16.5], [date(2023, 9, 19), "Creek Draw", "ANGE", 14.5])
    return _csv("below: last year's averages with dates", grid)


FILES = [to_the_right, below, left_and_above, unheaded, other_sheets, two_tables, other_days]
