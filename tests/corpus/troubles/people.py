"""People: names, initials, addresses and numbers of students, wherever they stand; all invented, and none may be kept or printed."""

from __future__ import annotations

from typing import Any

from tests.corpus.truth import USUAL, Grid, Leaf, Ugly, a_class
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"
NAMES = ("Quillon Zabreth", "Oriana Vexley", "Thaddeus Mornwick", "Yseult Brackwater")
SURNAMES = ("Zabreth", "Vexley", "Mornwick", "Brackwater")


def _who(leaf: Leaf) -> str:
    return NAMES[(int(leaf.plant) + len(leaf.taxon + leaf.site)) % 4]


def _csv(case: str, grid: Grid, name: str = NAME, **more: Any) -> Ugly:
    return Ugly(8, case, f"{name}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def columns() -> list[Ugly]:
    """Columns of names, addresses and numbers, under headers that say so and under some that do not."""
    leaves = a_class(801)
    made = []
    for header in (
        "Observer",
        "Student name",
        "Your name(s)",
        "Group members",
        "Partner",
        "Reader",
        "Team",
        "TA",
        "Lab partner 2",
        "Recorded by",
        "First name",
        "Collector",
    ):
        made.append(_csv(f"people under {header}", Grid().table(leaves, (*USUAL, (header, _who)), 6), hides=SURNAMES))
    address = Grid().table(
        leaves,
        (
            ("Email Address", lambda leaf: _who(leaf).split()[1].lower() + "@school.example"),
            ("Student ID", lambda leaf: 80012340 + int(leaf.plant)),
            *USUAL,
        ),
        8,
    )
    made.append(_csv("addresses and student numbers", address, hides=(*SURNAMES, "8001234", "school.example")))
    bare = Grid().table(leaves, (*USUAL, ("", _who)), 6)
    made.append(_csv("people in a column without a header", bare, hides=SURNAMES))
    numbered = Grid().table(leaves, (*USUAL, ("ID", lambda leaf: f"80012{leaf.plant}77")), 6)
    made.append(_csv("student numbers under ID", numbered, hides=("80012",)))
    return made


def elsewhere() -> list[Ugly]:
    """Names in remarks, titles, notes, sheet names, the file's name, cells of readings, plants' tags, and cells that fail."""
    leaves = a_class(802)
    remarks = (
        "read by Zabreth",
        "ask Oriana Vexley",
        "leaf dropped by T. Mornwick",
        "brackwater@school.example knows",
        "call 555-0142-7788",
        "Yseult's leaf",
        "student 80012345",
        "OV",
        "",
    )
    noted = Grid().table(leaves, (*USUAL, ("Remarks", lambda leaf: remarks[leaves.index(leaf) % 9])), 6)
    titled = Grid().add(["Instructor: Dr. Thaddeus Mornwick"], ["Group: Zabreth, Vexley"], []).table(leaves, USUAL, 6)
    titled.add([], ["Data typed by Yseult Brackwater"], ["Brackwater: gauge was reset at noon"])
    sheet = Grid("Brackwater").table(leaves, USUAL, 6)
    readings = Grid().table([leaf.but(expect="aside") if at == 2 else leaf for at, leaf in enumerate(leaves)], USUAL, 6)
    readings.rows[3][6] = "see Vexley"
    tags = Grid().table([leaf.but(plant="") for leaf in leaves], (*USUAL[:4], ("Plant", lambda leaf: "Mornwick 1"), *USUAL[5:]), 6)
    for position, truth in enumerate(tags.truth):
        tags.truth[position] = truth.but(plant="1")
    failing = Grid().table([leaf.but(expect="aside") if at == 4 else leaf for at, leaf in enumerate(leaves)], USUAL, 6)
    failing.rows[5][0], failing.rows[5][1] = "Zabreth's day", "Vexley"
    site = Grid().table([leaf.but(expect="aside") if at == 4 else leaf for at, leaf in enumerate(leaves)], USUAL, 6)
    site.rows[5][2] = "Mornwick's spot"
    header = Grid().table(leaves, (*USUAL[:6], ("Pressure (bar) read by Zabreth", lambda leaf: leaf.number)), 6)
    return [
        _csv("people in remarks", noted, hides=(*SURNAMES, "Oriana", "Yseult", "school.example", "80012345", "7788")),
        _csv("people in titles and notes", titled, hides=(*SURNAMES, "Thaddeus")),
        Ugly(8, "people in the sheet's name", f"{NAME}.xlsx", xlsx_bytes(sheet), tuple(sheet.truth), hides=SURNAMES),
        _csv("people in the file's name", Grid().table(leaves, USUAL, 6), "Vexley Fall 2024 Section A", hides=SURNAMES),
        _csv("people in a reading's cell", readings, hides=SURNAMES),
        _csv("people in a plant's tag", tags, hides=SURNAMES),
        _csv("people in cells that fail", failing, hides=SURNAMES),
        _csv("people in a site's name", site, asks=frozenset({"site_unknown"}), answers=("names.site.Mornwick's spot=set aside",)),
        _csv("people in a header", header, hides=SURNAMES),
    ]  # fmt: skip


FILES = [columns, elsewhere]
