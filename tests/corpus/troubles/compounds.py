"""Several troubles in one file, as real files have them, and words beside the numbers."""

from __future__ import annotations

from typing import Any

from tests.corpus.places import SITES
from tests.corpus.troubles.numbers import Written, mixed
from tests.corpus.truth import BAR, DATE, LEAF, PLACE, PLANT, SITE, TAXON, USUAL, WINDOW, Grid, Leaf, Ugly, a_class, unclocked, usual
from tests.corpus.writing import csv_bytes, ods_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"


def _csv(trouble: int, case: str, grid: Grid, separator: str = ",", **more: Any) -> Ugly:
    return Ugly(trouble, case, f"{NAME}.csv", csv_bytes(grid.rows, separator=separator), tuple(grid.truth), **more)


def words_beside_numbers() -> Ugly:
    """A reading and a remark in one cell: the remark counts."""
    written: Written = {
        0: ("17.5 dead", {"number": 17.5, "expect": "doubt"}),
        1: ("17.5 (recut)", {"number": 17.5, "expect": "doubt"}),
        2: ("17.5, leaf broke", {"number": 17.5, "expect": "doubt"}),
        3: ("bar 17.5", {"number": 17.5}),
        4: ("17.5a", {"number": 17.5, "expect": "doubt"}),
        5: ("dead 17.5", {"number": 17.5, "expect": "doubt"}),
        6: (">40 dead", {"number": 40.0, "endpoint": "not_reached", "expect": "doubt"}),
        7: ("17.5 slipped", {"number": 17.5, "expect": "doubt"}),
        8: ("leaf 2: 17.5", {"number": 17.5, "expect": "doubt"}),
        9: ("not 17.5", {"expect": "aside"}),
        10: ("17.5 or 18", {"expect": "aside"}),
        11: ("40 (no endpoint)", {"number": 40.0, "endpoint": "not_reached"}),
    }
    return _csv(4, "words beside the number in its cell", mixed(a_class(951), "Pressure (bar)", written, lambda leaf: leaf.number))


