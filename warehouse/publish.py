"""One read-only file per role, built aside, verified, and pointed to by one atomic rename.

A reader opens what published/current.json names. The pointer is replaced last, by a rename, so that a reader sees the old
build or the new one; files of the build before stay until the next, for those who still read them.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ingest.errors import BuildFailed
from ingest.home import Home
from warehouse import reviewed
from warehouse.codebook import write_codebook
from warehouse.roles import ROLES, SHARES, Role

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection

POINTER = "current.json"
KEPT_BUILDS = 2
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


def publish(home: Home, modelled: Path, facts: BuildFacts, descriptions: Descriptions) -> dict[str, int]:
    """Publish a modelled database for every role; returns the rows of each table of the instructor's file.

    Raises:
        BuildFailed: a file is not what was written to it; the pointer stays as it was.
    """
    import duckdb

    home.published.mkdir(parents=True, exist_ok=True)
    counts: dict[Role, dict[str, int]] = {}
    with duckdb.connect(config={"preserve_insertion_order": True}) as connection:
        connection.execute(f"ATTACH {_quoted(modelled)} AS modelled (READ_ONLY)")
        for role in ROLES:
            target = home.published / f"{role}-{facts.build_id}.duckdb"
            target.unlink(missing_ok=True)
            connection.execute(f"ATTACH {_quoted(target)} AS published")
            connection.execute("BEGIN")
            counts[role] = _fill(connection, role, facts, descriptions)
            connection.execute("COMMIT")
            connection.execute("CHECKPOINT published")
            connection.execute("DETACH published")
    files = {role: _verified(home.published / f"{role}-{facts.build_id}.duckdb", counts[role]) for role in ROLES}
    _point(home.published, {"build_id": facts.build_id, "built_at": facts.built_at, "files": files})
    _remove_old(home.published)
    return counts["instructor"]


def _fill(connection: DuckDBPyConnection, role: Role, facts: BuildFacts, descriptions: Descriptions) -> dict[str, int]:
    for table, share in SHARES[role].items():
        columns = ", ".join(share.columns) if share.columns else "*"
        connection.execute(f"CREATE TABLE published.{table} AS SELECT {columns} FROM modelled.{table} ORDER BY {share.order}")
    if role == "reviewer":
        reviewed.site_season(connection, "published", facts.suppression_threshold)
        reviewed.cohort_quality(connection, "published", facts.suppression_threshold)
    connection.execute(
        "CREATE TABLE published.build_info (build_id VARCHAR, program VARCHAR, program_name VARCHAR, built_at VARCHAR, "
        "role VARCHAR, timezone VARCHAR, suppression_threshold BIGINT)"
    )
    row = [facts.build_id, facts.program, facts.program_name, facts.built_at, role, facts.timezone, facts.suppression_threshold]
    connection.execute("INSERT INTO published.build_info VALUES (?, ?, ?, ?, ?, ?, ?)", row)
    write_codebook(connection, descriptions)
    return table_counts(connection, "published")


def table_counts(connection: DuckDBPyConnection, catalog: str) -> dict[str, int]:
    """Rows of each table of a catalog."""
    found = connection.execute("SELECT table_name FROM duckdb_tables() WHERE database_name = ? ORDER BY 1", [catalog]).fetchall()
    if not found:
        return {}
    parts = " UNION ALL ".join(f"SELECT '{name}', COUNT(*) FROM {catalog}.{name}" for (name,) in found)
    return dict(connection.execute(parts).fetchall())


def _verified(path: Path, counts: Mapping[str, int]) -> dict[str, str | int]:
    """Reopen a finished file as a reader would, compare its rows, flush it to disk, and say what it is."""
    import duckdb

    with duckdb.connect(config={"access_mode": "AUTOMATIC"}) as connection:
        connection.execute(f"ATTACH {_quoted(path)} AS published (READ_ONLY)")
        found = table_counts(connection, "published")
    if found != dict(counts) or Path(f"{path}.wal").exists():
        raise BuildFailed(f"{path.name} does not hold what was written to it. Look at the disk; what was published before stays in use.")
    with path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
        os.fsync(file.fileno())
    path.chmod(0o440)
    return {"file": path.name, "sha256": digest, "bytes": path.stat().st_size}


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
