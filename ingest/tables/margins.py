"""Columns of a table whose header is missing or says little: their cells tell remarks, names of sites and names of plants."""

from __future__ import annotations

from ingest.files.containers import CellValue
from ingest.tables.blocks import is_ditto
from ingest.tables.labels import Labels
from ingest.tables.table_rows import is_value
from ingest.tables.tables import Table

MARGIN = "Remark (no header)"
LONGEST = 80
NEARLY_ALL = 0.8


def name_margins(table: Table, labels: Labels) -> None:
    """Name the columns without a header, within a table or right beside it, that hold words and nothing else."""
    for place in range(min(table.headers), max(table.headers) + 2):
        if place in table.headers or table.meanings.get(place - 1) == "remark":
            continue
        cells = [cell for row in table.data_rows if (cell := table.cell(row, place)) is not None]
        if cells and all(_is_remark(cell, labels) for cell in cells):
            table.headers[place], table.meanings[place] = MARGIN, "remark"


def name_contents(table: Table, labels: Labels) -> None:
    """Tell the column of sites and the column of plants' names by their cells, where no header names it: "what", "Plant" over codes."""
    for kind, free in (("site", (None,)), ("taxon", (None, "plant"))):
        if kind in table.meanings.values():
            continue
        places = [place for place, meaning in table.meanings.items() if meaning in free and _holds_names(table, place, kind, labels)]
        if len(places) == 1:
            table.told[places[0]] = table.meanings[places[0]] = kind


def _holds_names(table: Table, place: int, kind: str, labels: Labels) -> bool:
    """True where nearly all of the different cells of a column name something of a register."""
    cells = {cell for cell in table.column(place) if cell is not None and not is_ditto(cell)}
    texts = [cell for cell in cells if isinstance(cell, str)]
    return (
        bool(texts) and len(texts) >= NEARLY_ALL * len(cells) and sum(labels.names(kind, text) for text in texts) >= NEARLY_ALL * len(texts)
    )


def _is_remark(cell: CellValue, labels: Labels) -> bool:
    if not isinstance(cell, str) or is_value(cell) or len(cell) > LONGEST or "=" in cell:
        return False
    return not labels.of_heading(cell) and not is_ditto(cell)
