"""Numbers as people and their programs write them: decimal commas, thousands marks, minus signs, letters for digits, doubt."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import Any

from tests.corpus.truth import PLACE, Cell, Grid, Leaf, Ugly, a_class, number
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"


def column(leaves: Sequence[Leaf], header: str, shown: Callable[[Leaf], Cell], sheet: str = "") -> Grid:
    """The plain table with the reading's header and spelling changed."""
    return Grid(sheet).table(leaves, (*PLACE, (header, shown)), 6)


Written = Mapping[int, tuple[Cell, Mapping[str, Any]]]


def mixed(leaves: Sequence[Leaf], header: str, written: Written, shown: Callable[[Leaf], Cell]) -> Grid:
    """The plain table with single cells replaced; each comes with what is then true of the leaf."""
    true = [leaf.but(**written[at][1]) if at in written else leaf for at, leaf in enumerate(leaves)]
    grid = column(true, header, shown)
    for at, (cell, _) in written.items():
        grid.rows[at + 1][6] = cell
    return grid


def _csv(case: str, grid: Grid, separator: str = ",", **more: Any) -> Ugly:
    return Ugly(3, case, f"{NAME}.csv", csv_bytes(grid.rows, separator=separator), tuple(grid.truth), **more)


def _one(leaf: Leaf) -> str:
    return f"{leaf.number:.1f}"


def marks() -> list[Ugly]:
    """Decimal commas, thousands marks and spaces."""
    bars, psis = a_class(301), a_class(302, unit="psi")
    kilo = [leaf.but(number=leaf.number * 100, unit="kPa") for leaf in bars]
    return [
        _csv("decimal comma", column(bars, "Pressure (bar)", lambda leaf: _one(leaf).replace(".", ",")), ";"),
        _csv("decimal comma in MPa, three decimals", column(
            [leaf.but(number=round(leaf.number / 10 + 0.005, 3), unit="MPa") for leaf in bars],
            "Pressure (MPa)", lambda leaf: f"{leaf.number:.3f}".replace(".", ","),
        ), ";"),
        _csv("thousands commas in kPa", column(kilo, "Pressure (kPa)", lambda leaf: f"{leaf.number:,.0f}")),
        _csv("thousands commas and decimals in kPa", column(kilo, "Pressure (kPa)", lambda leaf: f"{leaf.number:,.1f}")),
        _csv("thousands spaces in kPa", column(kilo, "Pressure (kPa)", lambda leaf: f"{leaf.number:,.0f}".replace(",", "\u202f"))),
        _csv("thousands points in kPa, decimal comma", column(
            kilo, "Pressure (kPa)", lambda leaf: f"{leaf.number:,.1f}".translate(str.maketrans(",.", ".,"))
        ), ";"),
        _csv("spaces around numbers", column(psis, "Pressure (psi)", lambda leaf: f"\u00a0 {number(leaf.number)} ")),
        _csv("points and commas mixed", mixed(
            bars, "Pressure (bar)", {3: ("17,5", {"number": 17.5}), 4: ("12,0", {"number": 12.0})}, _one
        )),
    ]  # fmt: skip


def signs() -> list[Ugly]:
    """Minus signs of every kind, brackets for negative numbers, full-width digits."""
    leaves = [leaf.but(number=round(leaf.number / 10, 2), unit="MPa") for leaf in a_class(303)]
    made = []
    for minus, word in (("−", "Unicode"), ("–", "dash"), ("-", "hyphen"), ("－", "full-width"), ("‐", "Unicode hyphen")):
        shown = column(leaves, "Water potential (MPa)", lambda leaf, minus=minus: f"{minus}{leaf.number:.2f}")  # type: ignore[misc]
        made.append(_csv(f"minus as {word}", shown))
    wide = str.maketrans("0123456789.", "０１２３４５６７８９．")
    made.append(_csv("brackets for negative", column(leaves, "Water potential (MPa)", lambda leaf: f"({leaf.number:.2f})")))
    made.append(_csv("full-width digits", column(a_class(304), "Pressure (bar)", lambda leaf: _one(leaf).translate(wide))))
    made.append(_csv("a plus before pressures", column(a_class(304), "Pressure (bar)", lambda leaf: f"+{_one(leaf)}")))
    made.append(_csv("minus after the number", column(leaves, "Water potential (MPa)", lambda leaf: f"{leaf.number:.2f}-")))
    some = {2: ("1.35", {"number": 1.35, "expect": "doubt"})}
    made.append(_csv("one potential without its minus", mixed(leaves, "Ψ (MPa)", some, lambda leaf: f"-{leaf.number:.2f}")))
    few = {2: ("-13.5", {"number": 13.5, "expect": "doubt"})}
    made.append(_csv("one pressure with a minus", mixed(a_class(305), "Pressure (bar)", few, _one)))
    half = a_class(306)
    both = column(half, "Pressure (bar)", lambda leaf: -leaf.number if int(leaf.plant) % 2 else leaf.number)
    made.append(_csv("positive and negative mixed", both, asks=frozenset({"quantity_unclear"}), answers=("reading.quantity=either",)))
    under = column(a_class(307), "Pressure (bar)", lambda leaf: -leaf.number)
    made.append(_csv("all negative under pressure", under, asks=frozenset({"quantity_unclear"}), answers=("reading.quantity=potential",)))
    positive = column(leaves, "Water potential (MPa)", lambda leaf: leaf.number)
    made.append(
        _csv("all positive under potential", positive, asks=frozenset({"quantity_unclear"}), answers=("reading.quantity=pressure",))
    )
    return made


