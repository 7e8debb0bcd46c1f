"""Clock times as classes type them: with words, without halves, in a column of their own, after midnight by mistake."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time, timedelta
from typing import Any

from tests.corpus.truth import BAR, DATE, LEAF, PLANT, SITE, TAXON, USUAL, Cell, Column, Grid, Leaf, Ugly, a_class
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"
CLOCK = frozenset({"clock_unclear"})


def timed(leaves: Sequence[Leaf], shown: Sequence[Cell], *more: Column, sheet: str = "", header: str = "Time") -> Grid:
    """The plain table with the clock time of each row as shown."""
    grid = Grid(sheet).table(leaves, (DATE, (header, lambda leaf: leaf.clock), SITE, TAXON, PLANT, LEAF, BAR, *more), 6)
    for row, text in zip(grid.rows[1:], shown, strict=True):
        row[1] = text
    return grid


def _csv(case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(5, case, f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def _short(leaf: Leaf) -> str:
    hour, minute = map(int, leaf.clock.split(":"))
    return f"{(hour - 1) % 12 + 1}:{minute:02d}"


def _half(leaf: Leaf) -> str:
    return "PM" if leaf.clock >= "12:00" else "AM"


def spelled() -> list[Ugly]:
    """Spellings in turns, in one file each: all are certain."""
    leaves = a_class(1541)
    forms = (
        ("{s} {h}", "{s}{h}", "{s} {h}.", "~{s} {h}", "{s} {h} CDT", "@ {s}{h}"),
        ("{c}", "{c}:00", "{c}h", "{c} h", "{c} hrs", "{c} {h}"),
        ("{H}h{M}", "{H} h {M}", "{H} {M}", "{H}.{M}", "{H}-{M}", "{H}\u2013{M}"),
        ("9/17/2024 {s}:00 {h}", "2024-09-17 {c}", "2024-09-17T{c}:00", "{s}:20 {h}", "\u200e{c}\u200f", "{s}\u202f{h}"),
        ("Sat Dec 30 1899 {c}:00 GMT-0600 (Central Standard Time)",),
        ("{s} {h}*", "({c})", "ca. {s} {h}", "about {c}", "approx {c}", "{s} {h}"),
    )
    made = []
    for form in forms:
        shown = []
        for at, leaf in enumerate(leaves):
            hour, minute = leaf.clock.split(":")
            shown.append(form[at % len(form)].format(s=_short(leaf), h=_half(leaf), c=leaf.clock, H=hour, M=minute))
        made.append(_csv(f"times as {', '.join(shown[: min(len(form), 6)])}", timed(leaves, shown)))
    parts = [f"{(int(leaf.clock[:2]) * 60 + int(leaf.clock[3:])) / 1440:.6f}".rstrip("0") for leaf in leaves]
    made.append(_csv("times as parts of a day in text", timed(leaves, parts)))
    noon = [leaf.but(clock="") for leaf in leaves]  # the word stands for the window
    made.append(_csv("noon in words", timed(noon, ["noon", "12 noon", "12:00 noon", "Noon", "12:00", "12 pm"] * 2)))
    return made


def halves() -> list[Ugly]:
    """The half of the day in a column of its own, in the window's column, in some cells alone, or nowhere."""
    late, early = a_class(1542), a_class(1543, window="predawn")
    both = [*early, *late]
    beside = timed(both, [_short(leaf) for leaf in both], ("AM/PM", _half))
    window = timed(both, [_short(leaf) for leaf in both], ("Time of day", _half))
    real = timed(late, [time(int(_short(leaf).split(":")[0]) % 24, int(leaf.clock[3:])) for leaf in late], sheet="Sheet1")
    marked = [f"{_short(leaf)}{'pm' if leaf.clock >= '13:00' else ''}" for leaf in late]
    first = [leaf.but(clock=f"13:{2 * at:02d}") for at, leaf in enumerate(late)]
    once = [f"{_short(leaf)} PM" if at == 0 else _short(leaf) for at, leaf in enumerate(first)]
    slipped = [leaf.clock if at < 6 else _short(leaf) for at, leaf in enumerate(first)]
    padded = [f"0{_short(leaf)}" for leaf in first]
    night = [leaf.but(expect="doubt", clock="") if at in (2, 3) else leaf for at, leaf in enumerate(late)]
    wrong = [f"{_short(leaf)} {'AM' if at in (2, 3) else 'PM'}" for at, leaf in enumerate(late)]
    mixed = [_short(leaf) for leaf in both]
    titled = Grid().add(["Midday readings"]).table(first, (DATE, ("Time", _short), *USUAL[2:]), 6)
    return [
        _csv("halves in a column beside the clock", beside),
        _csv("halves under Time of day", window),
        Ugly(5, "real clock times of an afternoon without a half", f"{NAME}.xlsx", xlsx_bytes(real), tuple(real.truth), asks=CLOCK,
             answers=("clock.hours=afternoon",)),
        _csv("pm where the hour needs it", timed(late, marked)),
        _csv("pm in the first row alone", timed(first, once), asks=CLOCK, answers=("clock.hours=afternoon",)),
        _csv("24 hours, then another hand", timed(first, slipped), asks=CLOCK, answers=("clock.hours=afternoon",)),
        _csv("two digits and no half", timed(first, padded), asks=CLOCK, answers=("clock.hours=afternoon",)),
        _csv("12:44 AM for PM", timed(night, wrong)),
        _csv("predawn and past noon without a half", timed(both, mixed), asks=CLOCK, answers=("clock.hours=split",)),
        _csv("no half under a title that says midday", titled),
    ]  # fmt: skip


