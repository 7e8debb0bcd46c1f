"""What a table as a whole decides: which column holds the readings, their unit and sign, the order of dates, the clock.

Each decision has its reason, for the receipt. What the table cannot decide becomes a question
(a problem of severity refuse) with the answer's wording; nothing is guessed between two readings of the data.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date
from functools import partial
from statistics import median

from ingest.cells.dates import Order, PartialDate, date_order
from ingest.cells.numbers import DecimalMark, Written, decimal_mark, number_and_words, parse_reading
from ingest.doubts.answers import one_line
from ingest.doubts.problems import Problem, problem
from ingest.doubts.recipes import Recipe
from ingest.files.containers import letter
from ingest.folding import fold
from ingest.readings.reading_units import Decision, ReadingColumn, ask_unit, doubt_unit, place_of, unit_of
from ingest.readings.rivals import could_hold_readings, settle_rivals
from ingest.registers.registers import Registers
from ingest.tables.column_cells import each_once
from ingest.tables.columns import ColumnMap
from ingest.tables.headers import Quantity, understand_header
from ingest.tables.tables import Table
from ingest.units import to_mpa

_GROUPED = re.compile(r"(?<![\d,.])\d{1,3}(,\d{3})+(?![\d,])")
CHAMBER_MPA = (0.05, 15.0)
FEW = 0.1  # up to a tenth of a column may have the other sign and be set aside; more, and the column is asked about


def decide_readings(table: Table, mapped: ColumnMap, recipe: Recipe) -> ReadingColumn:
    """Decide which column holds the readings, its unit and whether it holds pressures or potentials.

    Requires that `mapped` has a place for `reading`.
    """
    columns = [_parsed(table, place) for place in mapped.columns["reading"]]
    for column in columns:
        column.unit = unit_of(table, mapped, column, recipe)
        _settle_commas(table, column)
    chosen, note = settle_rivals(columns)
    if chosen is None:
        chosen = columns[0]
        rivals = sorted(columns, key=lambda column: column.place)
        names = " and ".join(f"{column.header!r} ({letter(column.place)})" for column in rivals)
        is_alike = len({fold(column.header) for column in rivals}) < len(rivals)
        said = [f"column {letter(column.place)}" if is_alike else one_line(column.header) for column in rivals]
        answers = [f"columns.reading={one}" for one in said]
        asked = problem("column_unclear", place=place_of(table, "reading", names), answers=answers)
        chosen.problems.append(asked)
        return chosen
    chosen.notes.extend([note] if note else [])
    chosen.passed_over = _passed_over(table, mapped)
    ask_unit(table, mapped, chosen)
    chosen.quantity = _quantity(table, chosen, recipe)
    doubt_unit(table, mapped, chosen)
    if (said := recipe.get("reading.unit")) and any(found.code == "unit_doubtful" for found in chosen.problems):
        chosen.problems = [found for found in chosen.problems if found.code != "unit_doubtful"]
        chosen.unit = Decision(said, "by the recipe")
    return chosen


def decide_date_order(
    table: Table, dates: Sequence[date | PartialDate | None], recipe: Recipe, registers: Registers, semester: str | None
) -> tuple[Decision, list[Problem]]:
    """Decide whether the numbers of the dates are day first or month first."""
    unordered = [cell for cell in dates if isinstance(cell, PartialDate) and not cell.is_ordered]
    if not unordered:
        return Decision("month-first", "the dates say day and month themselves"), []
    if said := recipe.get("dates.order"):
        return Decision(said, "by the recipe"), []
    orders: list[Order] = ["day-first", "month-first"]
    if all(cell.is_short for cell in unordered):
        orders.append("year-first")
    shares = {order: _share_in_semester(unordered, order, registers, semester) for order in orders}
    order = date_order(unordered, shares)
    if order:
        return Decision(order, "only so are they dates of the semester" if shares[order] == 1.0 else "by the numbers above 12"), []
    shown = f"{unordered[0].first}/{unordered[0].second}"
    fitting = (*orders[:2], *(("year-first",) if shares.get("year-first") == 1.0 else ()))
    answers = [f"dates.order={one}" for one in fitting]
    return Decision(), [problem("date_order_unclear", place=place_of(table, "date", shown), count=len(unordered), answers=answers)]


def _share_in_semester(cells: Iterable[PartialDate], order: Order, registers: Registers, semester: str | None) -> float:
    inside = total = 0
    for cell in cells:
        total += 1
        for row in [registers.semesters[semester]] if semester else registers.semesters.values():
            years = {row.start_date.year, row.end_date.year} if cell.year is None else {cell.year}
            days = [cell.resolve(order, year) for year in years]
            if any(day is not None and row.start_date <= day <= row.end_date for day in days):
                inside += 1
                break
    return inside / total if total else 1.0


def _parsed(table: Table, place: int) -> ReadingColumn:
    cells = table.column(place)
    mark = decimal_mark(cells)
    written = each_once(cells, lambda cell: parse_reading(cell, mark) or number_and_words(cell, mark))
    return ReadingColumn(place, table.headers[place], written, Decision(), Decision())


def _passed_over(table: Table, mapped: ColumnMap) -> list[ReadingColumn]:
    """Columns that could hold the readings too, and were passed over on somebody's word; a word about the unit was not about them."""
    if mapped.why["reading"] != "by the recipe" or table.reading_place:
        return []
    taken = {place for places in mapped.columns.values() for place in places}
    could_be = [place for place, text in table.headers.items() if place not in taken and could_hold_readings(text)]
    columns = [_parsed(table, place) for place in could_be]
    for column in columns:
        column.unit = unit_of(table, mapped, column, Recipe())
    return columns


