"""The dbt project, run inside a process of its own. The only module that knows dbt.

dbt keeps file locks and global state while its process lives, so this module is imported by `warehouse.worker` alone, and
one process makes one build. dbt-duckdb loads it as a plugin too (profiles.yml), to register the statistical functions.
"""

from __future__ import annotations

import gc
import os
import tempfile
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

os.environ.update(DBT_SEND_ANONYMOUS_USAGE_STATS="false", DO_NOT_TRACK="1")  # before dbt is imported

from dbt.adapters.duckdb.connections import DuckDBConnectionManager
from dbt.adapters.duckdb.plugins import BasePlugin
from dbt.cli.main import dbtRunner

from warehouse.functions import register
from warehouse.inputs import READINGS
from warehouse.parquet import write_parquet
from warehouse.remembered import Remembered
from warehouse.statistics_in_sql import register_statistics

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection

PROJECT = Path(__file__).parent
# dbt takes the catalog's name from the file's and fixes it while parsing: every build's file has this name at first.
DATABASE = "tautleaf.duckdb"
STATISTICS = "statistics.json"


class Plugin(BasePlugin):  # type: ignore[misc]  # dbt has no types
    """What dbt-duckdb looks for in a plugin module, and makes itself: what it needs stands in the class."""

    remembered: ClassVar[Remembered]

    def configure_connection(self, conn: DuckDBPyConnection) -> None:
        """Register the statistical functions on the database that dbt has opened."""
        register(conn)
        register_statistics(conn, self.remembered)


@dataclass(frozen=True)
class Failure:
    """One model or test that did not pass: its name and what it says."""

    name: str
    words: str


class Models:
    """The parsed project. `workplace` keeps dbt's target and log folders, its parse cache, and the statistics of the last build."""

    def __init__(self, workplace: Path) -> None:
        self.workplace = workplace
        self.statistics = Remembered(workplace / STATISTICS)
        # Nothing is opened while parsing. The same names for every home keep the parse cache good when a home is moved or copied.
        os.environ.update(TAUTLEAF_INPUTS="inputs", TAUTLEAF_DATABASE=DATABASE)
        parsed = dbtRunner().invoke(self._arguments("parse"))
        if not parsed.success:
            raise RuntimeError(f"the dbt project cannot be parsed: {parsed.exception}")
        self._manifest: Any = parsed.result
        # The project is some 100 000 objects that live as long as the process: keep the collector away from them.
        gc.collect()
        gc.freeze()

    def rehearse(self) -> None:
        """Build one small model aside, so that what is loaded on first use is loaded before the go; load what statistics wait for."""
        for name in ("scipy.optimize", "scipy.stats"):
            import_module(name)
        with tempfile.TemporaryDirectory(dir=self.workplace) as folder:
            inputs = Path(folder, "inputs")
            write_parquet(inputs / "readings" / "none.parquet", READINGS, [])
            self._invoke(
                "build", Remembered(Path(folder, STATISTICS)), inputs, Path(folder, DATABASE), "--select", "stg_readings", "set_aside"
            )

    def build(self, inputs: Path, database: Path, *selection: str) -> list[Failure]:
        """Build every model and run every test of it into a file that does not exist yet.

        Args:
            inputs: folder with the snapshot, see `warehouse.snapshot`.
            database: path of the new file, named `DATABASE`.
            selection: further arguments that choose nodes, for tests.
        """
        self.statistics = Remembered(self.workplace / STATISTICS)
        return self._invoke("build", self.statistics, inputs, database, "--exclude-resource-type", "unit_test", *selection)

    def test_units(self, inputs: Path, database: Path) -> list[Failure]:
        """Run dbt's unit tests, whose rows stand in the yml files; the models must have been built before."""
        return self._invoke("test", self.statistics, inputs, database, "--select", "test_type:unit")

    def descriptions(self) -> dict[str, dict[str, str]]:
        """Model or source, then column (and '' for the table itself), to its description."""
        models = [node for node in self._manifest.nodes.values() if node.resource_type == "model"]
        found = {}
        for node in [*self._manifest.sources.values(), *models]:
            columns = {name: " ".join(column.description.split()) for name, column in node.columns.items()}
            found[node.name] = {"": " ".join(node.description.split()), **columns}
        return found

    def column_types(self) -> dict[str, dict[str, str]]:
        """Model, then column in order, to the type that its yml declares."""
        models = [node for node in self._manifest.nodes.values() if node.resource_type == "model"]
        return {node.name: {name: column.data_type for name, column in node.columns.items()} for node in models}

    def _invoke(self, command: str, statistics: Remembered, inputs: Path, database: Path, *arguments: str) -> list[Failure]:
        Plugin.remembered = statistics
        self._at(inputs, database)
        for node in self._manifest.nodes.values():  # dbt marks what it has compiled, and would not compile it for another file
            node.compiled, node.extra_ctes_injected, node.extra_ctes = False, False, []
        gc.disable()
        try:
            ran = dbtRunner(manifest=self._manifest).invoke(self._arguments(command, *arguments, "--threads", "2"))
        finally:
            gc.enable()
        # dbt would keep the file open, and its last pages in the write-ahead log, until the process ends.
        DuckDBConnectionManager.env().close()
        DuckDBConnectionManager.close_all_connections()
        if ran.exception is not None:
            return [Failure("dbt", str(ran.exception))]
        results = [result for result in ran.result.results if result.status not in ("success", "pass", "skipped")]
        return [Failure(result.node.name, _words(result, database)) for result in results]

    def _at(self, inputs: Path, database: Path) -> None:
        database.parent.mkdir(parents=True, exist_ok=True)
        os.environ.update(TAUTLEAF_INPUTS=str(inputs), TAUTLEAF_DATABASE=str(database))

    def _arguments(self, command: str, *more: str) -> list[str]:
        quiet = ["--log-level", "none", "--log-level-file", "none", "--no-write-json", "--no-populate-cache"]
        places = {"project": PROJECT, "profiles": PROJECT}
        folders = [text for name, path in places.items() for text in (f"--{name}-dir", str(path))]
        target = ["--target-path", str(self.workplace / "target"), "--log-path", str(self.workplace / "logs")]
        return [*quiet, command, *folders, *target, *more]


def _words(result: Any, database: Path) -> str:
    """What a failed test found, in the words of its rows; for a model or a broken test what the engine says."""
    if result.status != "fail" or result.node.resource_type != "test":
        return str(result.message)
    import duckdb

    with duckdb.connect(database, read_only=True) as connection:
        found = connection.execute(result.node.compiled_code).fetchmany(5)
    return "; ".join(str(row[0]) for row in found)
