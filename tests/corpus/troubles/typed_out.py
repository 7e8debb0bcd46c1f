"""Text without separators, lines pasted into one column, rows with their number first; columns and tables that go by another's name."""

from __future__ import annotations

from datetime import date
from typing import Any

from tests.corpus.truth import BAR, LEAF, PLACE, PLANT, SITE, TAXON, TIME, USUAL, Column, Grid, Ugly, a_class, number, usual
from tests.corpus.writing import csv_bytes, text_of, with_cached, xlsx_bytes

NAME = "Fall 2024 Section A"
WIDTHS = (12, 8, 20, 24, 8, 6, 16)


def _csv(case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(2, case, f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def _text(case: str, lines: list[str], grid: Grid, name: str = f"{NAME}.txt") -> Ugly:
    return Ugly(1, case, name, "\n".join(lines).encode(), tuple(grid.truth))


def lined_up() -> list[Ugly]:
    """A notebook typed with spaces, some cells blank."""
    made = []
    for case, lost in (("columns lined up by spaces", ()), ("columns lined up by spaces, some readings blank", (3, 7))):
        grid = usual(a_class(1501))
        for at in lost:
            grid.rows[at + 1][6] = None
            grid.truth[at] = grid.truth[at].but(expect="aside")
        rows = [["Notebook, page 12   Section A"], *([text_of(cell) for cell in row] for row in grid.rows)]
        lines = ["".join(cell.ljust(width) for cell, width in zip(row, WIDTHS, strict=False)).rstrip() for row in rows]
        grid.truth = [truth.__class__(truth.leaf, "", truth.row + 2, truth.column) for truth in grid.truth]
        made.append(_text(case, [lines[0], "", *lines[1:]], grid))
    return made


def numbered_rows() -> list[Ugly]:
    """Tables of a statistics program: every text quoted and parted by a space, or tabs; its row numbers have no header."""
    made = []
    for case, separator in (("texts quoted and parted by spaces, rows numbered", " "), ("rows numbered, the header short by one", "\t")):
        grid = Grid().add([name for name, _ in USUAL])
        for leaf in a_class(1502):
            grid.rows.append([len(grid.rows), *(value(leaf) for _, value in USUAL)])
            grid.note(leaf, 7)
        lines = [separator.join(f'"{text_of(cell)}"' if separator == " " else text_of(cell) for cell in row) for row in grid.rows]
        made.append(_text(case, lines, grid))
    return made


def pasted_lines() -> Ugly:
    """Lines of delimited text pasted into the first column of a workbook."""
    grid = Grid("Sheet1").add(["Section A"]).table(a_class(1503), USUAL, 6)
    lines = Grid("Sheet1").add(*([",".join(map(text_of, row))] for row in grid.rows))
    return Ugly(1, "lines of text in one column", f"{NAME}.xlsx", xlsx_bytes(lines), tuple(grid.truth), says=("whole line",))


def named_for_another() -> list[Ugly]:
    """A plant's name and its number both under "plant"; the letter psi run together with its unit; marks that nobody sees."""
    leaves = a_class(1504)
    number_first: tuple[Column, ...] = (
        BAR,
        ("leaf no.", LEAF[1]),
        ("plant no.", PLANT[1]),
        ("plant", TAXON[1]),
        *(SITE, TIME, ("date", lambda leaf: leaf.day)),
    )
    potentials: Column = ("psi_mpa", lambda leaf: round(-leaf.pressure_mpa, 3))
    marked: Column = ("\u202bPressure (bar)\u202c", lambda leaf: f"\u200e{number(leaf.number)}")
    return [
        _csv("plant over the names, plant no. over the numbers", Grid().table(leaves, number_first, 0)),
        _csv("psi_mpa over potentials", Grid().table(leaves, (*PLACE, potentials), 6)),
        _csv("marks of direction around each number", Grid().table(leaves, (*PLACE, marked), 6)),
    ]


def example_first() -> Ugly:
    """A first sheet that explains, with one row for an example."""
    told = Grid("Read me").add(["READ ME"], ["Fill in the sheet Data."], ["Example:"])
    told.table([leaf.but(day=date(2024, 9, 3)) for leaf in a_class(1505)[:1]], USUAL, 6)
    grid = Grid("Data").table(a_class(1506), USUAL, 6)
    return Ugly(2, "an example on the sheet before", f"{NAME}.xlsx", xlsx_bytes(told, grid), tuple(grid.truth), says=("an example",))


def errors_in_both() -> Ugly:
    """The potential computed from the pressure; where there was none, both are errors."""
    grid = Grid("Sheet1").add([name for name, _ in USUAL] + ["WP (MPa)"])
    cached: dict[str, str] = {}
    for at, leaf in enumerate(a_class(1507)):
        row, is_lost = len(grid.rows) + 1, at in (2, 5)
        pressure = "=1/0" if at == 2 else "n/a" if is_lost else leaf.number
        grid.rows.append([*(value(leaf) for _, value in PLACE), pressure, f"=-G{row}/10"])
        grid.note(leaf.but(expect="aside") if is_lost else leaf, 6)
        cached |= {f"G{row}": "#DIV/0!"} if at == 2 else {}
        cached[f"H{row}"] = "#VALUE!" if is_lost else f"{-leaf.number / 10:g}"
    data = with_cached(xlsx_bytes(grid), cached)
    return Ugly(1, "errors in a pressure and its potential", f"{NAME}.xlsx", data, tuple(grid.truth))


FILES = [lined_up, numbered_rows, pasted_lines, named_for_another, example_first, errors_in_both]