def against() -> list[Ugly]:
    """A word that says predawn beside a clock at noon, and the reverse; spans, moments of sending, minutes of the day."""
    leaves = a_class(1544)
    doubted = [leaf.but(expect="doubt") if at in (1, 6) else leaf for at, leaf in enumerate(leaves)]
    words: Column = ("Window", lambda leaf: "Pre-dawn" if leaf.expect == "doubt" else "MD")
    early = [leaf.but(expect="doubt") if at in (0, 5) else leaf for at, leaf in enumerate(a_class(1545, window="predawn"))]
    noon: Column = ("Window", lambda leaf: "midday" if leaf.expect == "doubt" else "predawn")
    vague = [leaf.but(clock="", window="", expect="doubt") if at in (0, 3, 7, 9) else leaf for at, leaf in enumerate(leaves)]
    shown: list[Cell] = [leaf.clock for leaf in vague]
    shown[0], shown[3], shown[7], shown[9] = "12:30-12:50", "after lunch", "12:5x", "99:99"
    spans = timed(leaves, [timedelta(hours=int(leaf.clock[:2]), minutes=int(leaf.clock[3:])) for leaf in leaves], sheet="Sheet1")
    sent = Grid("Sheet1").table(leaves, (("Timestamp", lambda leaf: datetime(2024, 9, 17, 19, int(leaf.plant))), *USUAL), 7)
    sending: Column = ("Date submitted", lambda leaf: datetime(2024, 9, 17, 19, int(leaf.plant)))
    unclocked = [leaf.but(clock="") for leaf in leaves]
    only = Grid("Sheet1").table(unclocked, (sending, *USUAL[2:], ("When", lambda _: "midday")), 5)
    return [
        _csv("predawn in words, noon by the clock", timed(doubted, [leaf.clock for leaf in leaves], words)),
        _csv("midday in words, before sunrise by the clock", timed(early, [f"0{_short(leaf)}" for leaf in early], noon)),
        _csv("times that tell none", timed(vague, shown)),
        Ugly(5, "times as spans since midnight", f"{NAME}.xlsx", xlsx_bytes(spans), tuple(spans.truth)),
        Ugly(5, "moments of sending beside the times", f"{NAME}.xlsx", xlsx_bytes(sent), tuple(sent.truth)),
        Ugly(5, "moments of sending for the date", f"{NAME}.xlsx", xlsx_bytes(only), tuple(only.truth)),
    ]  # fmt: skip


FILES = [spelled, halves, against]
