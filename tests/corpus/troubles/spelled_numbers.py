"""Numbers in more of the spellings that classes use: typed by hand, by programs, in other lands."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time
from typing import Any

from tests.corpus.troubles.numbers import Written, column, mixed
from tests.corpus.truth import BAR, DATE, LEAF, PLANT, SITE, TAXON, TIME, Cell, Grid, Leaf, Ugly, a_class, number
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"
ASIDE: dict[str, Any] = {"expect": "aside"}


def as_csv(case: str, grid: Grid, separator: str = ",", **more: Any) -> Ugly:
    return Ugly(3, case, f"{NAME}.csv", csv_bytes(grid.rows, separator=separator), tuple(grid.truth), **more)


def as_xlsx(case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(3, case, f"{NAME}.xlsx", xlsx_bytes(grid), tuple(grid.truth), **more)


def one_decimal(leaf: Leaf) -> str:
    return f"{leaf.number:.1f}"


def meant(value: float, unit: str = "bar", **more: Any) -> dict[str, Any]:
    return {"number": value, "unit": unit, **more}


def letters_and_slips() -> list[Ugly]:
    """Letters for digits, doubled marks, full-width digits, spaces within numbers."""
    doubt: dict[str, Any] = {"expect": "doubt"}
    slips: Written = {
        0: ("1O", meant(10.0, **doubt)),
        1: ("l8", meant(18.0, **doubt)),
        2: ("I8.5", meant(18.5, **doubt)),
        3: ("1o.5", meant(10.5, **doubt)),
        4: ("2l", meant(21.0, **doubt)),
        5: ("1S.O", meant(15.0, **doubt)),
        6: ("18,.5", meant(18.5, **doubt)),
        7: ("18.,5", meant(18.5, **doubt)),
        8: ("２１．５", meant(21.5)),
        9: ("18·5", meant(18.5)),
        10: ("18.5.", meant(18.5, **doubt)),
        11: ("|8", meant(18.0, **doubt)),
        12: ("18.5 ,", meant(18.5, **doubt)),
        13: ("18.5'", meant(18.5, **doubt)),
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
        0: ("1 850", meant(1850.0, "kPa")),
        1: ("1'850", meant(1850.0, "kPa")),
        2: ("1’850", meant(1850.0, "kPa")),
        3: ("1\u00a0850", meant(1850.0, "kPa")),
        4: ("1\u2009850", meant(1850.0, "kPa")),
        5: ("1 850.5", meant(1850.5, "kPa")),
        6: ("1850,5", meant(1850.5, "kPa")),
    }
    kilo = [leaf.but(number=leaf.number * 100, unit="kPa") for leaf in a_class(341)]
    return [
        as_csv("letters for digits and slips of the key", mixed(a_class(342, plants=6), "Pressure (bar)", slips, one_decimal)),
        as_csv("thousands of every land in kPa", mixed(kilo, "Pressure (kPa)", thousands, lambda leaf: number(leaf.number))),
    ]  # fmt: skip


def minus_signs() -> list[Ugly]:
    """A minus in brackets, in words, in the header alone, mixed with its absence."""
    leaves = [leaf.but(number=round(leaf.number / 10, 2), unit="MPa") for leaf in a_class(343)]
    signs: Written = {
        0: ("(−)1.8", meant(1.8, "MPa")),
        1: ("(-)1.8", meant(1.8, "MPa")),
        2: ("(-1.8)", meant(1.8, "MPa")),
        3: ("- 1.8", meant(1.8, "MPa")),
        4: ("−1.8 MPa", meant(1.8, "MPa")),
        5: ("-1.8MPa", meant(1.8, "MPa")),
        6: ("-18 bar", meant(18.0, "bar")),
        7: ("-1,8", meant(1.8, "MPa")),
        8: ("-.95", meant(0.95, "MPa")),
        9: ("minus 1.8", meant(1.8, "MPa")),
        10: ("~-1.8", meant(1.8, "MPa", expect="doubt")),
    }
    made = [as_csv("minus signs in one column", mixed(leaves, "Leaf water potential (MPa)", signs, lambda leaf: f"-{leaf.number:.2f}"))]
    for header in ("LWP (−MPa)", "Ψ (- MPa)", "Water potential, -MPa", "-Ψ (MPa)", "Ψleaf (neg. MPa)", "Water potential (MPa, negative)"):
        made.append(
            as_csv(
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
        made.append(as_csv(f"the letter in {header}", column(leaves, header, lambda leaf: -leaf.number)))
    return made


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
        as_csv("plant ids as texts of dates, 3-Jan", text, says=says),
        as_csv("plant ids as texts of dates, Jan-03", back, says=says),
        as_xlsx("plant ids as real dates", real, says=says),
    ]


def clocks() -> list[Ugly]:
    """Clock times typed as decimal numbers, and under headers that name a part of the day."""
    leaves = a_class(354)
    columns = (SITE, TAXON, PLANT, LEAF, BAR)

    def timed(header: str, shown: Callable[[Leaf], Cell], sheet: str = "Sheet1") -> Grid:
        return Grid(sheet).table(leaves, (DATE, (header, shown), *columns), 6)

    point = timed("Time", lambda leaf: float(leaf.clock.replace(":", ".")))
    comma = timed("Time", lambda leaf: leaf.clock.replace(":", ","), "")
    made = [as_xlsx("13.35 as a number for a clock", point), as_csv("13,35 for a clock", comma, ";")]
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
        made.append(as_csv(f"clock times under {header}", timed(header, lambda leaf: leaf.clock, "")))
    real = timed("Time of day", lambda leaf: time.fromisoformat(leaf.clock))
    return [*made, as_xlsx("real times under Time of day", real)]


def long_decimals() -> list[Ugly]:
    """Readings computed from another unit, with all their decimals, in text and in a workbook; dates as numbers beside them."""
    mpa = [leaf.but(number=round(leaf.number / 14.0, 10) / 1.0, unit="MPa") for leaf in a_class(355)]
    text = column(mpa, "Pressure (MPa)", lambda leaf: f"{leaf.number:.10f}")
    book = column(mpa, "Pressure (MPa)", lambda leaf: leaf.number, "Sheet1")
    for row in book.rows[1:]:
        row[0] = (row[0] - date(1899, 12, 30)).days if isinstance(row[0], date) else row[0]
    return [as_csv("long decimals", text), as_xlsx("long decimals beside dates as numbers", book)]


FILES = [letters_and_slips, minus_signs, typed_ids, clocks, long_decimals]
