"""From a reading as written to a balance pressure in MPa: unit, sign, endpoint, bound and the state of the leaf."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ingest.cells.numbers import Written
from ingest.cells.remarks import RemarkMeaning, endpoint_named, leaf_state_named, understand_remark
from ingest.checked.rows import Rows
from ingest.checked.understood import Reading
from ingest.folding import fold
from ingest.progress import counted
from ingest.readings.reading_units import OF_CHAMBER, ReadingColumn
from ingest.readings.remarked import heed_remark, remarks_of
from ingest.tables.column_cells import cells_of, text_of
from ingest.tables.columns import ColumnMap
from ingest.tables.tables import Table
from ingest.units import to_mpa, unit_named, water_potential_mpa

_NO = ("false", "no", "n", "0")


@dataclass
class Measured:
    """One row's measurement: balance pressure in MPa (a bound where `endpoint` is not_reached), or None with a code on the row."""

    unit: str | None = None
    pressure_mpa: float | None = None
    endpoint: str = "seen"


def measure(table: Table, mapped: ColumnMap, column: ReadingColumn, rows: Rows, at: Sequence[int], reading: Reading) -> None:
    """Fill the measurement columns of each data row. Requires that site, chamber and remarks of the rows are filled."""
    units = [text_of(cell) for cell in cells_of(table, mapped, "unit")]
    endpoints = _ticked([text_of(cell) for cell in cells_of(table, mapped, "endpoint")])
    states = [text_of(cell) for cell in cells_of(table, mapped, "leaf_state")]
    denied = [fold(text_of(cell)) in _NO for cell in cells_of(table, mapped, "usable")]
    remarks = remarks_of(table, mapped)
    blank = Written("", is_missing=True)
    bounds_by_remark: list[int] = []
    for position, index in enumerate(counted(reading.tell, "Reading the pressures", at)):
        written = column.written[position]
        meaning = understand_remark(remarks[position]) if remarks[position] else RemarkMeaning()
        if denied[position]:
            rows.mark(index, "reading_not_usable", "usable")
        _leaf_state(rows, index, states[position], remarks[position], meaning)
        stated = _endpoint_stated(rows, index, endpoints[position], remarks[position], meaning)
        raw = table.cell(table.data_rows[position], column.place)
        # A number is kept to the letter; words in its place or around it may name a person.
        is_number = written is not None and written.value is not None and not written.is_not_reached
        is_bare = is_number and not (written and written.is_doubtful)
        rows.columns["reading_as_written"][index] = text_of(raw) if is_bare else reading.scrub(text_of(raw))
        is_potential = _is_potential(column, written)
        rows.columns["quantity"][index] = column.quantity.value and ("potential" if is_potential else "pressure")
        if written is None and not (stated == "not_reached" and meaning.limit):
            rows.mark(index, "reading_unreadable", "reading", text_of(raw))
            continue
        unit = _unit(rows, index, written or blank, units[position] or _gauge_unit(rows, index, column, reading), column)
        measured = _measured(rows, index, written or blank, unit, stated, meaning, column, reading)
        _store(rows, index, measured)
        if remarks[position] and is_number:
            heed_remark(rows, index, remarks[position], meaning, measured.unit, written, reading)
        if is_number and not (written and written.bound) and meaning.endpoint == "not_reached" and meaning.limit is None:
            bounds_by_remark.append(index)
    _doubt_low_bounds(rows, at, bounds_by_remark)


def _ticked(cells: list[str]) -> list[str]:
    """A column of endpoints that is ticked where one was seen: where most are ticked and none is denied, a blank is in doubt."""
    named = {cell: endpoint_named(cell) for cell in set(cells) if cell}
    is_ticked = set(named.values()) == {"seen"} and cells.count("") < 0.5 * len(cells)
    return [cell or "?" for cell in cells] if is_ticked else cells


def _doubt_low_bounds(rows: Rows, at: Sequence[int], bounds: Sequence[int]) -> None:
    """A remark says no endpoint, and other leaves were taken further: why this one stopped there nobody says."""
    pressures, endpoints = rows.columns["balance_pressure_mpa"], rows.columns["endpoint"]
    highest = max((pressures[index] for index in at if endpoints[index] == "seen" and pressures[index]), default=0.0)
    for index in bounds:
        if endpoints[index] == "not_reached" and pressures[index] < highest:
            rows.mark(index, "bound_doubtful", "reading", rows.columns["reading_as_written"][index])


def _gauge_unit(rows: Rows, index: int, column: ReadingColumn, reading: Reading) -> str:
    """The unit of the gauge of the row's chamber, where the chamber is to say it."""
    if column.unit.value or reading.recipe.get("reading.unit") != OF_CHAMBER:
        return ""
    chamber = reading.registers.chambers.get(rows.columns["chamber"][index] or "")
    return chamber.gauge_unit if chamber else ""


def _unit(rows: Rows, index: int, written: Written, cell: str, column: ReadingColumn) -> str | None:
    of_row = unit_named(cell) if cell else None
    if cell and of_row is None:
        rows.mark(index, "unit_unknown_here", "unit", cell)
        return None
    around = of_row or column.unit.value
    if written.unit and around and written.unit != around and not column.unit.why.startswith("by the recipe"):
        rows.mark(index, "unit_against_column", "reading", written.text, unit=around)
    unit = written.unit or around
    if unit is None and written.value is not None:
        rows.mark(index, "unit_missing_here", "reading", written.text)
    return unit


