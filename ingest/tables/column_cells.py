"""The cells of a table's column: by data row, as text, and parsed once each."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, time
from typing import TypeVar

from ingest.files.containers import CellValue
from ingest.tables.columns import ColumnMap
from ingest.tables.tables import Table

T = TypeVar("T")
_NO_VALUE = re.compile(r"#(NULL!|DIV/0!|VALUE!|REF!|NAME\?|NUM!|N/A|SPILL!|CALC!)|Err:\d{3}|=.*(\(|\$?\b[A-Z]{1,3}\$?\d).*", re.DOTALL)


def cells_of(table: Table, mapped: ColumnMap, column: str) -> list[CellValue]:
    """The values of a contract column by data row: the cell, else what the layout gives for the row or the whole table."""
    place, given, constant = mapped.place(column), table.given.get(column, {}), table.constants.get(column)
    if not given and constant is None:
        return table.column(place) if place else [None] * len(table.data_rows)
    found: list[CellValue] = []
    for row in table.data_rows:
        cell = table.cell(row, place) if place else None
        found.append(given.get(row, constant if cell is None else cell))
    return found


def first_cells(table: Table, mapped: ColumnMap, column: str) -> Mapping[str, str]:
    """Where each text of a contract column stands first: the cell's address, or "row 5" where the layout gives it to the row."""
    place, found = mapped.place(column), dict[str, str]()
    for row, cell in zip(table.data_rows, cells_of(table, mapped, column), strict=True):
        if (text := text_of(cell)) and text not in found:
            is_its_own = place is not None and text_of(table.cell(row, place)) == text
            found[text] = f"cell {table.address(row, place)}" if is_its_own and place else f"row {row}"
    return found


def stands_somewhere(table: Table, mapped: ColumnMap, column: str) -> bool:
    """True where a contract column has a column of the table, or the layout gives it."""
    return bool(mapped.place(column) or table.given.get(column) or table.constants.get(column))


def each_once(cells: Sequence[CellValue], parse: Callable[[CellValue], T]) -> list[T]:
    """Parse every cell, each distinct one once: a long file repeats itself."""
    known: dict[tuple[type, CellValue], T] = {}
    found = []
    for cell in cells:
        key = (type(cell), cell)
        if key not in known:
            known[key] = parse(cell)
        found.append(known[key])
    return found


def text_of(cell: CellValue) -> str:
    """A cell as text, as its writer would read it."""
    if isinstance(cell, str):
        return cell.strip()
    if cell is None:
        return ""
    if isinstance(cell, float) and cell.is_integer():
        return f"{cell:.0f}"
    if isinstance(cell, datetime):
        return cell.strftime("%Y-%m-%d %H:%M")
    return cell.strftime("%H:%M") if isinstance(cell, time) else str(cell).strip()


def name_of(cell: CellValue) -> str:
    """A cell that names something, as text; blank where a program left an error there, or a formula that it never computed."""
    text = text_of(cell)
    return "" if _NO_VALUE.fullmatch(text) else text
