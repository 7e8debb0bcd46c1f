"""Columns that could each hold the readings: one of them where they say the same, and what the others say where one was chosen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ingest.cells.numbers import Written
from ingest.checked.rows import Rows
from ingest.files.containers import letter
from ingest.readings.reading_units import ReadingColumn
from ingest.tables.headers import is_summary_header, understand_header
from ingest.units import to_mpa

ROUNDING_MPA, ROUNDING_SHARE = 0.011, 0.005
"""Two decimals of MPa, or the rounding of a factor: by so much the same reading may differ in two units."""


def could_hold_readings(header: str) -> bool:
    """True where a header may name the readings."""
    return any(column == "reading" for column, _ in understand_header(header).candidates) and not is_summary_header(header)


def settle_rivals(columns: list[ReadingColumn]) -> tuple[ReadingColumn | None, str]:
    """One column of readings; of a pressure and the potential computed from it, the pressure, if their numbers agree."""
    if len(columns) == 1:
        return columns[0], ""
    best = [column for column in columns if understand_header(column.header).quantity == "pressure"] or columns
    chosen = best[0]
    others = [column for column in columns if column is not chosen]
    if len(best) == 1 and all(_agree(chosen, other) for other in others):
        names = ", ".join(repr(other.header) for other in others)
        return chosen, f"{names} says the same as {chosen.header!r} in another way and was not used"
    return None, ""


def _agree(one: ReadingColumn, other: ReadingColumn) -> bool:
    return bool(one.unit.value and other.unit.value) and not any(
        # an error that a formula left, and the word that it could not reckon with, are both no value
        (_value(here) is None) != (_value(there) is None) or _differ(one, here, other, there)
        for here, there in zip(one.written, other.written, strict=True)
    )


def _value(written: Written | None) -> float | None:
    return written.value if written else None


def _differ(one: ReadingColumn, here: Written | None, other: ReadingColumn, there: Written | None) -> bool:
    """Whether two numbers are not the same pressure, written in the unit of their cell or column; without one, in the other's unit."""
    if here is None or there is None or here.value is None or there.value is None:
        return False
    unit, its_unit = here.unit or one.unit.value, there.unit or other.unit.value
    if unit is None and its_unit is None:
        return here.value != there.value
    first, second = (abs(to_mpa(value, named or unit or its_unit or "")) for value, named in ((here.value, unit), (there.value, its_unit)))
    return abs(first - second) > max(ROUNDING_MPA, ROUNDING_SHARE * first)


def doubt_passed_over(rows: Rows, at: Sequence[int], column: ReadingColumn) -> Iterator[str]:
    """Mark the rows for which a column that was passed over holds another number; where it does so for most, say that once."""
    numbers = sum(_value(written) is not None for written in column.written)
    for other in column.passed_over:
        pairs = list(zip(at, column.written, other.written, strict=True))
        elsewhere = [(index, there) for index, here, there in pairs if _value(here) is None and _value(there) is not None]
        unlike = [(index, there) for index, here, there in pairs if _differ(column, here, other, there)]
        if 2 * len(unlike) > numbers:
            where = "1 row" if len(unlike) == 1 else f"{len(unlike)} rows"
            yield f"{other.header!r} holds other numbers than {column.header!r} in {where}, and was passed over"
            unlike = []
        for index, there in (*elsewhere, *unlike):
            rows.mark(index, "reading_elsewhere", "reading", there.text if there else None, other=f"column {letter(other.place)}")
