"""Clock times and windows: every spelling, halves of the day that nobody wrote, words against the clock."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, time
from typing import Any

from tests.corpus.truth import DATE, USUAL, Cell, Column, Grid, Leaf, Ugly, a_class, unclocked
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"
CLOCK = frozenset({"clock_unclear"})


def timed(leaves: list[Leaf], shown: Callable[[Leaf], Cell], *more: Column, header: str = "Time", sheet: str = "") -> Grid:
    """The plain table with the clock time written another way."""
    return Grid(sheet).table(leaves, (DATE, (header, shown), *USUAL[2:], *more), 6)


def _csv(case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(5, case, f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def _half(clock: str, form: str = "{}:{:02d}{}", am: str = "am", pm: str = "pm") -> str:
    hour, minute = map(int, clock.split(":"))
    return form.format((hour - 1) % 12 + 1, minute, pm if hour >= 12 else am)


def spelled() -> list[Ugly]:
    """Spellings of the time of day, from half past twelve to after one."""
    leaves = a_class(521)
    forms: dict[str, Callable[[str], str]] = {
        "1:35pm": _half,
        "1:35 PM": lambda clock: _half(clock, "{}:{:02d} {}", "AM", "PM"),
        "1:35 p.m.": lambda clock: _half(clock, "{}:{:02d} {}", "a.m.", "p.m."),
        "1:35p": lambda clock: _half(clock, "{}:{:02d}{}", "a", "p"),
        "13.35": lambda clock: clock.replace(":", "."),
        "1335": lambda clock: clock.replace(":", ""),
        "1335h": lambda clock: clock.replace(":", "") + "h",
        "1335 hrs": lambda clock: clock.replace(":", "") + " hrs",
        "13h35": lambda clock: clock.replace(":", "h"),
        "13:35:00": lambda clock: clock + ":00",
        "13;35": lambda clock: clock.replace(":", ";"),
        "13-35": lambda clock: clock.replace(":", "-"),
        "1.35pm": lambda clock: _half(clock, "{}.{:02d}{}"),
        "135pm": lambda clock: _half(clock, "{}{:02d}{}"),
        "01:35:00 PM": lambda clock: _half(clock, "{:02d}:{:02d}:00 {}", "AM", "PM"),
        "13:35 CDT": lambda clock: clock + " CDT",
        "~13:35": lambda clock: "~" + clock,
    }
    made = [_csv(f"times: {case}", timed(leaves, lambda leaf, form=form: form(leaf.clock))) for case, form in forms.items()]  # type: ignore[misc]
    made.append(
        _csv(
            "times: none with a half",
            timed(leaves, lambda leaf: _half(leaf.clock, "{}:{:02d}")),
            asks=CLOCK,
            answers=("clock.hours=afternoon",),
        )
    )
    early = a_class(522, window="predawn")
    made.append(
        _csv(
            "times: predawn without a half",
            timed(early, lambda leaf: _half(leaf.clock, "{}:{:02d}")),
            asks=CLOCK,
            answers=("clock.hours=24h",),
        )
    )
    words: Column = ("Window", lambda leaf: leaf.window)
    made.append(
        _csv("times: no half, and the window in words", timed([*leaves, *early], lambda leaf: _half(leaf.clock, "{}:{:02d}"), words))
    )
    return made


def numbers() -> list[Ugly]:
    """Parts of a day, numbers that lost their format, times as text among times."""
    leaves = a_class(523)

    def part(leaf: Leaf) -> float:
        clock = time.fromisoformat(leaf.clock)
        return (clock.hour * 60 + clock.minute) / 1440

    parts = timed(leaves, part, sheet="Sheet1")
    joined = timed(leaves, lambda leaf: int(leaf.clock.replace(":", "")), sheet="Sheet1")
    points = timed(leaves, lambda leaf: float(leaf.clock.replace(":", ".")), sheet="Sheet1")
    moments = timed(leaves, lambda leaf: datetime.combine(leaf.day, time.fromisoformat(leaf.clock)), sheet="Sheet1")
    grids = {"parts of a day": parts, "1335 as a number": joined, "13.35 as a number": points, "date and clock": moments}
    return [Ugly(5, f"times: {case}", f"{NAME}.xlsx", xlsx_bytes(grid), tuple(grid.truth)) for case, grid in grids.items()]


def windows() -> list[Ugly]:
    """Predawn and midday in words alone, and words against the clock."""
    early, late = unclocked(a_class(524, window="predawn")), unclocked(a_class(525))
    spelled = {
        "predawn": ("predawn", "Pre-dawn", "PD", "pre dawn", "PREDAWN ", "dawn"),
        "midday": ("midday", "Mid-day", "MD", "noon", "mid day", "Midday"),
    }
    words: Column = ("Time", lambda leaf: spelled[leaf.window][(int(leaf.plant) + len(leaf.taxon + leaf.site)) % 6])
    only = Grid().table([*early, *late], (DATE, words, *USUAL[2:]), 6)
    clocked = a_class(526)
    against = [leaf.but(expect="doubt") if at in (2, 5) else leaf for at, leaf in enumerate(clocked)]
    crossed = timed(against, lambda leaf: leaf.clock, ("Window", lambda leaf: "predawn" if leaf.expect == "doubt" else "midday"))
    nothing = Grid().table(unclocked(clocked), (DATE, *USUAL[2:]), 5)
    bad = [leaf.but(clock="", window="", expect="doubt") if at in (1, 2, 3) else leaf for at, leaf in enumerate(clocked)]
    broken = timed(bad, lambda leaf: leaf.clock)
    for row, text in ((2, "25:10"), (3, "lunch"), (4, "12:75")):
        broken.rows[row][1] = text
    two = Grid().table(
        clocked, (DATE, ("Time cut", lambda leaf: leaf.clock), ("Time read", lambda leaf: leaf.clock[:-1] + "9"), *USUAL[2:]), 7
    )
    asks = frozenset({"window_missing"})
    return [
        _csv("windows in words", only),
        _csv("windows against the clock", crossed),
        _csv("neither clock nor window", nothing, asks=asks, answers=("constants.sampling_window=midday",)),
        _csv("times that are none", broken),
        Ugly(
            5,
            "cut and read",
            f"{NAME}.csv",
            csv_bytes(two.rows),
            tuple(true.but(clock="") for true in two.truth),
        ),
    ]


FILES = [spelled, numbers, windows]
