"""The checked store: one immutable Parquet file per upload and kind, every row in it, written aside and renamed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from types import NoneType
from typing import Any

from ingest.checked.file_columns import PROBLEM_COLUMNS
from ingest.doubts.problems import Problem


def checked_path(folder: Path, kind: str, upload_id: str) -> Path:
    """Where the checked rows (kind readings or weather) or the problems of an upload stand below a folder, such as the home's `checked`."""
    return folder / kind / f"{upload_id}.parquet"


def write_checked(path: Path, columns: Mapping[str, Sequence[Any]], types: Mapping[str, str], *, program: str, upload_id: str) -> None:
    """Write rows as Parquet with `program` and `upload_id` in front; the file appears whole or not at all.

    Args:
        path: the file.
        columns: values by column, of equal length.
        types: DuckDB type by column; every column of it must be in `columns`.
        program: the program's code.
        upload_id: the upload's id.
    """
    import duckdb
    import pandas as pd

    path.parent.mkdir(parents=True, exist_ok=True)
    # Everything crosses as text and is cast to its stated type: no type is inferred, not even of an empty column.
    frame = pd.DataFrame({name: pd.Series(_as_texts(columns[name]), dtype="object") for name in types})
    casts = ", ".join(f'cast("{name}" as {kind}) as "{name}"' for name, kind in types.items())
    aside = path.with_suffix(".new")
    with duckdb.connect() as connection:
        connection.execute("SET pandas_analyze_sample = 0")
        connection.register("rows", frame)
        copied = f"SELECT ? AS program, ? AS upload_id, {casts} FROM rows"  # noqa: S608  # names and types are our own
        relation = connection.sql(copied, params=[program, upload_id])
        relation.write_parquet(str(aside), compression="zstd")
    aside.replace(path)


def write_problems(folder: Path, problems: Sequence[Problem], *, program: str, upload_id: str) -> None:
    """Write the problems of an upload as Parquet."""
    columns = {name: [getattr(found, name) for found in problems] for name in PROBLEM_COLUMNS}
    write_checked(checked_path(folder, "problems", upload_id), columns, PROBLEM_COLUMNS, program=program, upload_id=upload_id)


def _as_texts(values: Sequence[Any]) -> Sequence[str | None]:
    """The values as texts; most columns are: of a long file it would take seconds to make them again."""
    return values if set(map(type, values)) <= {str, NoneType} else list(map(_as_text, values))


def _as_text(value: Any) -> str | None:
    return None if value is None else repr(value) if isinstance(value, float) else str(value)
