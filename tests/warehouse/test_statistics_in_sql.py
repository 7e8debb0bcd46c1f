"""Statistics as SQL functions: types from annotations, no inf, a reason where the arithmetic breaks, each group computed once."""

from __future__ import annotations

import json
from dataclasses import dataclass
from math import inf, nan
from pathlib import Path
from typing import Any

import duckdb
import numpy as np
import pytest

from warehouse import remembered as memory
from warehouse import statistics_in_sql
from warehouse.remembered import Remembered
from warehouse.statistics.catalog import STATISTICS
from warehouse.statistics_in_sql import guarded, register_statistics, sql_types


@dataclass(frozen=True)
class Spread:
    """An invented result."""

    range_mpa: float | None
    n: int
    is_wide: bool | None = None
    reason_code: str | None = None
    reason: str | None = None


def spread(values: list[float | None], label: str | None) -> Spread:
    known = [value for value in values if value is not None]
    return Spread(max(known) - min(known), len(known), is_wide=label == "wide")


def doubled(values: list[float]) -> list[float]:
    return [2 * value for value in values]


def quotient(top: float, bottom: float) -> float | None:
    return top / bottom


def lopsided(value: float) -> Spread:
    return Spread(float(np.float64(value) * 1e308), 1)


@pytest.fixture
def toys(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(statistics_in_sql, "STATISTICS", (spread, doubled, quotient, lopsided))


def opened(kept: Remembered) -> duckdb.DuckDBPyConnection:
    connection = duckdb.connect()
    register_statistics(connection, kept)
    return connection


def test_types_come_from_the_annotations() -> None:
    struct = "STRUCT(range_mpa DOUBLE, n BIGINT, is_wide BOOLEAN, reason_code VARCHAR, reason VARCHAR)"
    assert sql_types(spread) == ["DOUBLE[]", "VARCHAR", struct]
    assert sql_types(doubled) == ["DOUBLE[]", "DOUBLE[]"]


@pytest.mark.usefixtures("toys")
def test_a_group_becomes_a_row_of_columns(tmp_path: Path) -> None:
    connection = opened(Remembered(tmp_path / "kept.json"))
    connection.execute("CREATE TABLE t AS SELECT * FROM (VALUES ('a', 1.0), ('a', 3.5), ('a', NULL), ('b', 2.0)) AS v(g, x)")
    found = connection.execute(
        "SELECT g, s.range_mpa, s.n, s.is_wide FROM (SELECT g, spread(list(x), 'wide') AS s FROM t GROUP BY g) ORDER BY g"
    )
    assert found.fetchall() == [("a", 2.5, 2, True), ("b", 0.0, 1, True)]
    assert connection.execute("SELECT doubled([1.0, 2.5])").fetchall() == [([2.0, 5.0],)]


@pytest.mark.usefixtures("toys")
@pytest.mark.parametrize(
    ("query", "wanted"),
    [
        ("SELECT quotient(1.0, 0.0)", None),
        ("SELECT quotient(1.0, 4.0)", 0.25),
        ("SELECT spread([NULL]::DOUBLE[], NULL).reason_code", "not_computable"),
        ("SELECT spread([NULL]::DOUBLE[], NULL).range_mpa", None),
        ("SELECT lopsided(1e10).range_mpa", None),
        ("SELECT lopsided(1e10).reason_code", "not_finite"),
        ("SELECT len(doubled(['inf'::DOUBLE, 'nan'::DOUBLE, 1.0]))", 3),
    ],
)
def test_what_breaks_the_arithmetic_is_null_with_a_reason(query: str, wanted: Any, tmp_path: Path) -> None:
    row = opened(Remembered(tmp_path / "kept.json")).execute(query).fetchone()
    assert row == (wanted,)


def test_no_inf_or_nan_leaves_a_list() -> None:
    assert guarded(doubled, [inf, nan, 1.0]) == [None, None, 2.0]


def test_a_fault_of_the_code_is_not_taken_for_bad_numbers() -> None:
    with pytest.raises(TypeError):
        guarded(spread, 3, "wide")


@pytest.mark.usefixtures("toys")
def test_only_a_group_whose_values_changed_is_computed_again(tmp_path: Path) -> None:
    def build(last_of_b: float) -> tuple[int, int]:
        kept = Remembered(tmp_path / "kept.json")
        rows = f"(VALUES ('a', 1.0), ('a', 3.5), ('b', {last_of_b}), ('c', 2.0)) AS v(g, x)"
        opened(kept).execute(f"SELECT g, spread(list(x), 'wide') FROM {rows} GROUP BY g").fetchall()  # noqa: S608  # a number of the test
        kept.save()
        return kept.computed, kept.reused

    assert [build(7.0), build(7.0), build(8.0)] == [(3, 0), (0, 3), (1, 2)]
    assert len(json.loads((tmp_path / "kept.json").read_text("utf-8"))["results"]) == 3


@pytest.mark.parametrize("content", ["", "{", "[]", '{"code": "of another version", "results": {}}'])
def test_what_cannot_be_remembered_is_computed(content: str, tmp_path: Path) -> None:
    path = tmp_path / "kept.json"
    path.write_text(content, "utf-8")
    kept = Remembered(path)
    assert kept.recall("quotient", (1.0, 4.0), lambda top, bottom: top / bottom) == 0.25
    assert (kept.computed, kept.reused) == (1, 0)


def test_other_code_forgets_everything(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = Remembered(tmp_path / "kept.json")
    first.recall("quotient", (1.0, 4.0), lambda top, bottom: top / bottom)
    first.save()
    monkeypatch.setattr(memory, "_fingerprint", lambda: "of changed code")
    second = Remembered(tmp_path / "kept.json")
    second.recall("quotient", (1.0, 4.0), lambda top, bottom: top / bottom)
    assert (second.computed, second.reused) == (1, 0)


def test_every_statistic_has_column_types_a_docstring_and_a_name_of_its_own() -> None:
    assert len({statistic.__name__ for statistic in STATISTICS}) == len(STATISTICS)
    for statistic in STATISTICS:
        assert sql_types(statistic)
        assert (statistic.__doc__ or "").strip(), statistic.__name__
