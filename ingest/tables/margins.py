"""Columns of a table that have no header: words typed beside the readings are remarks, as the class meant them."""

from __future__ import annotations

from ingest.files.containers import CellValue
from ingest.tables.blocks import is_ditto
from ingest.tables.labels import Labels
from ingest.tables.table_rows import is_value
from ingest.tables.tables import Table

MARGIN = "Remark (no header)"
LONGEST = 80


def name_margins(table: Table, labels: Labels) -> None:
    """Name the columns without a header, within a table or right beside it, that hold words and nothing else."""
    for place in range(min(table.headers), max(table.headers) + 2):
        if place in table.headers or table.meanings.get(place - 1) == "remark":
            continue
        cells = [cell for row in table.data_rows if (cell := table.cell(row, place)) is not None]
        if cells and all(_is_remark(cell, labels) for cell in cells):
            table.headers[place], table.meanings[place] = MARGIN, "remark"


def _is_remark(cell: CellValue, labels: Labels) -> bool:
    if not isinstance(cell, str) or is_value(cell) or len(cell) > LONGEST or "=" in cell:
        return False
    return not labels.of_heading(cell) and not is_ditto(cell)
