"""Reading what is published: the file of one role, opened so that it can be neither changed nor used to reach anything else."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

from ingest.digests import of_file
from ingest.errors import NothingPublished, PublishedDamaged, PublishedOutdated
from ingest.home import Home
from warehouse.roles import ROLES, Role

if TYPE_CHECKING:
    import pandas as pd
    from duckdb import DuckDBPyConnection

POINTER = "current.json"
MEMORY_LIMIT = "2GB"
"""What all questions to one file may take together; the file itself may be larger."""
_AGAIN = "Run 'tautleaf build' to publish anew"


@dataclass
class Published:
    """One open build of one role. Safe over threads: each query has a cursor of its own."""

    build_id: str
    role: Role
    path: Path
    _connection: DuckDBPyConnection
    _lock: Lock

    def query(self, sql: str, parameters: Sequence[Any] | Mapping[str, Any] | None = None) -> pd.DataFrame:
        """Run one query and return its rows; values go in as parameters, never as text of the query.

        Raises:
            PublishedOutdated: the file lacks a table or column that is asked for: another version of the program made it.
        """
        import duckdb

        with self.cursor() as cursor:
            try:
                return cursor.execute(sql, parameters).df()
            except (duckdb.CatalogException, duckdb.BinderException) as error:
                raise PublishedOutdated(f"Build {self.build_id} was made by another version of Tautleaf. {_AGAIN}.") from error

    def cursor(self) -> DuckDBPyConnection:
        """A cursor of its own for one query; the caller closes it."""
        with self._lock:
            return self._connection.cursor()

    def close(self) -> None:
        """Let go of the file."""
        self._connection.close()


def current_build(home: Home) -> str | None:
    """The id of the build that is current, or None where nothing is published; reads one small file.

    Raises:
        PublishedDamaged: the pointer cannot be read.
    """
    pointer = _pointer(home)
    return None if pointer is None else str(pointer["build_id"])


def built_at(home: Home) -> str | None:
    """When the current build was made, UTC as ISO text, or None where nothing is published.

    Raises:
        PublishedDamaged: the pointer cannot be read.
    """
    pointer = _pointer(home)
    return None if pointer is None else str(pointer["built_at"])


def open_published(home: Home, role: Role) -> Published:
    """Open the current build's file of one role, read-only, without access to other files, its settings locked.

    Raises:
        NothingPublished: no build was published for this role.
        PublishedDamaged: the file is missing, or not the one that was published.
    """
    import duckdb

    pointer = _pointer(home)
    if pointer is None or role not in ROLES or role not in pointer["files"]:
        raise NothingPublished(f"Nothing is published for the role {role} in {home.root}. Load a file, or run 'tautleaf build'.")
    entry = pointer["files"][role]
    path = home.published / entry["file"]
    try:
        if of_file(path) != entry["sha256"]:
            raise PublishedDamaged(f"{path} is not the file that was published. {_AGAIN}.")
        config: dict[str, str | bool | int | float | list[str]] = {
            "enable_external_access": "false",
            "lock_configuration": "true",
            "autoinstall_known_extensions": "false",
            "memory_limit": MEMORY_LIMIT,
        }
        connection = duckdb.connect(path, read_only=True, config=config)
    except (OSError, duckdb.Error) as error:
        raise PublishedDamaged(f"{path} cannot be opened: {error}. {_AGAIN}.") from error
    return Published(pointer["build_id"], role, path, connection, Lock())


def _pointer(home: Home) -> dict[str, Any] | None:
    path = home.published / POINTER
    try:
        pointer: dict[str, Any] = json.loads(path.read_text("utf-8"))
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as error:
        raise PublishedDamaged(f"{path} cannot be read: {error}. {_AGAIN}.") from error
    if not isinstance(pointer, dict) or not {"build_id", "built_at", "files"} <= pointer.keys():
        raise PublishedDamaged(f"{path} is not what was published. {_AGAIN}.")
    return pointer
