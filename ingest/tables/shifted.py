"""Rows of delimited text with more cells than their header: a comma within a number or a remark was taken for a separator."""

from __future__ import annotations

import re

from ingest.files.containers import CellValue
from ingest.tables.tables import SheetLayout, Table

_OF_WORDS = {"remark", "observer", "site", "taxon", "time_cut", "time_read", "sampling_window", "endpoint", "leaf_state", "unit", "date"}
_NUMBER = re.compile(r"[-−–<>~]?\s?\d+([.,]\d+)?\s?[A-Za-z]{0,3}$")


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
    readings = [place for place, meaning in table.meanings.items() if meaning == "reading"]
    longer = [row for row in table.data_rows if len(rows[row - 1]) > width]
    is_sure = len(longer) < len(table.data_rows) or _is_out_of_place(table, longer, width, readings)
    joined = []
    for row in longer:
        cells = rows[row - 1]
        beyond = any(cell is not None for cell in cells[width:])
        if not (is_sure or beyond):
            continue
        if len(cells) == width + 1 and len(readings) == 1 and _are_parted(cells, readings[0]):
            place = readings[0]
            rows[row - 1] = [*cells[: place - 1], f"{cells[place - 1]},{cells[place]}", *cells[place + 1 :]]
            joined.append(row)
        elif beyond and _ends_in_remark(table, cells, width):
            rows[row - 1] = [*cells[: width - 1], ", ".join(str(cell) for cell in cells[width - 1 :] if cell is not None)]
        elif beyond or _is_pushed(cells, readings):
            table.sheet.shifted.add(row)
    return joined


def _is_out_of_place(table: Table, longer: list[int], width: int, readings: list[int]) -> bool:
    """True where every row has one cell more than the header, and the numbers right of the readings are no values of their columns.

    Where a program ends each row with a separator, the last cell is blank in every row, and the others stand below their names.
    """
    rows = [table.sheet.rows[row - 1] for row in longer]
    if len(readings) != 1 or not all(len(cells) == width + 1 and _are_parted(cells, readings[0]) for cells in rows):
        return False
    words = [place for place in range(readings[0] + 1, width + 1) if table.meanings.get(place) in _OF_WORDS]
    is_number_for_words = any(re.fullmatch(r"\d{1,3}", str(cells[place - 1])) for cells in rows for place in words)
    return is_number_for_words or any(cells[width] is not None or cells[readings[0]] in ("0", "00") for cells in rows)


def _is_pushed(cells: list[CellValue], readings: list[int]) -> bool:
    """True where the number of the reading stands one cell further on: something before it was parted."""
    if len(readings) != 1 or len(cells) <= readings[0]:
        return False
    here, after = cells[readings[0] - 1], cells[readings[0]]
    return here is not None and not _NUMBER.match(str(here)) and bool(_NUMBER.match(str(after)))


def _are_parted(cells: list[CellValue], place: int) -> bool:
    whole, part = cells[place - 1], cells[place]
    return isinstance(whole, str) and isinstance(part, str) and bool(re.fullmatch(r"[-−–]?\d+", whole) and re.fullmatch(r"\d{1,3}", part))


def _ends_in_remark(table: Table, cells: list[CellValue], width: int) -> bool:
    first = cells[width - 1]
    return table.meanings.get(width) == "remark" and isinstance(first, str) and not re.fullmatch(r"[\d.,\s]+", first)