def letters_for_digits() -> Ugly:
    """l for 1, O for 0, a stray letter: read with a mark or set aside, never as another number."""
    written: Written = {
        0: ("l7.5", {"number": 17.5, "expect": "doubt"}),
        1: ("2O.5", {"number": 20.5, "expect": "doubt"}),
        2: ("l2", {"number": 12.0, "expect": "doubt"}),
        3: ("1S.5", {"number": 15.5, "expect": "doubt"}),
        4: ("18..5", {"number": 18.5, "expect": "doubt"}),
        5: ("17.5.", {"number": 17.5, "expect": "doubt"}),
        6: ("1 7.5", {"number": 17.5, "expect": "doubt"}),
        7: ("17 .5", {"number": 17.5, "expect": "doubt"}),
    }
    return _csv("letters for digits", mixed(a_class(308), "Pressure (bar)", written, _one))


def doubted() -> list[Ugly]:
    """Signs of doubt, ranges, two numbers, arithmetic and corrections in one cell."""
    doubt: Written = {
        0: ("~17.5", {"number": 17.5, "expect": "doubt"}),
        1: ("18?", {"number": 18.0, "expect": "doubt"}),
        2: ("ca. 21", {"number": 21.0, "expect": "doubt"}),
        3: ("(?) 19", {"number": 19.0, "expect": "doubt"}),
        4: ("about 16", {"number": 16.0, "expect": "doubt"}),
        5: ("15 (?)", {"number": 15.0, "expect": "doubt"}),
        6: ("≈14", {"number": 14.0, "expect": "doubt"}),
        7: ("~20?", {"number": 20.0, "expect": "doubt"}),
    }
    several: Written = {
        0: ("17-18", {"expect": "aside"}),
        1: ("17–18", {"expect": "aside"}),
        2: ("17 to 18", {"expect": "aside"}),
        3: ("17, 19", {"expect": "aside"}),
        4: ("17/19", {"expect": "aside"}),
        5: ("16.5 18.5", {"expect": "aside"}),
        6: ("17 -> 19", {"expect": "aside"}),
        7: ("12+3", {"expect": "aside"}),
        8: ("17 ± 1", {"number": 17.0, "expect": "doubt"}),
        9: ("17;19", {"expect": "aside"}),
        10: ("17,19", {"expect": "aside"}),
    }
    powers: Written = {
        0: ("1.75E+01", {"number": 17.5}),
        1: ("17½", {"number": 17.5}),
        2: ("17 1/2", {"number": 17.5}),
        3: ("'17.5", {"number": 17.5}),
        4: ("=17.5", {"number": 17.5}),
        5: ("17.50 ", {"number": 17.5}),
        6: ("017.5", {"number": 17.5}),
        7: ("17.5*", {"number": 17.5, "expect": "doubt"}),
    }
    return [
        _csv("signs of doubt", mixed(a_class(309), "Pressure (bar)", doubt, _one)),
        _csv("ranges and two numbers in a cell", mixed(a_class(310), "Pressure (bar)", several, _one)),
        _csv("powers, fractions, apostrophes", mixed(a_class(311), "Pressure (bar)", powers, _one)),
    ]


def made_dates() -> list[Ugly]:
    """Readings and ids that a spreadsheet program turned into dates."""
    leaves = a_class(312)
    true = [leaf.but(expect="aside") if at < 2 else leaf for at, leaf in enumerate(leaves)]
    readings = column(true, "Pressure (bar)", lambda leaf: leaf.number, "Sheet1")
    readings.rows[1][6], readings.rows[2][6] = datetime(2024, 5, 12), datetime(2024, 8, 17)
    plants = [leaf.but(plant="") for leaf in leaves]
    ids = Grid("Sheet1").table(plants, (*PLACE[:4], ("Plant", lambda _: None), PLACE[5], ("Pressure (bar)", lambda leaf: leaf.number)), 6)
    for at in range(1, len(ids.rows)):
        # "3-1", the first leaf of the third plant, became the first of March.
        ids.rows[at][4] = datetime(2024, 3, at)
    return [
        Ugly(3, "readings turned into dates", f"{NAME}.xlsx", xlsx_bytes(readings), tuple(readings.truth)),
        Ugly(
            3,
            "plant ids turned into dates",
            f"{NAME}.xlsx",
            xlsx_bytes(ids),
            tuple(ids.truth),
            says=("turned into a date|date.{0,40}plant|plant.{0,80}date",),
        ),
    ]


def zeros() -> Ugly:
    """Zero is no balance pressure, and no value is never zero."""
    written: Written = {
        0: (0, {"expect": "aside"}),
        1: ("0.0", {"expect": "aside"}),
        2: ("", {"expect": "aside"}),
        3: ("-", {"expect": "aside"}),
        4: ("n/a", {"expect": "aside"}),
        5: ("#N/A", {"expect": "aside"}),
        6: ("#VALUE!", {"expect": "aside"}),
        7: ("999", {"expect": "aside"}),
        8: ("-9999", {"expect": "aside"}),
        9: ("NaN", {"expect": "aside"}),
        10: ("inf", {"expect": "aside"}),
    }
    return _csv("zeros, blanks and stand-ins for no value", mixed(a_class(313, plants=9), "Pressure (bar)", written, _one))


FILES = [marks, signs, letters_for_digits, doubted, made_dates, zeros]
