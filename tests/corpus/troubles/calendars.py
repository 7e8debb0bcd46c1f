"""Dates as classes type them: short, joined, by week, year first, beside clocks; one that is turned, typed wrong or of no day."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from tests.corpus.old_workbook import xls_bytes
from tests.corpus.truth import TIME, USUAL, Cell, Grid, Leaf, Ugly, a_class
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"
DAYS = (date(2024, 9, 17), date(2024, 10, 2))
ORDER = frozenset({"date_order_unclear"})


def dated(leaves: list[Leaf], shown: Callable[[Leaf], Cell], sheet: str = "", header: str = "Date") -> Grid:
    """The plain table with the date written another way."""
    return Grid(sheet).table(leaves, ((header, shown), *USUAL[1:]), 6)


def _csv(case: str, grid: Grid, *, name: str = NAME, **more: Any) -> Ugly:
    return Ugly(5, case, f"{name}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def spelled() -> list[Ugly]:
    """More spellings of a day that leave no doubt, several in one file."""
    forms = (
        "{wd}. {m}/{d}/{Y}|{m}/{d}/{Y} ({wd})",
        "{mon} {d}|{d}-{mon}",
        "{d}. {mon}. {Y}|{dd}.{mm}.{Y}",
        "{month} {d}, {Y}|the {d}. {month} {Y}|{d} of {month}, {Y}",
        "{mm}{dd}{Y}|{mm}{dd}{y}",
        "{m}_{d}_{y}|{m}\\{d}\\{y}|{m} - {d} - {y}",
        "{Y}-{mm}-{dd}T00:00:00Z|{Y}-{mm}-{dd}T05:00:00.000+00:00|{Y}-{mm}-{dd} 00:00:00.0",
        "{m}/{d}/{Y} 12:00:00 AM|{month} {d}, {Y} at 12:00 AM",
        "{dd}/{mon}/{Y}|{dd}.{mon}.{y}|{Y}-{mon}-{dd}|{Y} {month} {dd}",
        '\'{Y}-{mm}-{dd}|"{Y}-{mm}-{dd}"|\u200e{Y}-{mm}-{dd}\u200f|{Y}\u2010{mm}\u2010{dd}',
        "{m}/{d}//{Y}|{m}.{d}.{Y}.|({m}/{d}/{Y})",
        "{serial}.0|{serial}",
        "{m}/{d}/2O24|{m}/{l}/{Y}",
        "{misspelt} {d}, {Y}|{d} {misspelt} {y}",
    )
    made = []
    for at, form in enumerate(forms):
        leaves, several = a_class(1500 + at, days=DAYS), form.split("|")
        shown = [_filled(several[number % len(several)], leaf.day) for number, leaf in enumerate(leaves)]
        grid = Grid().table(leaves, USUAL, 6)
        for row, text in zip(grid.rows[1:], shown, strict=True):
            row[0] = text
        made.append(_csv(f"dates as {', '.join(shown[: len(several)])}", grid))
    points = dated(a_class(1520, days=(date(2024, 9, 9), date(2024, 10, 10))), lambda leaf: f"{leaf.day.day}.{leaf.day.month}.")
    made.append(_csv("dates as 9.9. and 10.10.", points))
    return made


def _filled(form: str, day: date) -> str:
    ones = f"l{day.day % 10}" if 9 < day.day < 20 else str(day.day)
    months = {"mon": {9: "Sept", 10: "Oct"}, "misspelt": {9: "Setpember", 10: "Ocotber"}}
    words = {name: named[day.month] for name, named in months.items()}
    numbers = {"d": day.day, "m": day.month, "dd": f"{day:%d}", "mm": f"{day:%m}", "Y": day.year, "y": f"{day:%y}", "l": ones}
    return form.format(wd=f"{day:%a}", month=f"{day:%B}", serial=(day - date(1899, 12, 30)).days, **numbers, **words)


def numbers() -> list[Ugly]:
    """Days as numbers: joined digits in a workbook, parts of a day behind the serial number, both epochs."""
    leaves = a_class(1521, days=DAYS)
    joined = dated(leaves, lambda leaf: int(f"{leaf.day:%Y%m%d}"), "Sheet1")
    short = dated(leaves, lambda leaf: int(f"{leaf.day:%m%d%Y}"), "Sheet1")
    parts = dated(leaves, lambda leaf: (leaf.day - date(1899, 12, 30)).days + 0.55, "Sheet1")
    moments = Grid("Sheet1").table(
        leaves,
        (("Date and time", lambda leaf: datetime.combine(leaf.day, TIME[1](leaf))), *USUAL[2:]),  # type: ignore[arg-type]
        5,
    )
    written = Grid().table(
        leaves, (("Date/Time", lambda leaf: f"{leaf.day.month}/{leaf.day.day}/{leaf.day.year} {leaf.clock}"), *USUAL[2:]), 5
    )
    bare = Grid().table(leaves, (("Date", lambda leaf: f"{leaf.day.isoformat()} {leaf.clock}:00"), *USUAL[2:]), 5)
    texts = dated(leaves, lambda leaf: f"{leaf.day:%m/%d/%Y}" if int(leaf.plant) % 2 else leaf.day, "Sheet1")
    return [
        *(
            Ugly(5, f"dates: {case}", f"{NAME}{ending}", data, tuple(grid.truth))
            for case, ending, data, grid in (
                ("20240917 as a number", ".xlsx", xlsx_bytes(joined), joined),
                ("9172024 as a number", ".xlsx", xlsx_bytes(short), short),
                ("serials with part of a day", ".xlsx", xlsx_bytes(parts), parts),
                ("date and clock in one column, alone", ".xlsx", xlsx_bytes(moments), moments),
                ("texts among real dates in xls", ".xls", xls_bytes({"Sheet1": texts.rows}), texts),
            )
        ),
        _csv("dates: date and clock in one cell of text", written),
        _csv("dates: a clock in the column of dates", bare),
    ]


def years() -> list[Ugly]:
    """The year first in two digits, none, that of the title, a wrong one; semesters that the file does not name."""
    leaves = a_class(1522, days=DAYS)
    first = dated(leaves, lambda leaf: f"{leaf.day:%y-%m-%d}")
    autumn = [leaf.but(semester="2024-fall") for leaf in a_class(1523, days=(date(2024, 9, 23),))]
    twisted = dated(autumn, lambda leaf: f"{leaf.day:%y-%m-%d}")  # 24-09-23 is also the 24th of September of the year before
    old = [leaf.but(semester="2023-fall") for leaf in a_class(1524, days=(date(2023, 9, 24),))]
    european = dated(old, lambda leaf: f"{leaf.day:%d-%m-%y}")
    titled = (
        Grid()
        .add(["Plant water lab, fall 2023"], [])
        .table(
            [leaf.but(semester="2023-fall", day=leaf.day.replace(year=2023)) for leaf in leaves],
            (("Date", lambda leaf: f"{leaf.day.month}/{leaf.day.day}"), *USUAL[1:]),
            6,
        )
    )
    slips = dated(leaves, lambda leaf: f"{leaf.day.month}/{leaf.day.day}/{leaf.day.year}")
    for row, text in (
        (2, "9/17/204"),
        (4, "9/17/20224"),
        (6, "9/17/2014"),
        (8, "9/17/0024"),
        (10, "19/17/2024"),
        (11, "9/17/24?"),
        (12, "9/16-17/24"),
    ):
        slips.rows[row][0] = text
        slips.truth[row - 1] = slips.truth[row - 1].but(expect="aside")
    future = dated(leaves, lambda leaf: leaf.day.isoformat() if leaf.day.month == 9 else leaf.day.replace(year=2094).isoformat())
    future.truth = [truth if truth.leaf.day.month == 9 else truth.but(expect="aside") for truth in future.truth]
    wrong = dated([leaf.but(expect="aside") for leaf in leaves], lambda leaf: leaf.day.replace(year=2023).isoformat())
    julian = dated(leaves, lambda leaf: f"{leaf.day:%j}")
    weeks = dated(leaves, lambda leaf: f"Week {leaf.day.isocalendar().week - 34}")
    return [
        _csv("dates: the year first in two digits", first),
        _csv(
            "dates: 24-09-23, the year first or last", twisted, name="readings section a", asks=ORDER, answers=("dates.order=year-first",)
        ),
        _csv("dates: 24-09-23 of 2023, the year last", european, name="readings section a", asks=ORDER, answers=("dates.order=day-first",)),
        _csv("dates: no year but in the title", titled, name="readings section a"),
        _csv("dates: slips of single dates", slips),
        _csv("dates: of the next century", future),
        _csv("dates: all of last year under this semester's name", wrong, is_hopeless=True),
        _csv("dates: days of the year", julian, is_hopeless=True),
        _csv("dates: weeks", weeks, is_hopeless=True),
    ]


def turned() -> list[Ugly]:
    """One date turned among many, or left to a program; a sheet for each day; days in titles."""
    many = a_class(1525, days=(date(2024, 9, 17), date(2024, 9, 24), date(2024, 10, 1)))
    one = dated(many, lambda leaf: f"{leaf.day.month}/{leaf.day.day}/{leaf.day.year}")
    one.rows[2][0] = "24/9/2024"
    one.rows[2][4] = 9
    one.truth[1] = one.truth[1].but(day=date(2024, 9, 24), plant="9")
    # October 9 typed as 9/10 among month-first dates lies in the semester either way: nothing in the file gives it away but its neighbours.
    hidden = dated(a_class(1526, days=DAYS), lambda leaf: f"{leaf.day.month}/{leaf.day.day}/{leaf.day.year}")
    words = dated(
        many,
        lambda leaf: (
            f"{leaf.day:%b} {leaf.day.day} {leaf.day.year}" if leaf.day.day > 20 else f"{leaf.day.month}/{leaf.day.day}/{leaf.day.year}"
        ),
    )
    first = a_class(1527)
    second = [leaf.but(day=date(2024, 10, 2)) for leaf in a_class(1528)]
    sheets = [Grid(name).table(leaves, USUAL[1:], 5) for name, leaves in (("Sept 17", first), ("Oct 2", second))]
    dashed = [Grid(name).table(leaves, USUAL[1:], 5) for name, leaves in (("9-17-24", first), ("10-2-24", second))]
    titled = Grid().add(["Date: 9/17/2024"], ["Weather: clear"]).table(first, USUAL[1:], 5)
    headed = Grid().add(["Date", "9/17/2024", None, "Section", "A"], []).table(first, USUAL[1:], 5)
    blocks = Grid().table(first, (("Date", lambda leaf: "Tues 9/17/24" if leaf is first[0] else None), *USUAL[1:]), 6)
    return [
        _csv("dates: one day-first of another day", one),
        _csv("dates: month-first by its 17ths", hidden),
        _csv("dates: words and numbers mixed", words),
        Ugly(5, "dates: the names of the sheets", f"{NAME}.xlsx", xlsx_bytes(*sheets), (*sheets[0].truth, *sheets[1].truth)),
        Ugly(5, "dates: the names of the sheets in numbers", f"{NAME}.xlsx", xlsx_bytes(*dashed), (*dashed[0].truth, *dashed[1].truth)),
        _csv("dates: in the title alone", titled),
        _csv("dates: in a cell of the title", headed),
        _csv("dates: typed once, with the weekday", blocks),
        _csv(
            "dates: in the file's name alone",
            Grid().table(first, USUAL[1:], 5),
            name="2024-09-17 Section A",
            asks=frozenset({"column_missing"}),
            answers=("constants.date=2024-09-17",),
        ),
    ]


FILES = [spelled, numbers, years, turned]
