"""Units in more of the spellings that classes use: in cells, in columns of their own, above the table, two at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tests.corpus.troubles.numbers import Written, column, mixed
from tests.corpus.troubles.spelled_numbers import ASIDE, as_csv, as_xlsx, meant, one_decimal
from tests.corpus.truth import PLACE, Cell, Grid, Leaf, Ugly, a_class, number


def units_of_cells() -> list[Ugly]:
    """A unit in some cells of a column that has another, spelled any way, in front, behind, in brackets."""
    leaves = a_class(344, plants=5)
    bars: Written = {
        0: ("350 psi", meant(350.0, "psi")),
        1: ("350psi", meant(350.0, "psi")),
        2: ("350 PSI", meant(350.0, "psi")),
        3: ("350 p.s.i.", meant(350.0, "psi")),
        4: ("350 (psi)", meant(350.0, "psi")),
        5: ("psi 350", meant(350.0, "psi")),
        6: ("2.1 MPa", meant(2.1, "MPa")),
        7: ("2.1Mpa", meant(2.1, "MPa")),
        8: ("2100 kPa", meant(2100.0, "kPa")),
        9: ("2,100 kPa", meant(2100.0, "kPa")),
        10: ("21 bars", meant(21.0)),
        11: ("21 Bar.", meant(21.0)),
        12: ("2.1 megapascals", meant(2.1, "MPa")),
        13: ("21 bar (gauge)", ASIDE),
        14: ("300 pounds", ASIDE),
        15: ("300 lbs", ASIDE),
        16: ("300#", ASIDE),
        17: ("2.1 M Pa", ASIDE),
        18: ("350 psi / 24 bar", {"expect": "aside"}),
    }
    mostly = [
        leaf.but(number=float(round(leaf.number * 14.5038 / 5) * 5), unit="psi") if at % 4 == 1 else leaf
        for at, leaf in enumerate(a_class(345))
    ]
    each = column(mostly, "Pressure", lambda leaf: f"{number(leaf.number)} psi" if leaf.unit == "psi" else f"{number(leaf.number)} bar")
    header = column(mostly, "Pressure (bar)", lambda leaf: f"{number(leaf.number)} psi" if leaf.unit == "psi" else leaf.number)
    both = column(mostly, "Pressure (bar or psi)", lambda leaf: f"{number(leaf.number)} {leaf.unit}")
    bare = [leaf.but(expect="aside") if leaf.unit == "bar" and at % 3 == 0 else leaf for at, leaf in enumerate(mostly)]
    either = column(
        bare, "Pressure (bar or psi)", lambda leaf: leaf.number if leaf.expect == "aside" else f"{number(leaf.number)} {leaf.unit}"
    )
    return [
        as_csv("units of all kinds in a column of bar", mixed(leaves, "Pressure (bar)", bars, one_decimal)),
        as_csv("bar and psi in the cells", each),
        as_csv("psi in some cells of a column of bar", header),
        as_csv("a header that names two units", both),
        as_csv("a header that names two units, and bare numbers", either),
    ]


def unit_columns() -> list[Ugly]:
    """The unit in a column of its own: spelled many ways, once per block, with ditto marks."""
    mix = [
        leaf.but(number=float(round(leaf.number * 14.5038 / 5) * 5), unit="psi") if at >= 6 else leaf
        for at, leaf in enumerate(a_class(346))
    ]
    made = []
    spelled = {"bar": ("bar", "Bar", "bars", "BAR", "bar.", "(bar)"), "psi": ("psi", "PSI", "p.s.i.", "psi ", "psig", "lb/in2")}
    shown: dict[str, Callable[[int, Leaf], Cell]] = {
        "spelled many ways": lambda at, leaf: spelled[leaf.unit][at % 6],
        "once per block": lambda at, leaf: leaf.unit if at in (0, 6) else None,
        "with ditto marks": lambda at, leaf: leaf.unit if at in (0, 6) else '"',
    }
    for case, unit in shown.items():
        grid = Grid().table(
            mix, (*PLACE, ("Pressure", lambda leaf: leaf.number), ("Units", lambda leaf, unit=unit: unit(mix.index(leaf), leaf))), 6
        )
        made.append(as_csv(f"a column of units {case}", grid))
    return made


def units_above() -> list[Ugly]:
    """The unit in a title, a note below, beside a label, in the sheet's name, against the header."""
    psis, bars = a_class(347, unit="psi"), a_class(348)
    plain = (*PLACE, ("Pressure", lambda leaf: leaf.number))
    made = []
    titles: tuple[list[str | None], ...] = (
        ["Units: psi"],
        ["Unit", "psi"],
        ["Pressure in pounds per square inch (psi)"],
        ["Lab 3", None, None, "units = PSI"],
        ["All readings [psi]"],
        ["psi"],
        ["Pressure readings (PSI), midday"],
    )
    for at, title in enumerate(titles):
        made.append(as_csv(f"the unit above the table, {at}", Grid().add(title, []).table(psis, plain, 6)))
    for at, note in enumerate((["Note: all pressures in bar"], ["* pressures in bars"], ["units:", "bar"], ["(bar)"])):
        made.append(as_csv(f"the unit below the table, {at}", Grid().table(bars, plain, 6).add([], note), answers=("reading.unit=bar",)))
    heads = Grid().add(["Readings in bar"]).table(bars, plain, 6).add([], ["psi from here on"])
    heads.table([leaf.but(site="bench") for leaf in psis], plain, 6)
    three = Grid()
    for site, unit in (("ridge", "bar"), ("bench", "psi"), ("draw", "MPa")):
        leaves = a_class(349, unit=unit, sites=(site,))
        three.add([f"Pressure ({unit})"]).table(leaves, plain, 6).add([])
    sheet = Grid("psi").table(psis, plain, 6)
    return [
        *made,
        as_csv("stacked: the unit above equal headers", heads),
        as_csv("stacked: three units above equal headers", three),
        as_xlsx("the unit is the sheet's name", sheet, answers=("reading.unit=psi",)),
    ]


def of_another_unit() -> list[Ugly]:
    """psi typed under bar for a half or a third of the rows, values beyond the chamber, negative and positive by section."""

    def some(seed: int, share: Sequence[int], unit: str, typed: str) -> Grid:
        leaves = a_class(seed)
        true = [
            leaf.but(
                number=float(round(leaf.number * 14.5038 / 5) * 5) if typed == "psi" else round(leaf.number / 10, 2),
                unit=typed,
                expect="aside" if typed == "psi" else "doubt",
            )
            if at in share
            else leaf
            for at, leaf in enumerate(leaves)
        ]
        return column(true, f"Pressure ({unit})", lambda leaf: leaf.number)

    over: Written = {1: (41, ASIDE), 4: (58, ASIDE), 6: (99, ASIDE), 8: (400, ASIDE)}
    chamber = mixed(a_class(350), "Pressure (bar)", over, lambda leaf: leaf.number)
    for row in chamber.rows:
        row.append("Chamber" if row[0] == "Date" else "chamber 1")
    return [
        as_csv("a third in psi under bar", some(351, (1, 4, 7, 10), "bar", "psi")),
        as_csv("a third in MPa under bar", some(352, (1, 4, 7, 10), "bar", "MPa")),
        as_csv("beyond a named chamber", chamber),
    ]


FILES = [units_of_cells, unit_columns, units_above, of_another_unit]
