"""What is said once for several tables: a day at the top of the sheet, a site in its name, statements; and commas without a quote."""

from __future__ import annotations

from datetime import date

from tests.corpus.places import SITES, TAXA
from tests.corpus.truth import BAR, LEAF, PLANT, TAXON, TIME, Column, Grid, Leaf, Truth, Ugly, a_class, number, unclocked
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"
OF_ONE_SITE: tuple[Column, ...] = (TAXON, PLANT, LEAF, TIME, BAR)
WITHOUT_TIME: tuple[Column, ...] = (TAXON, PLANT, LEAF, BAR)


def _by_site(seed: int) -> dict[str, list[Leaf]]:
    leaves = a_class(seed)
    return {site: [leaf for leaf in leaves if leaf.site == site] for site in ("ridge", "draw")}


def day_at_the_top() -> list[Ugly]:
    """The day once, at the top; each block below with a heading, a header and averages of its own."""
    below = Grid().add(["Section A", None, "17-Sep-2024"], [])
    for site, leaves in _by_site(1401).items():
        below.add([], [f"{SITES[site]} - Midday"])
        below.table(leaves, OF_ONE_SITE, 4)
        below.add(["Average", None, None, None, 12.5], ["s.e.", None, None, None, 0.5])
    beside = Grid().add(["9/17/2024", "Section A"], ["Ridge Top", *[None] * 5, "Creek Draw"])
    beside.add([name for _ in range(2) for name in (*(name for name, _ in OF_ONE_SITE), None)])
    for pair in zip(*_by_site(1402).values(), strict=True):
        beside.rows.append([cell for leaf in pair for cell in (*(value(leaf) for _, value in OF_ONE_SITE), None)])
        for position, leaf in enumerate(pair):
            beside.note(leaf, 4 + 6 * position)
    two = Grid().add(["9/17/2024"], ["Ridge Top"])
    blocks = _by_site(1403)
    two.table(blocks["ridge"], OF_ONE_SITE, 4).add(["Creek Draw, 9/24/2024"])
    two.table([leaf.but(day=date(2024, 9, 24)) for leaf in blocks["draw"]], OF_ONE_SITE, 4)
    return [
        Ugly(2, "the day at the top, over stacked tables", f"{NAME}.csv", csv_bytes(below.rows), tuple(below.truth)),
        Ugly(2, "the day at the top, over tables side by side", f"{NAME}.csv", csv_bytes(beside.rows), tuple(beside.truth)),
        Ugly(2, "the day at the top, and another below", f"{NAME}.csv", csv_bytes(two.rows), tuple(two.truth)),
    ]


def statements() -> Ugly:
    """Blocks that each begin with who, where and when, a colon behind each word."""
    grid = Grid().add(["Section A"], ["9/17/2024"])
    for at, (site, leaves) in enumerate(_by_site(1404).items(), start=1):
        grid.add([], [f"Group {at}: two people"], [f"Site: {SITES[site]}", None, "Time of day: midday"])
        grid.table(unclocked(leaves), WITHOUT_TIME, 3)
    return Ugly(2, "statements before each block", f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth))


def sheets_named_for_site_and_day() -> Ugly:
    """A sheet for each trip, named for its site and its day."""
    grids = []
    for (site, leaves), day in zip(_by_site(1405).items(), (date(2024, 9, 17), date(2024, 9, 24)), strict=True):
        grid = Grid(f"{SITES[site]} {day.month}-{day.day}-24")
        grids.append(grid.table([leaf.but(day=day) for leaf in leaves], OF_ONE_SITE, 4))
    return Ugly(
        2, "sheets named for site and day", f"{NAME}.xlsx", xlsx_bytes(*grids), tuple(truth for grid in grids for truth in grid.truth)
    )


def one_unit_of_two() -> list[Ugly]:
    """A unit over one table and none over another: the answer is about the other, on one sheet and on two."""
    blocks = _by_site(1407)
    psi: Column = ("Reading", lambda leaf: leaf.number)
    first = Grid("Ridge Top").add(["Section A", "9/17/2024"], ["Ridge Top"]).table(blocks["ridge"], OF_ONE_SITE, 4)
    other = [leaf.but(number=float(round(leaf.number * 14.5)), unit="psi") for leaf in blocks["draw"]]
    both = Grid("", [*first.rows, [], ["Creek Draw"]], [Truth(truth.leaf, "", truth.row, truth.column) for truth in first.truth])
    both.table(other, (*OF_ONE_SITE[:-1], psi), 4)
    second = Grid("Creek Draw").add(["Section A", "9/17/2024"]).table(other, (*OF_ONE_SITE[:-1], psi), 4)
    asks, unit = frozenset({"unit_missing"}), "reading.unit=psi"
    sheets = xlsx_bytes(first, second)
    of_both = (*first.truth, *second.truth)
    return [
        Ugly(2, "no unit over one of two tables", f"{NAME}.csv", csv_bytes(both.rows), tuple(both.truth), asks, (unit,)),
        Ugly(2, "no unit on one of two sheets", f"{NAME}.xlsx", sheets, of_both, asks, (unit,)),
        Ugly(2, "no unit on one of two sheets, answered for it", f"{NAME}.xlsx", sheets, of_both, asks, (f"only.Creek Draw.{unit}",)),
    ]


def unquoted_commas() -> list[Ugly]:
    """Commas within numbers and names, in text parted by commas and without a quote."""
    leaves = a_class(1406)
    header = ["Date", "Site", "Species", "Time", "Pressure (bar)", "Plant", "Leaf", "Remarks"]
    decimal, named, ended = Grid().add(header), Grid().add(header), Grid().add(header)
    for at, leaf in enumerate(leaves):
        first = ["9/17/2024", SITES[leaf.site], TAXA[leaf.taxon], leaf.clock]
        last = [leaf.plant, leaf.leaf, "ok" if at % 4 == 0 else None]
        decimal.add([*first, *f"{leaf.number:.1f}".split("."), *last]).note(leaf, 4)
        is_parted = at == 3
        split = [first[0], f"{first[1]}", "east end", *first[2:]] if is_parted else first
        named.add([*split, number(leaf.number), *last]).note(leaf.but(expect="aside") if is_parted else leaf, 4)
        ended.add([*first, number(leaf.number), *last, None]).note(leaf, 4)
    return [
        Ugly(1, "decimal commas unquoted, remarks blank", f"{NAME}.csv", csv_bytes(decimal.rows), tuple(decimal.truth)),
        Ugly(1, "a comma in a site's name unquoted", f"{NAME}.csv", csv_bytes(named.rows), tuple(named.truth)),
        Ugly(1, "a comma at the end of each row", f"{NAME}.csv", csv_bytes(ended.rows), tuple(ended.truth)),
    ]


FILES = [day_at_the_top, statements, sheets_named_for_site_and_day, one_unit_of_two, unquoted_commas]
