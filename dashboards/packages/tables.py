"""The tables of a package: each as CSV that no spreadsheet program runs and as Parquet, and its columns described for programs."""

from __future__ import annotations

import csv
import datetime as dt
import math
import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ingest.digests import of_file

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection

_ROWS_AT_ONCE = 10_000
_MEDIA_TYPES = {
    ".csv": "text/csv",
    ".parquet": "application/vnd.apache.parquet",
    ".duckdb": "application/vnd.duckdb.file",
    ".jsonl": "application/jsonl",
}
_RUNS_AS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "'")
_PLAIN_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_TYPES = {"VARCHAR": "string", "DOUBLE": "number", "FLOAT": "number", "BOOLEAN": "boolean", "DATE": "date"}
_TYPES |= dict.fromkeys(("TINYINT", "SMALLINT", "INTEGER", "BIGINT", "HUGEINT", "UBIGINT"), "integer")


def guarded(text: str) -> str:
    """A text as it is written into CSV: with an apostrophe before what a spreadsheet program would run as a formula.

    Texts that begin with an apostrophe get one more, so that taking one away gives every text back. Plain numbers stay.
    """
    return f"'{text}" if text.startswith(_RUNS_AS_FORMULA) and not _PLAIN_NUMBER.fullmatch(text) else text


def write_csv(connection: DuckDBPyConnection, table: str, path: Path) -> int:
    """UTF-8, comma, one header line, line feeds; returns the number of rows."""
    found = connection.execute(f"FROM published.{table}")
    count = 0
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow([column[0] for column in found.description or ()])
        while rows := found.fetchmany(_ROWS_AT_ONCE):
            writer.writerows([_cell(value) for value in row] for row in rows)
            count += len(rows)
    return count


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return repr(value) if math.isfinite(value) else ""
    return value.isoformat() if isinstance(value, dt.date) else guarded(value) if isinstance(value, str) else str(value)


def schema_of(connection: DuckDBPyConnection, table: str, says: Mapping[tuple[str, str], str], key: tuple[str, ...]) -> dict[str, Any]:
    """The columns of a published table as a Frictionless Table Schema has them: type, description, key."""
    query = "SELECT column_name, data_type FROM duckdb_columns() WHERE database_name = 'published' AND table_name = ? ORDER BY column_index"
    columns = connection.execute(query, [table]).fetchall()
    fields = [{"name": name, "type": _TYPES.get(kind, "any"), "description": says.get((table, name), "")} for name, kind in columns]
    for field in fields:
        if field["type"] == "boolean":
            field |= {"trueValues": ["true"], "falseValues": ["false"]}
    is_keyed = key and set(key) <= {name for name, _ in columns}
    return {"fields": fields, "missingValues": [""], **({"primaryKey": list(key)} if is_keyed else {})}


def resource_of(folder: Path, path: Path, name: str, says: str, schema: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """One file of a package as its descriptor has it; a CSV with its columns."""
    is_csv = path.suffix == ".csv"
    described = {
        "name": name,
        "path": path.relative_to(folder).as_posix(),
        "description": says,
        "profile": "tabular-data-resource" if is_csv else "data-resource",
        "format": path.suffix[1:],
        "mediatype": _MEDIA_TYPES[path.suffix],
        "bytes": path.stat().st_size,
        "hash": f"sha256:{of_file(path)}",
    }
    return described | ({"encoding": "utf-8", "schema": schema} if is_csv else {})
