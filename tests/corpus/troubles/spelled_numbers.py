"""Numbers and units in more of the spellings that classes use: typed by hand, by programs, in other lands, in two units at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime, time
from typing import Any

from tests.corpus.troubles.numbers import Written, column, mixed
from tests.corpus.truth import BAR, DATE, LEAF, PLACE, PLANT, SITE, TAXON, TIME, Cell, Grid, Leaf, Ugly, a_class, number
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"
ASIDE: dict[str, Any] = {"expect": "aside"}
UNIT_ASKED = frozenset({"unit_missing", "unit_unclear", "unit_unknown", "unit_doubtful"})


def _csv(case: str, grid: Grid, separator: str = ",", **more: Any) -> Ugly:
    return Ugly(3, case, f"{NAME}.csv", csv_bytes(grid.rows, separator=separator), tuple(grid.truth), **more)


def _xlsx(case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(3, case, f"{NAME}.xlsx", xlsx_bytes(grid), tuple(grid.truth), **more)


def _one(leaf: Leaf) -> str:
    return f"{leaf.number:.1f}"


def _is(value: float, unit: str = "bar", **more: Any) -> dict[str, Any]:
    return {"number": value, "unit": unit, **more}


def letters_and_slips() -> list[Ugly]:
    """Letters for digits, doubled marks, full-width digits, spaces within numbers."""
    doubt: dict[str, Any] = {"expect": "doubt"}
    slips: Written = {
        0: ("1O", _is(10.0, **doubt)),
        1: ("l8", _is(18.0, **doubt)),
        2: ("I8.5", _is(18.5, **doubt)),
        3: ("1o.5", _is(10.5, **doubt)),
        4: ("2l", _is(21.0, **doubt)),
        5: ("1S.O", _is(15.0, **doubt)),
        6: ("18,.5", _is(18.5, **doubt)),
        7: ("18.,5", _is(18.5, **doubt)),
        8: ("２１．５", _is(21.5)),
        9: ("18·5", _is(18.5)),
        10: ("18.5.", _is(18.5, **doubt)),
        11: ("|8", _is(18.0, **doubt)),
        12: ("18.5 ,", _is(18.5, **doubt)),
        13: ("18.5'", _is(18.5, **doubt)),
        14: ("18:5", ASIDE),
        15: ("18_5", ASIDE),
        16: ("18 5", ASIDE),
        17: ("1.8.5", ASIDE),
        18: ("--18.5", ASIDE),
        19: ("18.5 18.5", ASIDE),
        20: ("eighteen", ASIDE),
        21: ("18.5\n19.0", ASIDE),
        22: ("18.5 (19)", ASIDE),
        23: ("18.5 -> 19", ASIDE),
    }
    thousands: Written = {
        0: ("1 850", _is(1850.0, "kPa")),
        1: ("1'850", _is(1850.0, "kPa")),
        2: ("1’850", _is(1850.0, "kPa")),
        3: ("1\u00a0850", _is(1850.0, "kPa")),
        4: ("1\u2009850", _is(1850.0, "kPa")),
        5: ("1 850.5", _is(1850.5, "kPa")),
        6: ("1850,5", _is(1850.5, "kPa")),
    }
    kilo = [leaf.but(number=leaf.number * 100, unit="kPa") for leaf in a_class(341)]
    return [
        _csv("letters for digits and slips of the key", mixed(a_class(342, plants=6), "Pressure (bar)", slips, _one)),
        _csv("thousands of every land in kPa", mixed(kilo, "Pressure (kPa)", thousands, lambda leaf: number(leaf.number))),
    ]  # fmt: skip


def minus_signs() -> list[Ugly]:
    """A minus in brackets, in words, in the header alone, mixed with its absence."""
    leaves = [leaf.but(number=round(leaf.number / 10, 2), unit="MPa") for leaf in a_class(343)]
    signs: Written = {
        0: ("(−)1.8", _is(1.8, "MPa")),
        1: ("(-)1.8", _is(1.8, "MPa")),
        2: ("(-1.8)", _is(1.8, "MPa")),
        3: ("- 1.8", _is(1.8, "MPa")),
        4: ("−1.8 MPa", _is(1.8, "MPa")),
        5: ("-1.8MPa", _is(1.8, "MPa")),
        6: ("-18 bar", _is(18.0, "bar")),
        7: ("-1,8", _is(1.8, "MPa")),
        8: ("-.95", _is(0.95, "MPa")),
        9: ("minus 1.8", _is(1.8, "MPa")),
        10: ("~-1.8", _is(1.8, "MPa", expect="doubt")),
    }
    made = [_csv("minus signs in one column", mixed(leaves, "Leaf water potential (MPa)", signs, lambda leaf: f"-{leaf.number:.2f}"))]
    for header in ("LWP (−MPa)", "Ψ (- MPa)", "Water potential, -MPa", "-Ψ (MPa)", "Ψleaf (neg. MPa)", "Water potential (MPa, negative)"):
        made.append(
            _csv(
                f"positive numbers under {header}", column(leaves, header, lambda leaf: leaf.number), answers=("reading.quantity=pressure",)
            )
        )
    for header in (
        "Ψ leaf (MPa)",
        "Psi_leaf (MPa)",
        "psi leaf [MPa]",
        "Psi-leaf, in MPa",
        "ψL / MPa",
        "Ψw (MPa)",
        "Xylem Ψ (MPa)",
        "water pot. (MPa)",
    ):
        made.append(_csv(f"the letter in {header}", column(leaves, header, lambda leaf: -leaf.number)))
    return made


def units_of_cells() -> list[Ugly]:
    """A unit in some cells of a column that has another, spelled any way, in front, behind, in brackets."""
    leaves = a_class(344, plants=5)
    bars: Written = {
        0: ("350 psi", _is(350.0, "psi")),
        1: ("350psi", _is(350.0, "psi")),
        2: ("350 PSI", _is(350.0, "psi")),
        3: ("350 p.s.i.", _is(350.0, "psi")),
        4: ("350 (psi)", _is(350.0, "psi")),
        5: ("psi 350", _is(350.0, "psi")),
        6: ("2.1 MPa", _is(2.1, "MPa")),
        7: ("2.1Mpa", _is(2.1, "MPa")),
        8: ("2100 kPa", _is(2100.0, "kPa")),
        9: ("2,100 kPa", _is(2100.0, "kPa")),
        10: ("21 bars", _is(21.0)),
        11: ("21 Bar.", _is(21.0)),
        12: ("2.1 megapascals", _is(2.1, "MPa")),
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
        _csv("units of all kinds in a column of bar", mixed(leaves, "Pressure (bar)", bars, _one)),
        _csv("bar and psi in the cells", each),
        _csv("psi in some cells of a column of bar", header),
        _csv("a header that names two units", both),
        _csv("a header that names two units, and bare numbers", either),
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
        made.append(_csv(f"a column of units {case}", grid))
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
        made.append(_csv(f"the unit above the table, {at}", Grid().add(title, []).table(psis, plain, 6)))
    for at, note in enumerate((["Note: all pressures in bar"], ["* pressures in bars"], ["units:", "bar"], ["(bar)"])):
        made.append(_csv(f"the unit below the table, {at}", Grid().table(bars, plain, 6).add([], note), answers=("reading.unit=bar",)))
    heads = Grid().add(["Readings in bar"]).table(bars, plain, 6).add([], ["psi from here on"])
    heads.table([leaf.but(site="bench") for leaf in psis], plain, 6)
    three = Grid()
    for site, unit in (("ridge", "bar"), ("bench", "psi"), ("draw", "MPa")):
        leaves = a_class(349, unit=unit, sites=(site,))
        three.add([f"Pressure ({unit})"]).table(leaves, plain, 6).add([])
    sheet = Grid("psi").table(psis, plain, 6)
    return [
        *made,
        _csv("stacked: the unit above equal headers", heads),
        _csv("stacked: three units above equal headers", three),
        _xlsx("the unit is the sheet's name", sheet, answers=("reading.unit=psi",)),
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
        _csv("a third in psi under bar", some(351, (1, 4, 7, 10), "bar", "psi")),
        _csv("a third in MPa under bar", some(352, (1, 4, 7, 10), "bar", "MPa")),
        _csv("beyond a named chamber", chamber),
    ]


def typed_ids() -> list[Ugly]:
    """Tags that a program turned into dates and numbers: 3-1, 1-2, 2E1, 007."""
    leaves = a_class(353)
    months = ("Jan", "Feb", "Mar")
    turned = [leaf.but(plant="") for leaf in leaves]
    lead = (DATE, TIME, SITE, TAXON)
    text = Grid().table(
        turned,
        (
            *lead,
            (
                "Plant",
                lambda leaf: f"{leaves.index(leaf.but(plant=leaves[turned.index(leaf)].plant)) % 3 + 1}-{months[turned.index(leaf) // 4]}",
            ),
            LEAF,
            BAR,
        ),
        6,
    )
    back = Grid().table(
        turned, (*lead, ("Plant", lambda leaf: f"{months[turned.index(leaf) % 3]}-{turned.index(leaf) // 3 + 1:02d}"), LEAF, BAR), 6
    )
    real = Grid("Sheet1").table(
        turned, (*lead, ("Plant ID", lambda leaf: datetime(2024, turned.index(leaf) % 3 + 1, turned.index(leaf) // 3 + 1)), LEAF, BAR), 6
    )
    says = ("turned it into one|date.{0,40}numbered",)
    return [
        _csv("plant ids as texts of dates, 3-Jan", text, says=says),
        _csv("plant ids as texts of dates, Jan-03", back, says=says),
        _xlsx("plant ids as real dates", real, says=says),
    ]


def clocks() -> list[Ugly]:
    """Clock times typed as decimal numbers, and under headers that name a part of the day."""
    leaves = a_class(354)
    columns = (SITE, TAXON, PLANT, LEAF, BAR)

    def timed(header: str, shown: Callable[[Leaf], Cell], sheet: str = "Sheet1") -> Grid:
        return Grid(sheet).table(leaves, (DATE, (header, shown), *columns), 6)

    point = timed("Time", lambda leaf: float(leaf.clock.replace(":", ".")))
    comma = timed("Time", lambda leaf: leaf.clock.replace(":", ","), "")
    made = [_xlsx("13.35 as a number for a clock", point), _csv("13,35 for a clock", comma, ";")]
    for header in (
        "Time of day",
        "Time of Day (24h)",
        "When",
        "Time window",
        "Sampling time",
        "Local time",
        "Hour",
        "Time (CDT)",
        "Start time",
        "Obs. time",
    ):
        made.append(_csv(f"clock times under {header}", timed(header, lambda leaf: leaf.clock, "")))
    real = timed("Time of day", lambda leaf: time.fromisoformat(leaf.clock))
    return [*made, _xlsx("real times under Time of day", real)]


def long_decimals() -> list[Ugly]:
    """Readings computed from another unit, with all their decimals, in text and in a workbook; dates as numbers beside them."""
    mpa = [leaf.but(number=round(leaf.number / 14.0, 10) / 1.0, unit="MPa") for leaf in a_class(355)]
    text = column(mpa, "Pressure (MPa)", lambda leaf: f"{leaf.number:.10f}")
    book = column(mpa, "Pressure (MPa)", lambda leaf: leaf.number, "Sheet1")
    for row in book.rows[1:]:
        row[0] = (row[0] - date(1899, 12, 30)).days if isinstance(row[0], date) else row[0]
    return [_csv("long decimals", text), _xlsx("long decimals beside dates as numbers", book)]


FILES = [letters_and_slips, minus_signs, units_of_cells, unit_columns, units_above, of_another_unit, typed_ids, clocks, long_decimals]