def blocks_of_all() -> list[Ugly]:
    """What is written once for a block: window, section, unit; blocks merged on two levels."""
    both = unclocked([*a_class(952, window="predawn"), *a_class(953)])
    window = Grid().table(both, (DATE, WINDOW, SITE, TAXON, PLANT, LEAF, BAR), 6)
    for at, row in enumerate(window.rows[1:]):
        row[1] = row[1] if at % 12 == 0 else None
    halves = [leaf.but(section="ab"[at // 6]) for at, leaf in enumerate(a_class(954))]
    section = Grid().table(halves, (("Section", lambda leaf: leaf.section.upper()), *USUAL), 7)
    for at, row in enumerate(section.rows[1:]):
        row[0] = row[0] if at % 6 == 0 else None
    two_days = a_class(955, days=(a_class(1)[0].day, a_class(1)[0].day.replace(day=24)))
    merged = usual(two_days, "Sheet1")
    for at, row in enumerate(merged.rows[1:]):
        row[0] = row[0] if at % 12 == 0 else None
        row[2] = row[2] if at % 6 == 0 else None

    def merge(book: Any) -> None:
        for first in (2, 14):
            book["Sheet1"].merge_cells(f"A{first}:A{first + 11}")
        for first in (2, 8, 14, 20):
            book["Sheet1"].merge_cells(f"C{first}:C{first + 5}")

    return [
        _csv(2, "the window once per block", window),
        Ugly(2, "the section once per block", "Fall 2024.csv", csv_bytes(section.rows), tuple(section.truth)),
        Ugly(2, "days and sites merged on two levels", f"{NAME}.xlsx", xlsx_bytes(merged, shape=merge), tuple(merged.truth)),
    ]


def european() -> Ugly:
    """A title, a semicolon file with decimal commas, day-first dates, ditto marks and a mean below."""
    leaves = a_class(956)
    grid = Grid().add(["Saugspannung / Pressure", None, None, None, None, None, "Section A"], [])
    date_shown = ("Date", lambda leaf: f"{leaf.day:%d.%m.%Y}")
    comma = ("Pressure (bar)", lambda leaf: f"{leaf.number:.1f}".replace(".", ","))
    grid.table(leaves, (date_shown, *PLACE[1:], comma), 6)
    for at, row in enumerate(grid.rows[3:]):
        if at % 6:
            row[0], row[2] = '"', '"'
    grid.add([None, None, None, None, None, "Mean", "18,3"])
    return _csv(2, "European file with everything at once", grid, ";")


def sides_and_units() -> list[Ugly]:
    """Two tables side by side in two units; the unit of a page changes with its header; a transposed table with means."""
    bars, psis = a_class(957, sites=("ridge",)), a_class(958, sites=("draw",), unit="psi")
    left, right = (*PLACE, BAR), (*PLACE, ("Pressure (psi)", lambda leaf: leaf.number))
    sides = Grid().add([name for name, _ in left] + [None] + [name for name, _ in right])
    for one, two in zip(bars, psis, strict=True):
        sides.rows.append([value(one) for _, value in left] + [None] + [value(two) for _, value in right])
        sides.note(one, 6)
        sides.note(two, 14)
    pages = Grid().table(bars, left, 6).table(psis, right, 6)
    turned = Grid()
    for name, value in left:
        turned.rows.append([name, *(value(leaf) for leaf in bars), "Mean" if name == "Date" else 17.2 if name == BAR[0] else None])
    for position, leaf in enumerate(bars):
        turned.note(leaf, position + 1)
    return [
        _csv(2, "two tables side by side in two units", sides),
        _csv(2, "pages in two units", pages),
        _csv(2, "transposed with a column of means", turned),
    ]


def grid_of_sites() -> list[Ugly]:
    """A wide table under two levels of headers: sites above, replicates below; and windows above sites."""
    leaves = unclocked(a_class(959, taxa=("ange",), plants=4, leaves=2))
    by_plant: dict[str, list[Leaf]] = {}
    for leaf in leaves:
        by_plant.setdefault(leaf.plant, []).append(leaf)
    grid = Grid("Sheet1").add(
        [None, None, None, None, "Ridge Top", None, "Creek Draw", None],
        ["Date", "Window", "Species", "Plant", "Leaf 1 (bar)", "Leaf 2 (bar)", "Leaf 1 (bar)", "Leaf 2 (bar)"],
    )
    for group in by_plant.values():
        ordered = sorted(group, key=lambda leaf: (leaf.site != "ridge", leaf.leaf))
        first = ordered[0]
        grid.rows.append([first.day, first.window, "ANGE", int(first.plant), *(leaf.number for leaf in ordered)])
        for position, leaf in enumerate(ordered):
            grid.note(leaf, 4 + position)

    def merge(book: Any) -> None:
        book["Sheet1"].merge_cells("E1:F1")
        book["Sheet1"].merge_cells("G1:H1")

    return [
        _csv(2, "wide: sites above, leaves below", Grid("", grid.rows, [type(t)(t.leaf, "", t.row, t.column) for t in grid.truth])),
        Ugly(2, "wide: sites merged above, leaves below", f"{NAME}.xlsx", xlsx_bytes(grid, shape=merge), tuple(grid.truth)),
        Ugly(2, "wide: sites above, leaves below, ods", f"{NAME}.ods", ods_bytes(grid), tuple(grid.truth)),
    ]


def wrong_names_of_tables() -> list[Ugly]:
    """A heading or title that names one site over rows that name others; the file's name against the rows."""
    leaves = a_class(960)
    titled = Grid().add([f"Trip to {SITES['bench']}, section A"], []).table(leaves, USUAL, 6)
    headed = Grid().add([SITES["bench"]]).table(leaves, USUAL, 6)
    spring = [leaf.but(expect="aside") for leaf in leaves]
    against = usual(spring)
    return [
        _csv(2, "a title that names another site", titled),
        _csv(2, "a heading that names another site", headed),
        Ugly(
            5,
            "a file named for another semester",
            "Spring 2024 Section A.csv",
            csv_bytes(against.rows),
            tuple(against.truth),
            is_hopeless=True,
        ),
    ]


FILES = [words_beside_numbers, blocks_of_all, european, sides_and_units, grid_of_sites, wrong_names_of_tables]
