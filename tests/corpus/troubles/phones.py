"""What classes bring from phones and paper: readers' initials as headers, units in a line of brackets, numbers under a number sign."""

from __future__ import annotations

from datetime import date, time
from typing import Any

from tests.corpus.truth import BAR, DATE, PLANT, SITE, TAXON, USUAL, Column, Grid, Leaf, Ugly, a_class, unclocked
from tests.corpus.writing import csv_bytes, ods_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"
LEAD: tuple[Column, ...] = (DATE, SITE, TAXON, PLANT)
HEADS = [name for name, _ in LEAD]


def _csv(trouble: int, case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(trouble, case, f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def exported() -> list[Ugly]:
    """Exports of phone apps: a summary sheet of links, a table's title within its sheet, comma decimals in an OpenDocument sheet."""
    leaves = a_class(9001)
    links = Grid("Export Summary").add(["Each table was made a worksheet of its own."], [], ["Sheet name", "Table name", "Worksheet name"])
    links.add(["Sheet 1", None, None], [None, "Table 1", "Sheet 1 - Table 1"])
    table = Grid("Sheet 1 - Table 1").add(["Table 1"]).table(leaves, USUAL, 6)
    comma = Grid("Tabelle1").table(leaves, (*USUAL[:6], ("Pressure (bar)", lambda leaf: f"{leaf.number:.1f}".replace(".", ","))), 6)
    return [
        Ugly(1, "a phone's export with a sheet of links", f"{NAME}.xlsx", xlsx_bytes(links, table), tuple(table.truth)),
        Ugly(1, "decimal commas and a million blank rows", f"{NAME}.ods", ods_bytes(comma, blank_below=1_000_000), tuple(comma.truth)),
    ]


def windows() -> list[Ugly]:
    """Merged headers over time, pressure and notes of predawn and midday; units of all columns in a line below the header."""
    early = [leaf.but(leaf="") for leaf in a_class(9003, window="predawn")]
    late = [leaf.but(leaf="") for leaf in a_class(9004)]
    early[2] = early[2].but(expect="doubt")
    merged = Grid("Sheet1").add([None] * 4 + ["PREDAWN", None, None, "MIDDAY"], [*HEADS, *(["Time", "Bar", "Notes"] * 2)])
    for first, second in zip(early, late, strict=True):
        note = "leaf dead" if first.expect == "doubt" else None
        told = [time.fromisoformat(first.clock), first.number, note, time.fromisoformat(second.clock), second.number, None]
        merged.rows.append([*_lead(first), *told])
        merged.note(first, 5)
        merged.note(second, 8)

    def merge(book: Any) -> None:
        book["Sheet1"].merge_cells("E1:G1")
        book["Sheet1"].merge_cells("H1:J1")

    units = Grid("Sheet1").add([None] * 4 + ["Predawn", "Midday"], [*HEADS, "Pressure", "Pressure"])
    units.add(["(date)", "(name)", "(name)", "(no.)", "(bar)", "(bar)"])
    for first, second in zip(unclocked(early), unclocked(late), strict=True):
        units.rows.append([*_lead(first), first.number, second.number])
        units.note(first.but(expect="load"), 4)
        units.note(second, 5)
    return [
        Ugly(2, "windows merged over time, pressure and notes", f"{NAME}.xlsx", xlsx_bytes(merged, shape=merge), tuple(merged.truth)),
        Ugly(2, "a line of units in brackets below every header", f"{NAME}.xlsx", xlsx_bytes(units), tuple(units.truth)),
    ]


def numbered() -> list[Ugly]:
    """Rows and leaves under a number sign; a remark on one leaf of a row; three readers' initials as headers."""
    leaves = a_class(9005, leaves=3)
    signs = Grid().table(leaves, (*USUAL[:5], ("#", lambda leaf: int(leaf.leaf)), BAR), 6)
    rows = Grid().table(leaves, (("No.", lambda leaf: leaves.index(leaf) + 1), *USUAL), 7)
    groups = [leaves[at : at + 3] for at in range(0, len(leaves), 3)]
    remarks = {
        0: ("leaf 2 dead", "2"),
        1: ("L1 broke, L3 slipped", "13"),
        2: ("the 3rd leaf had a leak", "3"),
        3: ("all leaves dead", "123"),
    }
    wide = Grid().add(["#", *HEADS, "Time", "Leaf 1 (bar)", "Leaf 2 (bar)", "Leaf 3 (bar)", "Remarks"])
    readers = Grid().add(["All pressures in bar"], [*HEADS, "Time", "QZ", "OV", "TM"])
    for at, group in enumerate(groups):
        text, named = remarks.get(at, ("", ""))
        numbers = [leaf.number for leaf in group]
        clock = time.fromisoformat(group[0].clock)
        wide.rows.append([at + 1, *_lead(group[0]), clock, *numbers, text])
        readers.rows.append([*_lead(group[0]), clock, *numbers])
        for position, leaf in enumerate(group):
            here = leaf.but(clock=group[0].clock)
            wide.note(here.but(expect="doubt") if leaf.leaf in named else here, 6 + position)
            readers.note(here, 5 + position)
    return [
        _csv(2, "leaves under a number sign", signs),
        _csv(2, "rows under No. beside leaves", rows),
        _csv(4, "remarks that name a leaf of the row", wide),
        _csv(2, "readers' initials as headers", readers, asks=frozenset({"label_unknown"})),
    ]


def days() -> list[Ugly]:
    """Days as names of sheets in several forms, and a day that only the file's name tells."""
    leaves, made = a_class(9002, days=(date(2024, 9, 17), date(2024, 9, 24))), []
    for form in ("%m-%d-%y", "%b %d", "Sept %d", "%d.%m.%Y"):
        grids = []
        for day in (date(2024, 9, 17), date(2024, 9, 24)):
            grids.append(Grid(day.strftime(form)).table([leaf for leaf in leaves if leaf.day == day], USUAL[1:], 5))
        truth = tuple(true for grid in grids for true in grid.truth)
        made.append(Ugly(5, f"days as sheets: {grids[0].sheet}", f"{NAME}.xlsx", xlsx_bytes(*grids), truth))
    return made


def _lead(leaf: Leaf) -> list[object]:
    return [value(leaf) for _, value in LEAD]


FILES = [exported, windows, numbered, days]