def _settle_commas(table: Table, column: ReadingColumn) -> None:
    """2,355 throughout a column is a decimal or a thousand: the chamber's limits say which, where only one can be."""
    cells = table.column(column.place)
    unit = column.unit.value
    open_ones = [at for at, found in enumerate(column.written) if found is None and _GROUPED.search(str(cells[at]))]
    if unit is None or not open_ones:
        return
    fitting: list[tuple[DecimalMark, list[Written | None]]] = []
    marks: tuple[DecimalMark, ...] = ("comma", "point")
    for mark in marks:
        written = each_once([cells[at] for at in open_ones], partial(parse_reading, decimal=mark))
        values = [to_mpa(abs(found.value), unit) for found in written if found is not None and found.value]
        if values and CHAMBER_MPA[0] <= median(values) and max(values) <= CHAMBER_MPA[1]:
            fitting.append((mark, written))
    if len(fitting) == 1:
        mark, settled = fitting[0]
        for at, found in zip(open_ones, settled, strict=True):
            column.written[at] = found
        column.notes.append(
            f"the commas of {column.header!r} are taken as {'decimal' if mark == 'comma' else 'thousands'} marks: otherwise no chamber"
        )


def _quantity(table: Table, column: ReadingColumn, recipe: Recipe) -> Decision:
    if said := recipe.get("reading.quantity"):
        return Decision(said, "by the recipe")
    header = understand_header(column.header)
    # A bound may be written as a size ("no endpoint at 4"), whatever the sign of the column.
    values = [cell.value for cell in column.written if cell is not None and cell.value and not cell.is_not_reached and not cell.bound]
    above, below = sum(value > 0 for value in values), sum(value < 0 for value in values)
    # "Ψ (−MPa)" over positive numbers: the minus stands in the header once instead of in every cell.
    expected: Quantity | None = ("potential" if below > above else "pressure") if header.minus else header.quantity
    against = below if expected == "pressure" else above if expected == "potential" else min(above, below)
    if expected is None and not against:
        return Decision("potential", "all numbers are negative") if below else Decision("pressure", "no number is negative")
    if expected and against <= FEW * len(values):
        return Decision(expected, "named in the header" if not header.minus else "sizes of a potential: the unit has a minus")
    shown = f"{above} positive and {below} negative numbers under a header of {expected or 'neither'}"
    answers = ("reading.quantity=pressure", "reading.quantity=potential", "reading.quantity=either")
    column.problems.append(
        problem("quantity_unclear", place=place_of(table, "reading", repr(column.header)), numbers=shown, answers=answers)
    )
    return Decision()
