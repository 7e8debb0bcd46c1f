"""Builds the models of a home into a file aside and runs dbt's unit tests; prints the failures as JSON. Run as a process."""

from __future__ import annotations

import json
import os
import shutil
import sys
import tempfile
from pathlib import Path


def main(root: Path) -> None:
    """Build, test the units, and print what failed and which columns and types the models have."""
    answer = os.fdopen(os.dup(1), "w")
    os.dup2(2, 1)
    from ingest.home import Home
    from warehouse.modelling import DATABASE, Models
    from warehouse.snapshot import take_snapshot
    from warehouse.worker import WORKPLACE

    with tempfile.TemporaryDirectory() as folder:
        inputs, database = Path(folder, "inputs"), Path(folder, DATABASE)
        shutil.copytree(Home(root).modelled / WORKPLACE / "target", Path(folder, "target"))  # the models as its build has parsed them
        models = Models(Path(folder))
        take_snapshot(Home(root), inputs)
        failures = models.build(inputs, database)
        failures += models.test_units(inputs, database)
        found = {"failures": [[found.name, found.words] for found in failures], "types": models.column_types(), "real": columns(database)}
    answer.write(json.dumps({**found, "descriptions": models.descriptions()}))
    answer.close()


def columns(database: Path) -> dict[str, dict[str, str]]:
    """Table, then column in order, to its type in the database."""
    import duckdb

    with duckdb.connect(database, read_only=True) as connection:
        rows = connection.execute(
            "SELECT table_name, column_name, lower(data_type) FROM duckdb_columns() ORDER BY 1, column_index"
        ).fetchall()
    found: dict[str, dict[str, str]] = {}
    for table, column, kind in rows:
        found.setdefault(table, {})[column] = kind
    return found


if __name__ == "__main__":
    main(Path(sys.argv[1]))
