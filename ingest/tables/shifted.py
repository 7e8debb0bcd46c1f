"""Rows of delimited text with more cells than their header: a comma within a number or a remark was taken for a separator."""

from __future__ import annotations

import re

from ingest.files.containers import CellValue
from ingest.tables.tables import SheetLayout, Table


def mend_shifted(layout: SheetLayout) -> list[str]:
    """Join what a comma has parted in the rows of a sheet, where it is certain; other rows are remembered as shifted.

    Returns notes for the receipt.
    """
    joined: list[int] = []
    for table in layout.tables:
        if not table.is_transposed:
            joined.extend(_mend(table))
    if not joined:
        return []
    shown = ", ".join(map(str, joined[:5])) + (f" and {len(joined) - 5} more" if len(joined) > 5 else "")
    return [f"Rows with more cells than the header: the comma within the reading was taken for its decimal mark (row {shown})."]


def _mend(table: Table) -> list[int]:
    rows = table.sheet.rows
    width = max(len(rows[table.header_row - 1]), *table.headers)
    is_mixed = len({len(rows[row - 1]) for row in table.data_rows}) > 1
    readings = [place for place, meaning in table.meanings.items() if meaning == "reading"]
    joined = []
    for row in table.data_rows:
        cells = rows[row - 1]
        beyond = any(cell is not None for cell in cells[width:])
        if len(cells) <= width or not (is_mixed or beyond):
            continue
        if len(cells) == width + 1 and len(readings) == 1 and _are_parted(cells, readings[0]):
            place = readings[0]
            rows[row - 1] = [*cells[: place - 1], f"{cells[place - 1]},{cells[place]}", *cells[place + 1 :]]
            joined.append(row)
        elif beyond and _ends_in_remark(table, cells, width):
            rows[row - 1] = [*cells[: width - 1], ", ".join(str(cell) for cell in cells[width - 1 :] if cell is not None)]
        elif beyond:
            table.sheet.shifted.add(row)
    return joined


def _are_parted(cells: list[CellValue], place: int) -> bool:
    whole, part = cells[place - 1], cells[place]
    return isinstance(whole, str) and isinstance(part, str) and bool(re.fullmatch(r"[-−–]?\d+", whole) and re.fullmatch(r"\d{1,3}", part))


def _ends_in_remark(table: Table, cells: list[CellValue], width: int) -> bool:
    first = cells[width - 1]
    return table.meanings.get(width) == "remark" and isinstance(first, str) and not re.fullmatch(r"[\d.,\s]+", first)