def _measured(
    rows: Rows,
    index: int,
    written: Written,
    unit: str | None,
    stated: str | None,
    meaning: RemarkMeaning,
    column: ReadingColumn,
    reading: Reading,
) -> Measured:
    if written.value is None:
        if written.is_not_reached or stated == "not_reached":
            return _bound_without_value(rows, index, unit, meaning, reading)
        rows.mark(index, "reading_missing", "reading", written.text or None)
        return Measured(unit)
    if unit is None:
        return Measured(None)
    if written.is_doubtful:
        rows.mark(index, "reading_doubtful", "reading", written.text)
    if written.is_mistyped:
        rows.mark(index, "reading_mistyped", "reading", written.text, number=f"{written.value:g}")
    is_potential = _is_potential(column, written) and not written.is_not_reached
    value = -written.value if is_potential else written.value
    if value < 0:
        rows.mark(index, "positive_potential" if is_potential else "negative_pressure", "reading", written.text)
        return Measured(unit)
    # "< −3.8 MPa" of a potential and "> 38 bar" of a pressure both say: at least as dry as that.
    beyond = written.bound is not None and (written.bound == "below") == is_potential
    if written.bound and not beyond:
        rows.mark(index, "upper_bound", "reading", written.text)
        return Measured(unit)
    pressure = to_mpa(value, unit) or 0.0
    if beyond or written.is_not_reached or stated == "not_reached":
        _compare_limit(rows, index, pressure, unit, written.text, meaning)
        return Measured(unit, pressure, "not_reached")
    return Measured(unit, pressure, "doubtful" if stated == "doubtful" else "seen")


def _is_potential(column: ReadingColumn, written: Written | None) -> bool:
    """True where a number is a potential: its column's quantity says so, or in a column of either its minus does."""
    is_negative = written is not None and written.value is not None and written.value < 0
    return is_negative if column.quantity.value == "either" else column.quantity.value == "potential"


def _bound_without_value(rows: Rows, index: int, unit: str | None, meaning: RemarkMeaning, reading: Reading) -> Measured:
    """No number in the cell and no endpoint: the limit is in the remark, or is the named chamber's maximum."""
    if meaning.limit:
        number, named = meaning.limit
        if limit_unit := named or unit:
            return Measured(limit_unit, to_mpa(number, limit_unit), "not_reached")
    chamber = reading.registers.chambers.get(rows.columns["chamber"][index] or "")
    if chamber:
        return Measured(chamber.gauge_unit, to_mpa(chamber.maximum_pressure, chamber.gauge_unit), "not_reached")
    rows.mark(index, "bound_without_limit", "reading")
    return Measured(unit)


def _compare_limit(rows: Rows, index: int, pressure: float, unit: str, text: str, meaning: RemarkMeaning) -> None:
    if meaning.limit:
        number, named = meaning.limit
        if abs(to_mpa(number, named or unit) - pressure) > 0.01 * pressure:
            rows.mark(index, "remark_against_reading", "reading", text, limit=f"{number:g} {named or unit}")


def _endpoint_stated(rows: Rows, index: int, cell: str, remark: str, meaning: RemarkMeaning) -> str | None:
    named = endpoint_named(cell) if cell else None
    if cell and named is None:
        rows.mark(index, "endpoint_unreadable", "endpoint", cell)
    if meaning.is_taken_back:
        rows.mark(index, "reading_taken_back", "remark", remark)
    if meaning.is_recut:
        rows.mark(index, "leaf_recut", "remark", remark)
    if named == "not_reached" or meaning.endpoint == "not_reached":
        return "not_reached"
    if "doubtful" in (named, meaning.endpoint):
        return "doubtful"
    return named


def _leaf_state(rows: Rows, index: int, cell: str, remark: str, meaning: RemarkMeaning) -> None:
    named = leaf_state_named(cell.rstrip("?")) if cell else None
    if cell and named is None:
        rows.mark(index, "leaf_state_unreadable", "leaf_state", cell)
    if cell.endswith("?"):
        rows.mark(index, "leaf_state_doubtful", "leaf_state", cell)
    is_by_cell = named not in (None, "green")
    state = named if is_by_cell else meaning.leaf_state or named
    rows.columns["leaf_state"][index] = state
    if state in (None, "green"):
        return
    is_doubtful = cell.endswith("?") or meaning.is_state_doubtful
    senesced = "leaf_senesced" if state == "senesced" else "leaf_partly_senesced"
    column, words = ("leaf_state", cell) if is_by_cell else ("remark", remark)
    rows.mark(index, "leaf_state_doubtful" if is_doubtful else senesced, column, words)


def _store(rows: Rows, index: int, measured: Measured) -> None:
    columns = rows.columns
    columns["unit_as_written"][index] = measured.unit
    if measured.pressure_mpa is None:
        return
    columns["balance_pressure_mpa"][index] = measured.pressure_mpa
    columns["water_potential_mpa"][index] = water_potential_mpa(measured.pressure_mpa)
    columns["endpoint"][index] = measured.endpoint
    columns["below_limit"][index] = measured.endpoint == "not_reached"
    if measured.pressure_mpa == 0:
        rows.mark(index, "reading_zero", "reading", columns["reading_as_written"][index])
    if measured.endpoint == "not_reached":
        rows.mark(index, "endpoint_not_reached", "reading", columns["reading_as_written"][index] or f"{measured.pressure_mpa:.2f} MPa")
    elif measured.endpoint == "doubtful":
        rows.mark(index, "endpoint_doubtful", "reading", columns["reading_as_written"][index])
