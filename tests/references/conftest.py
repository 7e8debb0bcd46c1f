"""What the outside checks share: calling a statistic as the models do."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import duckdb
import pytest

from warehouse.remembered import Remembered
from warehouse.statistics.catalog import STATISTICS
from warehouse.statistics_in_sql import register_statistics, sql_types


@pytest.fixture
def ask(tmp_path: Path) -> Callable[..., dict[str, Any]]:
    """Call a statistic by its name in SQL; its row as a dict."""
    connection = duckdb.connect()
    register_statistics(connection, Remembered(tmp_path / "kept.json"))
    types = {statistic.__name__: sql_types(statistic)[:-1] for statistic in STATISTICS}

    def call(name: str, *arguments: Any) -> dict[str, Any]:
        places = ", ".join(f"?::{kind}" for kind in types[name])
        row = connection.execute(f"SELECT {name}({places})", list(arguments)).fetchone()
        assert row is not None
        found: dict[str, Any] = row[0]
        return found

    return call
