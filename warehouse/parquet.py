"""Rows to Parquet with a stated schema."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection


def write_parquet(
    path: Path, schema: Mapping[str, str], rows: Iterable[Mapping[str, Any]], connection: DuckDBPyConnection | None = None
) -> None:
    """Write rows as Parquet with exactly the columns of the schema, making the folder; what a row does not name becomes null.

    Args:
        path: the file to write.
        schema: column to DuckDB type, in order.
        rows: mappings of column to value.
        connection: an in-memory database to work in; opening one costs more than a small file.
    """
    import duckdb

    path.parent.mkdir(parents=True, exist_ok=True)
    database = connection or duckdb.connect()
    columns = ", ".join(f'"{name}" {kind}' for name, kind in schema.items())
    database.execute(f"CREATE OR REPLACE TEMP TABLE crossing ({columns})")
    lists = [list(values) for values in zip(*([row.get(name) for name in schema] for row in rows), strict=True)]
    if lists:
        values = ", ".join(f"unnest(${place}::{kind}[])" for place, kind in enumerate(schema.values(), start=1))
        database.execute(f"INSERT INTO crossing SELECT {values}", lists)
    database.execute("COPY crossing TO $path (FORMAT parquet)", {"path": str(path)})
    if connection is None:
        database.close()
