"""The remarks on each row: columns of remarks and comments on cells; and what they say beside a number that counts."""

from __future__ import annotations

from ingest.cells.leaves_named import of_leaf
from ingest.cells.numbers import Written
from ingest.cells.remarks import RemarkMeaning, is_unread, spoken
from ingest.cells.said_numbers import names_another
from ingest.checked.rows import Rows
from ingest.checked.understood import Reading
from ingest.tables.column_cells import each_once, text_of
from ingest.tables.columns import ColumnMap
from ingest.tables.tables import Table


def remarks_of(table: Table, mapped: ColumnMap) -> list[str]:
    """The remarks of each data row; of a row of several leaves what concerns the leaf of this table."""
    remarks, leaf = remarks_written(table, mapped), table.constants.get("leaf")
    if len(table.leaves) > 1 and leaf:
        return [of_leaf(remark, leaf, table.leaves) if remark else "" for remark in remarks]
    return remarks


def remarks_written(table: Table, mapped: ColumnMap) -> list[str]:
    """The remarks of each data row, several columns joined; a header that asks something is answered by its cells."""
    columns: list[list[str]] = []
    for place in mapped.columns.get("remark", []):
        header = table.headers[place]
        columns.append(each_once(table.column(place), lambda cell, header=header: spoken(header, text_of(cell))))  # type: ignore[misc]
    if table.sheet.comments:
        columns.append(_comments(table))
    if len(columns) == 1:
        return columns[0]
    return ["; ".join(filter(None, said)) for said in zip(*columns, strict=True)] if columns else [""] * len(table.data_rows)


def _comments(table: Table) -> list[str]:
    """The comments on the cells of each data row."""
    by_row: dict[int, list[str]] = {}
    for (row, place), said in table.sheet.comments.items():
        if place in table.headers:
            by_row.setdefault(row, []).append(said)
    return ["; ".join(by_row.get(row, ())) for row in table.data_rows]


def heed_remark(
    rows: Rows, index: int, remark: str, meaning: RemarkMeaning, unit: str | None, written: Written | None, reading: Reading
) -> None:
    """A remark beside a number that counts: it may name another number, or say what nobody here understands."""
    if written is None or written.value is None or unit is None or rows.columns["endpoint"][index] != "seen" or meaning.is_taken_back:
        return
    if names_another(remark, written.value, unit):
        rows.mark(index, "remark_names_another", "remark", remark, reading=f"{written.text} {unit}")
    elif meaning == RemarkMeaning() and is_unread(remark, reading.scrub):
        rows.mark(index, "remark_unread", "remark", remark)
