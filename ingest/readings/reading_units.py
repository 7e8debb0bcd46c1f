"""The column of readings as decided, and its unit: in the header, the row, the cell, or a text around the table; doubted or asked."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from statistics import median

from ingest.cells.clock import parse_time
from ingest.cells.numbers import Written
from ingest.cells.sun import window_named
from ingest.doubts.problems import Problem, problem
from ingest.doubts.recipes import Recipe
from ingest.tables.column_cells import cells_of, each_once, text_of
from ingest.tables.columns import ColumnMap
from ingest.tables.headers import understand_header
from ingest.tables.tables import Table
from ingest.units import to_mpa, units_in

DAYTIME_MPA = (0.3, 7.0)
ORDINARY_MPA = (0.4, 6.0)
FIRST_DAYTIME_HOUR = 9
FEWEST_TO_DOUBT = 5
OF_CHAMBER = "chamber"  # answered where each row's chamber says the unit: its gauge's
_LETTER_IN_TITLE = re.compile(r"\b(leaf|xylem|water|stem|pre-?dawn|mid-?day) psi\b|\bpsi[ _-]?(leaf|xylem|pd|md)\b", re.IGNORECASE)


@dataclass
class Decision:
    """One decision and why; `value` is None where each row decides for itself or a question is open."""

    value: str | None = None
    why: str = ""


@dataclass
class ReadingColumn:
    """The column of readings as decided: its place (from 1), its parsed cells by data row, unit and quantity.

    `passed_over` are columns that could have been it, where somebody said that it is this one.
    """

    place: int
    header: str
    written: list[Written | None]
    unit: Decision
    quantity: Decision
    notes: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    passed_over: list[ReadingColumn] = field(default_factory=list)


def unit_of(table: Table, mapped: ColumnMap, column: ReadingColumn, recipe: Recipe) -> Decision:
    header = understand_header(column.header)
    if (said := recipe.get("reading.unit")) and not (table.keeps_unit and header.unit):
        return Decision(None, "by the recipe: that of each row's chamber") if said == OF_CHAMBER else Decision(said, "by the recipe")
    if header.unit:
        return Decision(header.unit, "named in the header")
    if mapped.place("unit"):
        return Decision(None, "named in each row")
    numbers = [cell for cell in column.written if cell is not None and cell.value is not None]
    with_unit = sum(cell.unit is not None for cell in numbers)
    if numbers and with_unit >= 0.5 * len(numbers):
        return Decision(None, "named in each cell" if with_unit == len(numbers) else "named in most cells; the others are set aside")
    for texts, where in (
        (table.titles, "named above the table"),
        ([table.sheet.name], "named on the sheet"),
        (table.page_titles, "named at the top of the sheet"),
        (table.notes_below, "named below the table"),
    ):
        named = {unit for text in texts for unit, _ in units_in(text)}
        if named:  # the nearest text that names a unit speaks; where it is not clear, none further away may
            is_clear = len(named) == 1 and not any(_LETTER_IN_TITLE.search(text) for text in texts)
            return Decision(next(iter(named)), where) if is_clear else Decision()
    return Decision()


def keep_named_units(tables: Sequence[Table], recipe: Recipe, of_sheet: Callable[[Table], Recipe]) -> None:
    """An answer about the unit is about the tables whose headers name none, where others of the file (or sheet, if it is of one) do."""
    names_unit = {id(table): any(understand_header(text).unit for text in table.headers.values()) for table in tables}
    for table in tables:
        is_of_sheet = of_sheet(table).get("reading.unit") != recipe.get("reading.unit")
        scope = [other for other in tables if not is_of_sheet or other.sheet.number == table.sheet.number]
        table.keeps_unit = names_unit[id(table)] and not all(names_unit[id(other)] for other in scope)


def ask_unit(table: Table, mapped: ColumnMap, column: ReadingColumn) -> None:
    if column.unit.value or column.unit.why:
        return
    code = "unit_unclear" if understand_header(column.header).is_psi_unclear else "unit_missing"
    answers = [f"reading.unit={unit}" for unit in ("bar", "MPa", "psi", "kPa", "atm", "kgf/cm2")]
    answers += [f"reading.unit={OF_CHAMBER}"] if mapped.place("chamber") else []
    column.problems.append(
        problem(code, place=place_of(table, "reading", repr(column.header)), count=len(table.data_rows), answers=answers)
    )


def doubt_unit(table: Table, mapped: ColumnMap, column: ReadingColumn) -> None:
    """Ask where the unit makes most daytime readings incredibly wet or dry, and another unit makes them ordinary.

    Limits are common practice: by day half of a class's leaves are drier than 0.3 MPa and wetter than 7.
    """
    unit = column.unit.value
    if unit is None or column.unit.why == "by the recipe":
        return
    predawn = each_once(cells_of(table, mapped, "sampling_window"), lambda cell: window_named(text_of(cell)) == "predawn")
    clocks = each_once(cells_of(table, mapped, "time_read"), parse_time)
    values = [
        abs(cell.value)
        for cell, is_predawn, clock in zip(column.written, predawn, clocks, strict=True)
        if cell is not None
        and cell.value
        and not cell.unit
        and not cell.is_doubtful
        and not is_predawn
        and (clock is None or clock[0].hour >= FIRST_DAYTIME_HOUR)
    ]
    if len(values) < FEWEST_TO_DOUBT:
        return
    middle = median(values)
    if DAYTIME_MPA[0] <= to_mpa(middle, unit) <= DAYTIME_MPA[1]:
        return
    others = [other for other in ("MPa", "bar", "psi") if other != unit and ORDINARY_MPA[0] <= to_mpa(middle, other) <= ORDINARY_MPA[1]]
    if others:
        answers = [f"reading.unit={one}" for one in (*others, unit)]
        place, numbers, other = place_of(table, "reading", repr(column.header)), f"{middle:g} {unit} in the middle", " or ".join(others)
        column.problems.append(problem("unit_doubtful", place=place, numbers=numbers, other=other, answers=answers))


def place_of(table: Table, column: str, value: str) -> dict[str, object]:
    """Where a question about a column of a table stands."""
    return {"sheet": table.sheet.name, "row": table.header_row, "column": column, "value": value}
