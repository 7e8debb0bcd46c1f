"""What a file changes against earlier uploads: each cell that differs, and each row that is new or gone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from operator import itemgetter

from ingest.checked.changed import Changes
from ingest.checked.kinds import KINDS_OF_UPLOAD
from ingest.checking import Checked
from ingest.home import Home
from ingest.received.checked_files import checked_path
from ingest.received.days_compared import DaysCompared
from ingest.received.rows_compared import WHERE, Row, RowsCompared, as_text
from ingest.received.uploads import Upload


def changes(home: Home, checked: Checked, uploads: Sequence[Upload]) -> list[Changes]:
    """What the file changes against each of the uploads, which are of its kind: one list each, in their order.

    One mapping per change: place (in words), sheet, row, cell, column, before, after. The place is that in the new file; of a row that
    is gone ("none" after it) that in the earlier one. Leaves are told apart by what names them; of rows that nothing tells apart, those
    are the same that stand in the same cell, or behind as many of those that stayed. A row whose name was corrected is known by its
    place in the file. Only rows in use count. However many the uploads are, the file is gone through once.
    """
    if not uploads:
        return []
    kind = KINDS_OF_UPLOAD[checked.receipt.kind]
    as_written = ("values_as_written",) if "values_as_written" in kind.columns else ()
    columns = ("source_row", *kind.names, kind.written) if kind.is_by_day else (*WHERE, *kind.names, *kind.values, *as_written)
    loaded = dict(_loaded(home, uploads, columns))
    earlier = [loaded.get(upload.upload_id, []) for upload in uploads]
    compared = DaysCompared(_kept(checked, columns)) if kind.is_by_day else RowsCompared(kind, checked, columns, earlier)
    return [compared.against(rows) for rows in earlier]


def _loaded(home: Home, uploads: Sequence[Upload], columns: Sequence[str]) -> Iterator[tuple[str, list[Row]]]:
    """The rows in use of each upload, in the order of its file."""
    import duckdb

    paths = [str(checked_path(home.checked, upload.kind, upload.upload_id)) for upload in uploads]
    names = ", ".join(columns)
    query = f"SELECT upload_id, {names} FROM read_parquet(?) WHERE status <> 'set_aside' ORDER BY upload_id, row_number"  # noqa: S608  # names are our own
    with duckdb.connect() as connection:
        found = connection.execute(query, [paths]).fetchall()
    for upload_id, rows in groupby(found, itemgetter(0)):
        yield upload_id, [as_text(dict(zip(columns, row[1:], strict=True))) for row in rows]


def _kept(checked: Checked, columns: Sequence[str]) -> Iterator[Row]:
    """The rows in use of the file."""
    for index, status in enumerate(checked.columns["status"]):
        if status != "set_aside":
            yield as_text({name: checked.columns[name][index] for name in columns})
