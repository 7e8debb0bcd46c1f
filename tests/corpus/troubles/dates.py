"""Dates: every way of writing one, decided by the whole column and the semester, or asked."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from tests.corpus.truth import TIME, USUAL, Cell, Grid, Leaf, Ugly, a_class
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"
DAYS = (date(2024, 9, 17), date(2024, 10, 2))
ORDER = frozenset({"date_order_unclear"})


def dated(leaves: list[Leaf], shown: Callable[[Leaf], Cell], sheet: str = "") -> Grid:
    """The plain table with the date written another way."""
    return Grid(sheet).table(leaves, (("Date", shown), *USUAL[1:]), 6)


def _csv(case: str, grid: Grid, *, name: str = NAME, **more: Any) -> Ugly:
    return Ugly(5, case, f"{name}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def spelled() -> list[Ugly]:
    """Spellings that say all there is to say."""
    leaves = a_class(501, days=DAYS)
    forms: dict[str, Callable[[date], str]] = {
        "ISO": lambda day: day.isoformat(),
        "ISO without dashes": lambda day: f"{day:%Y%m%d}",
        "ISO with slashes": lambda day: f"{day:%Y/%m/%d}",
        "ISO with points": lambda day: f"{day:%Y.%m.%d}",
        "ISO short": lambda day: f"{day.year}-{day.month}-{day.day}",
        "month-first by the 17th": lambda day: f"{day.month}/{day.day}/{day.year}",
        "day-first by the 17th": lambda day: f"{day.day}/{day.month}/{day.year}",
        "day-first with points": lambda day: f"{day.day}.{day.month}.{day.year}",
        "two-digit years": lambda day: f"{day:%m/%d/%y}",
        "day-first, points, two-digit years": lambda day: f"{day:%d.%m.%y}",
        "month name": lambda day: f"{day.day} {day:%B} {day.year}",
        "month name first": lambda day: f"{day:%b} {day.day}, {day.year}",
        "month name with dashes": lambda day: f"{day:%d-%b-%y}",
        "weekday before": lambda day: f"{day:%A}, {day:%B} {day.day}, {day.year}",
        "weekday, short": lambda day: f"{day:%a} {day.month}/{day.day}/{day.year}",
        "ordinal": lambda day: f"{day:%B} {day.day}{'nd' if day.day == 2 else 'th'} {day.year}",
        "Sept.": lambda day: f"{'Sept.' if day.month == 9 else 'Oct.'} {day.day} {day.year}",
        "month name without year": lambda day: f"{day:%b} {day.day}",
        "no year": lambda day: f"{day.month}/{day.day}",
        "date and midnight": lambda day: f"{day.isoformat()} 00:00:00",
        "US date and midnight": lambda day: f"{day.month}/{day.day}/{day.year} 0:00",
        "Roman month": lambda day: f"{day.day}.{'IX' if day.month == 9 else 'X'}.{day.year}",
        "spaces within": lambda day: f" {day.month} / {day.day} / {day.year} ",
        "apostrophe year": lambda day: f"{day.month}/{day.day}/'{day:%y}",
        "day-first dashes": lambda day: f"{day:%d-%m-%Y}",
        "year last in words": lambda day: f"{day:%d%b%Y}",
    }
    return [_csv(f"dates: {case}", dated(leaves, lambda leaf, form=form: form(leaf.day))) for case, form in forms.items()]  # type: ignore[misc]


def serials() -> list[Ugly]:
    """Serial numbers whose format was lost, and real dates among texts."""
    leaves = a_class(502, days=DAYS)
    serial = dated(leaves, lambda leaf: (leaf.day - date(1899, 12, 30)).days, "Sheet1")
    halves = dated(leaves, lambda leaf: leaf.day if leaf.day.day > 12 else f"{leaf.day.month}/{leaf.day.day}/{leaf.day.year}", "Sheet1")
    # A program set to day-first took 10/02/2024 for the tenth of February, and left 9/17/2024 as text: the classic half-turned column.
    turned = dated(
        leaves, lambda leaf: f"{leaf.day:%m/%d/%Y}" if leaf.day.day > 12 else datetime(2024, leaf.day.day, leaf.day.month), "Sheet1"
    )
    # The same, and October 9 turned into September 10 lies in the semester too: only the pattern gives it away.
    within = a_class(510, days=(date(2024, 9, 17), date(2024, 10, 9)))
    within = [leaf if leaf.day.day > 12 else leaf.but(expect="doubt") for leaf in within]
    unseen = dated(
        within, lambda leaf: f"{leaf.day:%m/%d/%Y}" if leaf.day.day > 12 else datetime(2024, leaf.day.day, leaf.day.month), "Sheet1"
    )
    clear = dated(leaves, lambda leaf: leaf.day, "Sheet1")
    moment = Grid("Sheet1").table(
        leaves, (("Date", lambda leaf: datetime.combine(leaf.day, TIME[1](leaf))), *USUAL[1:]), 6  # type: ignore[arg-type]
    )  # fmt: skip
    return [
        Ugly(5, f"dates: {case}", f"{NAME}.xlsx", xlsx_bytes(grid), tuple(grid.truth))
        for case, grid in (
            ("serials", serial),
            ("half texts", halves),
            ("half turned by the program", turned),
            ("half turned within the semester", unseen),
            ("real dates", clear),
            ("date and clock in one", moment),
        )
    ] + [_csv("dates: serials in csv", dated(leaves, lambda leaf: (leaf.day - date(1899, 12, 30)).days))]


def undecidable() -> list[Ugly]:
    """Both orders lie in the semester: asked, never guessed."""
    days = (date(2024, 9, 10), date(2024, 10, 9))
    us = dated(a_class(503, days=days), lambda leaf: f"{leaf.day.month}/{leaf.day.day}/{leaf.day.year}")
    european = dated(a_class(504, days=days), lambda leaf: f"{leaf.day.day}/{leaf.day.month}/{leaf.day.year}")
    bare = dated(a_class(505, days=days), lambda leaf: f"{leaf.day.month}/{leaf.day.day}")
    same = dated(a_class(506, days=(date(2024, 9, 9), date(2024, 10, 10))), lambda leaf: f"{leaf.day.month}/{leaf.day.day}/{leaf.day.year}")
    only = dated(a_class(507, days=(date(2024, 9, 3),)), lambda leaf: f"{leaf.day.month}/{leaf.day.day}/24")
    nowhere = dated(
        [leaf.but(semester="2024-spring") for leaf in a_class(508, days=(date(2024, 2, 20),))], lambda leaf: f"{leaf.day:%b} {leaf.day.day}"
    )
    return [
        _csv("dates: both orders fit, US", us, asks=ORDER, answers=("dates.order=month-first",)),
        _csv("dates: both orders fit, European", european, asks=ORDER, answers=("dates.order=day-first",)),
        _csv("dates: both orders fit, no year", bare, asks=ORDER, answers=("dates.order=month-first",)),
        _csv("dates: the same either way", same),
        _csv("dates: decided by the semester", only),
        _csv(
            "dates: no year and no semester",
            nowhere,
            name="readings a",
            asks=frozenset({"year_missing"}),
            answers=("constants.semester=2024-spring",),
        ),
    ]


def flipped() -> list[Ugly]:
    """One date against the others, days that do not exist, days of no semester."""
    # All month-first but one cell, which is written day-first: 17/9 cannot be read month-first.
    leaves = a_class(509, days=DAYS)
    grid = dated(leaves, lambda leaf: f"{leaf.day.month}/{leaf.day.day}/{leaf.day.year}")
    grid.rows[3][0] = "17/9/2024"
    # The column is month-first by its 17ths; 2/10 is October 2 turned around, and February 10 is in another semester.
    turned = dated(leaves, lambda leaf: f"{leaf.day.month}/{leaf.day.day}/{leaf.day.year}")
    turned.rows[14][0] = "2/10/2024"
    turned.truth[13] = turned.truth[13].but(expect="aside")
    odd = dated(leaves, lambda leaf: leaf.day.isoformat())
    for row, text in (
        (1, "2024-09-31"),
        (2, "2042-09-17"),
        (3, "1924-09-17"),
        (4, "2024-07-04"),
        (5, "yesterday"),
        (6, "Tuesday"),
        (7, "17"),
    ):
        odd.rows[row][0] = text
        true = odd.truth[row - 1]
        odd.truth[row - 1] = true.but(expect="aside")
    years = dated(leaves, lambda leaf: leaf.day.isoformat())
    years.rows[5][0] = "2023-09-17"
    years.truth[4] = years.truth[4].but(expect="aside")
    mixture = dated(leaves, lambda leaf: f"{leaf.day:%m/%d/%Y}" if int(leaf.plant) % 2 else f"{leaf.day:%d/%m/%Y}")
    ranges = dated(leaves, lambda leaf: f"{leaf.day.month}/{leaf.day.day}-{leaf.day.day + 1}/{leaf.day.year}")
    return [
        _csv("dates: one flipped", grid),
        _csv("dates: one flipped into another semester", turned),
        _csv("dates: impossible and out of semester", odd),
        _csv("dates: one of last year", years),
        _csv("dates: both orders mixed", mixture, asks=ORDER, is_hopeless=True),
        _csv("dates: ranges of days", ranges, is_hopeless=True),
    ]


FILES = [spelled, serials, undecidable, flipped]
