"""Rows to Parquet with a stated schema."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any


def write_parquet(path: Path, schema: Mapping[str, str], rows: Iterable[Mapping[str, Any]]) -> None:
    """Write rows as Parquet with exactly the columns of the schema, making the folder; what a row does not name becomes null."""
    import duckdb

    path.parent.mkdir(parents=True, exist_ok=True)
    columns = ", ".join(f'"{name}" {kind}' for name, kind in schema.items())
    values = [[row.get(name) for name in schema] for row in rows]
    with duckdb.connect() as connection:
        connection.execute(f"CREATE TABLE crossing ({columns})")
        if values:
            places = ", ".join([f"({', '.join('?' * len(schema))})"] * len(values))
            flat = [value for row in values for value in row]
            connection.execute(f"INSERT INTO crossing VALUES {places}", flat)
        connection.execute("COPY crossing TO $path (FORMAT parquet)", {"path": str(path)})
