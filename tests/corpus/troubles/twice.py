"""Rows and leaves that are there twice: typed twice, sent twice, corrected below, or only alike."""

from __future__ import annotations

from typing import Any

from tests.corpus.truth import BAR, DATE, PLACE, SITE, TAXON, TIME, USUAL, Grid, Ugly, a_class, usual
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"


def _csv(case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(7, case, f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def rows_twice() -> list[Ugly]:
    """The same row twice at once, at the end, or on another sheet."""
    leaves = a_class(701)
    again = [leaf.but(expect="aside") for leaf in leaves]
    at_once = usual([leaves[0], again[0], *leaves[1:]])
    at_end = usual([*leaves, again[2], again[5]])
    whole = usual([*leaves, *again])
    first, second = usual(leaves, "Data"), usual(again, "Copy of Data")
    return [
        _csv("a row typed twice", at_once),
        _csv("two rows again at the end", at_end),
        _csv("the whole table pasted twice", whole),
        Ugly(7, "a copy of the sheet", f"{NAME}.xlsx", xlsx_bytes(first, second), (*first.truth, *second.truth)),
    ]


def other_values() -> list[Ugly]:
    """The same leaf with another value: which is right, the file does not say, so neither counts."""
    leaves = [leaf.but(expect="doubt") if at in (1, 4) else leaf for at, leaf in enumerate(a_class(702))]
    more = [leaf.but(number=leaf.number + 2) for leaf in leaves if leaf.expect == "doubt"]
    second = Grid("Corrected").table(more, USUAL, 6)
    first = usual(leaves, "Data")
    return [
        _csv("the same leaf with another value", usual([*leaves, *more])),
        Ugly(
            7, "the same leaf with another value on another sheet", f"{NAME}.xlsx", xlsx_bytes(first, second), (*first.truth, *second.truth)
        ),
    ]


def only_alike() -> list[Ugly]:
    """Rows without numbers of plant or leaf that happen to be alike: flagged, and nobody's reading thrown away."""
    leaves = a_class(703, plants=4)
    same = [
        leaf.but(number=18.5, clock="12:40", plant="", leaf="") if at % 4 < 2 else leaf.but(plant="", leaf="")
        for at, leaf in enumerate(leaves)
    ]
    grid = Grid().table(same, (DATE, TIME, SITE, TAXON, BAR), 4)
    numbered = [leaf.but(number=18.5, clock="12:40") for leaf in a_class(704)]
    return [_csv("alike rows without numbers", grid), _csv("alike readings of different plants", usual(numbered))]


def form_twice() -> Ugly:
    """A form sent twice: all the same but the moment of sending."""
    leaves = a_class(705)
    sent = [*leaves, leaves[3].but(expect="aside"), leaves[4].but(expect="aside")]
    moments = iter(range(len(sent)))
    stamped = Grid().table(sent, (("Timestamp", lambda _: f"9/17/2024 18:{10 + next(moments)}:31"), *PLACE, BAR), 7)
    return _csv("a form sent twice", stamped)


FILES = [rows_twice, other_values, only_alike, form_twice]
