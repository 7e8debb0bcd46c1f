"""Units: spelled any way, in cells, mixed, missing, the Greek letter, numbers of one unit under the header of another."""

from __future__ import annotations

from typing import Any

from tests.corpus.troubles.numbers import Written, column, mixed
from tests.corpus.truth import PLACE, Grid, Leaf, Ugly, a_class, number
from tests.corpus.writing import csv_bytes

NAME = "Fall 2024 Section A"
UNIT_ASKED = frozenset({"unit_missing", "unit_unclear", "unit_unknown"})


def _csv(case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(3, case, f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def in_cells() -> list[Ugly]:
    """A unit in each cell, of one kind or of several, and numbers without one among them."""
    leaves = a_class(321)
    forms = ("{} bar", "{}bar", "{} Bar", "{} bars", "{} b", "{}BAR")
    spelled = column(leaves, "Pressure", lambda leaf: forms[leaves.index(leaf) % 4].format(number(leaf.number)))
    several = [
        leaf.but(number=float(round(leaf.number * 14.5 / 5) * 5), unit="psi") if at % 3 == 0 else leaf for at, leaf in enumerate(leaves)
    ]
    several = [leaf.but(number=round(leaf.number / 10, 2), unit="MPa") if at % 3 == 1 else leaf for at, leaf in enumerate(several)]
    each = column(several, "Reading", lambda leaf: f"{number(leaf.number)} {leaf.unit}")
    close = column(several, "Reading", lambda leaf: f"{number(leaf.number)}{leaf.unit}")
    negative = column(several, "Water potential", lambda leaf: f"−{number(leaf.number)} {leaf.unit}")
    unit = Grid().table(several, (*PLACE, ("Reading", lambda leaf: leaf.number), ("Unit", lambda leaf: leaf.unit.upper())), 6)
    blank = Grid().table(
        leaves, (*PLACE, ("Reading", lambda leaf: leaf.number), ("Units", lambda leaf: "bar" if leaf is leaves[0] else None)), 6
    )
    against: Written = {
        4: ("350 psi", {"number": 350.0, "unit": "psi"}),
        7: ("2.1 MPa", {"number": 2.1, "unit": "MPa"}),
    }
    return [
        _csv("38 bar in the cells, spelled four ways", spelled),
        _csv("three units in the cells", each),
        _csv("three units joined to the numbers", close),
        _csv("potentials with their units in the cells", negative),
        _csv("a column of units", unit),
        _csv("a column of units filled in once", blank, answers=("reading.unit=bar",)),
        _csv("a cell's unit against the header's", mixed(leaves, "Pressure (bar)", against, lambda leaf: number(leaf.number))),
    ]


def some_without() -> Ugly:
    """Most cells name their unit: those that do not are no readings until somebody says so."""
    leaves = [leaf.but(expect="aside") if at in (2, 5) else leaf for at, leaf in enumerate(a_class(322))]
    grid = column(leaves, "Pressure", lambda leaf: number(leaf.number) if leaf.expect == "aside" else f"{number(leaf.number)} bar")
    return _csv("some cells without a unit", grid)


def nowhere() -> list[Ugly]:
    """No unit anywhere, a unit in the title alone, headers that can be a unit or the Greek letter."""
    leaves, psis = a_class(323), a_class(324, unit="psi")
    sizes = [leaf.but(number=round(leaf.number / 10, 2), unit="MPa") for leaf in leaves]
    titled = Grid().add(["Pressure bomb lab, readings in psi"], []).table(psis, (*PLACE, ("Reading", lambda leaf: leaf.number)), 6)
    greek = column(sizes, "psi (MPa)", lambda leaf: -leaf.number)
    comma = column(sizes, "Psi leaf, MPa", lambda leaf: -leaf.number)
    bare = column(sizes, "Psi", lambda leaf: -leaf.number)
    odd = column([leaf.but(number=leaf.number) for leaf in leaves], "Pressure (mb)", lambda leaf: leaf.number)
    minus = column(sizes, "Ψ (−MPa)", lambda leaf: leaf.number)
    slash = column(psis, "Pressure/psi", lambda leaf: leaf.number)
    pounds = column(psis, "PRESSURE [P.S.I.]", lambda leaf: leaf.number)
    hundred = column([leaf.but(number=leaf.number * 100, unit="kPa") for leaf in leaves], "Pressure in kPa", lambda leaf: leaf.number)
    return [
        _csv("no unit anywhere", column(leaves, "Reading", lambda leaf: leaf.number), asks=UNIT_ASKED, answers=("reading.unit=bar",)),
        _csv("no unit anywhere, psi", column(psis, "Pressure", lambda leaf: leaf.number), asks=UNIT_ASKED, answers=("reading.unit=psi",)),
        _csv("unit in the title alone", titled),
        _csv("psi (MPa)", greek),
        _csv("Psi leaf, MPa", comma),
        _csv("Psi alone over negative MPa", bare, asks=UNIT_ASKED, answers=("reading.unit=MPa",)),
        _csv("psi alone over psi", column(psis, "psi", lambda leaf: leaf.number), asks=UNIT_ASKED, answers=("reading.unit=psi",)),
        _csv("a unit that is not known", odd, asks=UNIT_ASKED, answers=("reading.unit=bar",)),
        _csv("Ψ (−MPa) over positive numbers", minus),
        _csv("Pressure/psi", slash),
        _csv("[P.S.I.]", pounds, answers=("reading.unit=psi",)),
        _csv("kPa", hundred),
    ]


def of_another() -> list[Ugly]:
    """Numbers of one unit under the header of another: never in the means without a mark."""

    def typed(seed: int, header: str, unit: str) -> Grid:
        return column(a_class(seed, unit=unit), header, lambda leaf: leaf.number)

    psi_as_bar = typed(331, "Pressure (bar)", "psi")
    mpa_as_bar = typed(332, "Pressure (bar)", "MPa")
    bar_as_mpa = typed(333, "Pressure (MPa)", "bar")
    bar_as_psi = typed(334, "Pressure (psi)", "bar")
    few: Written = {
        2: (350, {"number": 350.0, "unit": "psi", "expect": "doubt"}),
        5: (1.75, {"number": 1.75, "unit": "MPa", "expect": "doubt"}),
    }
    psis: Written = {
        3: (24.5, {"number": 24.5, "unit": "bar", "expect": "doubt"}),
        6: (1.9, {"number": 1.9, "unit": "MPa", "expect": "doubt"}),
    }
    asks = frozenset({"unit_doubtful", "unit_doubt", "unit_suspect", "unit_unclear", "unit_missing", "no_readings_left"})
    some = mixed(a_class(335), "Pressure (bar)", few, lambda leaf: leaf.number)
    other = mixed(a_class(336, unit="psi"), "Pressure (psi)", psis, lambda leaf: leaf.number)
    return [
        _csv("psi numbers under bar", psi_as_bar, answers=("reading.unit=psi",), asks=asks),
        _csv("MPa numbers under bar", mpa_as_bar, answers=("reading.unit=MPa",), asks=asks),
        _csv("bar numbers under MPa", bar_as_mpa, answers=("reading.unit=bar",), asks=asks),
        _csv("bar numbers under psi", bar_as_psi, answers=("reading.unit=bar",), asks=asks),
        _csv("one psi and one MPa number among bars", some),
        _csv("one bar and one MPa number among psi", other),
    ]


def beyond_the_chamber() -> Ugly:
    """Values above the named chamber's maximum, and the limit that the gauge's unit tells."""

    def chamber(leaf: Leaf) -> str:
        return "chamber 1"

    leaves = a_class(337)
    true = [leaf.but(number=48.0, expect="aside") if at == 3 else leaf for at, leaf in enumerate(leaves)]
    grid = Grid().table(true, (*PLACE, ("Pressure (bar)", lambda leaf: leaf.number), ("Chamber", chamber)), 6)
    return _csv("above the chamber's maximum", grid)


FILES = [in_cells, some_without, nowhere, of_another, beyond_the_chamber]
