"""Rows and sheets that come again with something changed: a clock, a remark, a unit, another hand."""

from __future__ import annotations

from typing import Any

from tests.corpus.truth import BAR, DATE, PLACE, SITE, TAXON, TIME, USUAL, Grid, Ugly, a_class, usual
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"


def _csv(case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(7, case, f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def rows_again() -> list[Ugly]:
    """The same row with another clock, spelling, unit or remark; a leaf twice by two people; a third value."""
    leaves = a_class(1701)
    aside = [leaf.but(expect="aside") for leaf in leaves]
    spelled = usual(leaves)
    for at in (0, 5):
        spelled.rows.append(
            [
                aside[at].day,
                aside[at].clock,
                "ridge" if at == 0 else "RIDGE TOP",
                TAXON[1](aside[at]),
                int(aside[at].plant),
                1,
                f"{aside[at].number:.2f}",
            ]
        )
        spelled.note(aside[at], 6)
    dead = [leaf.but(expect="doubt") if at == 3 else leaf for at, leaf in enumerate(leaves)]
    noted = Grid().table([*dead, dead[3]], (*USUAL, ("Remarks", lambda _: None)), 6)
    noted.rows[-1][7] = "leaf was dead"
    worse = Grid().table([*dead, dead[3]], (*USUAL, ("Remarks", lambda _: None)), 6)
    worse.rows[4][7] = "leak at the seal"
    thrice = [leaf.but(expect="doubt") if at == 2 else leaf for at, leaf in enumerate(leaves)]
    three = usual([*thrice, thrice[2].but(number=thrice[2].number + 1), thrice[2].but(number=thrice[2].number + 2)])
    bound = [leaf.but(expect="doubt") if at == 1 else leaf for at, leaf in enumerate(leaves)]
    bounds = usual([*bound, bound[1].but(number=40.0, endpoint="not_reached")])
    bounds.rows[-1][6] = ">40"
    hands = Grid().table([*thrice, thrice[2].but(number=thrice[2].number + 0.5)], (*USUAL, ("Observer", lambda _: "QZ")), 6)
    hands.rows[-1][7] = "OV"
    return [
        _csv("the same rows in other spellings", spelled),
        _csv("the same row again, and now the leaf was dead", noted),
        _csv("the same row again, and only before was there a leak", worse),
        _csv("a leaf with three values", three),
        _csv("a leaf with a value and with a bound", bounds),
        _csv("a leaf read by two people", hands),
    ]


def sheets_again() -> list[Ugly]:
    """A sheet copied with one cell corrected, in another unit, with rows left out; a sheet for each student that copies the others'."""
    leaves = a_class(1702)
    doubted = [leaf.but(expect="doubt") if at == 7 else leaf for at, leaf in enumerate(leaves)]
    again = [leaf.but(number=leaf.number + 4) if leaf.expect == "doubt" else leaf.but(expect="aside") for leaf in doubted]
    first, second = usual(doubted, "Data"), usual(again, "Data (2)")
    bars = usual(leaves, "Data")
    pounds = [leaf.but(expect="aside") for leaf in leaves]
    psi = Grid("In MPa").table(pounds, (*PLACE, ("Pressure (MPa)", lambda leaf: round(leaf.number / 10, 3))), 6)
    other = Grid("Tidy").table([leaf.but(expect="aside") for leaf in leaves[:8]], (SITE, DATE, TAXON, *USUAL[4:6], BAR, TIME), 5)
    return [
        Ugly(7, "a copy of the sheet with one cell corrected", f"{NAME}.xlsx", xlsx_bytes(first, second), (*first.truth, *second.truth)),
        Ugly(7, "a copy of the sheet in another unit", f"{NAME}.xlsx", xlsx_bytes(bars, psi), (*bars.truth, *psi.truth)),
        Ugly(
            7,
            "a tidier copy of a part",
            f"{NAME}.xlsx",
            xlsx_bytes(usual(leaves, "Data"), other),
            (*usual(leaves, "Data").truth, *other.truth),
        ),
    ]


def alike() -> list[Ugly]:
    """Rows alike by chance: leaves without numbers, a plant without leaves, predawn and midday of one leaf."""
    leaves = [leaf.but(leaf="") for leaf in a_class(1703)]
    twins = [leaf.but(number=15.0, leaf="", clock="", plant="1") for leaf in leaves]
    grid = Grid().table(twins, (DATE, SITE, TAXON, ("Plant", lambda _: 1), ("Window", lambda _: "midday"), BAR), 5)
    day = a_class(1704)
    both = usual([*[leaf.but(clock=f"05:{20 + at:02d}", window="predawn", number=6.0) for at, leaf in enumerate(day)], *day])
    weeks = [*day, *[leaf.but(day=leaf.day.replace(day=24)) for leaf in day]]
    moments = iter(range(40))
    sent = Grid().table(
        [*day, *[leaf.but(expect="aside") for leaf in day[4:6]]],
        (("Timestamp", lambda _: f"9/17/2024 18:{10 + next(moments)}:31"), *PLACE, BAR, ("Comments", lambda _: "ok")),
        7,
    )
    sent.rows[-1][8] = "sent again, sorry"
    return [
        _csv("alike leaves of one plant without numbers", grid),
        _csv("predawn and midday of the same leaves", both),
        _csv("the same values a week later", usual(weeks)),
        _csv("a form sent again with another comment", sent),
    ]


FILES = [rows_again, sheets_again, alike]
