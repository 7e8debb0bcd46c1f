"""One read-only file per role, built aside, verified, and pointed to by one atomic rename.

A reader opens what published/current.json names. The pointer is replaced last, by a rename, so that a reader sees the old
build or the new one; files of the build before stay until the next, for those who still read them.
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ingest.digests import of_file
from ingest.errors import BuildFailed
from ingest.home import Home
from warehouse import reviewed, reviewed_learning
from warehouse.codebook import write_codebook
from warehouse.inputs import CHECKED
from warehouse.roles import RECEIVED, ROLES, SHARES, Role

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection

POINTER = "current.json"
KEPT_BUILDS = 2
_TRIES, _MOMENT_SECONDS = 500, 0.01
Descriptions = Mapping[str, Mapping[str, str]]


@dataclass(frozen=True)
class BuildFacts:
    """What a published file says of itself; `built_at` is UTC, the time zone that of the sites."""

    build_id: str
    program: str
    program_name: str
    built_at: str
    timezone: str
    suppression_threshold: int


def publish(home: Home, modelled: Path, inputs: Path, facts: BuildFacts, descriptions: Descriptions) -> dict[str, int]:
    """Publish a modelled database for every role; returns the rows of each table of the instructor's file.

    Args:
        home: where to publish.
        modelled: the database that dbt has built and tested.
        inputs: the snapshot that it was built from; ledger, problems and registers are published as they are.
        facts: what the files say of themselves.
        descriptions: table, then column, to its description.

    Raises:
        BuildFailed: a file is not what was written to it; the pointer stays as it was.
    """
    import duckdb

    home.published.mkdir(parents=True, exist_ok=True)
    with duckdb.connect() as connection:
        # Flushed to disk once, when a file is finished and found good; the pointer comes after that.
        connection.execute("SET fsync_mode = 'NONE'")
        connection.execute(f"ATTACH {_quoted(modelled)} AS modelled (READ_ONLY)")
        with ThreadPoolExecutor(len(ROLES)) as threads:
            made = threads.map(lambda role: _make(connection.cursor(), home.published, role, inputs, facts, descriptions), ROLES)
            files = dict(zip(ROLES, made, strict=True))
    _point(
        home.published, {"build_id": facts.build_id, "built_at": facts.built_at, "files": {role: file for role, (file, _) in files.items()}}
    )
    _remove_old(home.published)
    return files["instructor"][1]


def _make(
    cursor: DuckDBPyConnection, folder: Path, role: Role, inputs: Path, facts: BuildFacts, descriptions: Descriptions
) -> tuple[dict[str, str | int], dict[str, int]]:
    """Write, close and verify the file of one role; returns its entry in the pointer and the rows of its tables."""
    path = folder / f"{role}-{facts.build_id}.duckdb"
    cursor.execute(f"ATTACH {_quoted(path)} AS {role} (BLOCK_SIZE 16384, RECOVERY_MODE NO_WAL_WRITES)")
    cursor.execute("BEGIN")
    _fill(cursor, role, inputs, facts)
    write_codebook(cursor, role, descriptions)
    cursor.execute("COMMIT")
    counts = table_counts(cursor, role)
    cursor.execute(f"CHECKPOINT {role}")
    cursor.execute(f"DETACH {role}")
    return _verified(cursor, role, path, counts), counts


def _fill(connection: DuckDBPyConnection, role: Role, inputs: Path, facts: BuildFacts) -> None:
    for table, share in SHARES[role].items():
        columns = ", ".join(share.columns) if share.columns else "*"
        origin = f"modelled.{table}"
        if table in RECEIVED:
            origin = f"read_parquet({_quoted(inputs / (f'{table}/*' if table in CHECKED else table))} || '.parquet')"
        order = f"ORDER BY {share.order}" if share.order else ""
        connection.execute(f"CREATE TABLE {role}.{table} AS SELECT {columns} FROM {origin} {order}")  # noqa: S608  # names are our own
    if role == "reviewer":
        reviewed.site_season(connection, role, facts.suppression_threshold)
        reviewed.cohort_quality(connection, role, facts.suppression_threshold)
        reviewed_learning.write(connection, role, facts.suppression_threshold)
    connection.execute(
        f"CREATE TABLE {role}.build_info (build_id VARCHAR, program VARCHAR, program_name VARCHAR, built_at VARCHAR, "
        "role VARCHAR, timezone VARCHAR, suppression_threshold BIGINT)"
    )
    row = [facts.build_id, facts.program, facts.program_name, facts.built_at, role, facts.timezone, facts.suppression_threshold]
    connection.execute(f"INSERT INTO {role}.build_info VALUES (?, ?, ?, ?, ?, ?, ?)", row)  # noqa: S608  # names are our own


def table_counts(connection: DuckDBPyConnection, catalog: str) -> dict[str, int]:
    """Rows of each table of a catalog."""
    found = connection.execute("SELECT table_name FROM duckdb_tables() WHERE database_name = ? ORDER BY 1", [catalog]).fetchall()
    if not found:
        return {}
    parts = " UNION ALL ".join(f"SELECT '{name}', COUNT(*) FROM {catalog}.{name}" for (name,) in found)  # noqa: S608  # names are our own
    return dict(connection.execute(parts).fetchall())


def _verified(connection: DuckDBPyConnection, role: Role, path: Path, counts: Mapping[str, int]) -> dict[str, str | int]:
    """Reopen a finished file as a reader would, compare its rows, flush it to disk, and say what it is."""
    _attach_again(connection, role, path)
    found = table_counts(connection, role)
    connection.execute(f"DETACH {role}")
    if found != dict(counts) or Path(f"{path}.wal").exists():
        raise BuildFailed(f"{path.name} does not hold what was written to it. Look at the disk; what was published before stays in use.")
    with path.open("rb") as file:
        os.fsync(file.fileno())
    path.chmod(0o440)
    return {"file": path.name, "sha256": of_file(path), "bytes": path.stat().st_size}


def _attach_again(connection: DuckDBPyConnection, role: Role, path: Path) -> None:
    """Attach a file that was just detached, as soon as nothing holds it: another role's look at the catalog may, for a moment."""
    import duckdb

    for _ in range(_TRIES):
        try:
            connection.execute(f"ATTACH {_quoted(path)} AS {role} (READ_ONLY)")
        except duckdb.Error as error:
            held = error
            time.sleep(_MOMENT_SECONDS)
        else:
            return
    raise BuildFailed(f"{path.name} cannot be opened again: {held}. What was published before stays in use.") from held


def _point(folder: Path, content: Mapping[str, object]) -> None:
    aside = folder / f"{POINTER}.new"
    with aside.open("w", encoding="utf-8") as file:
        json.dump(content, file, indent=1)
        file.flush()
        os.fsync(file.fileno())
    _flush_folder(folder)
    aside.replace(folder / POINTER)
    _flush_folder(folder)


def _remove_old(folder: Path) -> None:
    for role in ROLES:
        for path in sorted(folder.glob(f"{role}-*.duckdb"))[:-KEPT_BUILDS]:
            path.unlink()


def _flush_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _quoted(path: Path) -> str:
    return "'" + str(path).replace("'", "''") + "'"
