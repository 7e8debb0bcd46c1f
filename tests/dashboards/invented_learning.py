"""Invented outcomes, gains and items of a few cohorts, and a published file held in memory that holds them beside other tables."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict
from typing import Any

import duckdb
import pandas as pd

from warehouse.reviewed_learning import reviewed_gain, reviewed_item, reviewed_outcome
from warehouse.statistics.attainment import attainment

SCRIPT = "<script>window.stung = 1</script>"
COHORTS = ("2023-fall", "2024-spring", "2024-fall")
SMALL = "2024-spring"
"""A cohort of 7 students: the reviewer sees none of its numbers."""
WITHOUT = "2023-fall"
"""A cohort that wrote no instrument; its rubric alone speaks."""
THRESHOLD = 10


class InMemory:
    """A published file of these tables, as the store asks it."""

    build_id = "b1"

    def __init__(self, tables: dict[str, pd.DataFrame]) -> None:
        self._connection = duckdb.connect()
        for name, frame in tables.items():
            self._connection.register("frame", frame)
            self._connection.execute(f"create table {name} as select * from frame")  # noqa: S608  (names of the tests)
            self._connection.unregister("frame")

    def query(self, sql: str, params: Sequence[object] = ()) -> pd.DataFrame:
        """Rows of a query."""
        return self._connection.execute(sql, list(params)).df()

    def cursor(self) -> duckdb.DuckDBPyConnection:
        """A cursor."""
        return self._connection.cursor()


def learning(role: str, threshold: int = THRESHOLD) -> dict[str, pd.DataFrame]:
    """The three tables as the role's file holds them: the reviewer's through the warehouse's own hiding of small numbers."""
    rows = {"learning_gains": _gains(), "learning_outcomes": _outcomes(), "learning_items": _items()}
    if role == "reviewer":
        reviewed: dict[str, Callable[..., Any]] = {
            "learning_gains": reviewed_gain,
            "learning_outcomes": reviewed_outcome,
            "learning_items": reviewed_item,
        }
        rows = {table: [asdict(reviewed[table](row, threshold)) for row in each] for table, each in rows.items()}
    return {table: pd.DataFrame(each).convert_dtypes() for table, each in rows.items()}


def _when(semester: str) -> dict[str, Any]:
    return {"program": "invented", "semester": semester, "year": int(semester[:4]), "season": semester[5:]}


def _gains() -> list[dict[str, Any]]:
    return [_gain(SMALL, "survey", 7, 0.437), _gain("2024-fall", "survey", 31, 0.524)]


def _gain(semester: str, instrument: str, n: int, gain: float) -> dict[str, Any]:
    low, high, band = (None, None, None) if n < 10 else (gain - 0.1, gain + 0.1, "medium")
    row = _when(semester) | {"instrument": instrument, "n_matched": n, "n_pre_only": 2, "n_post_only": 1, "n_absent": 3}
    row |= {"pre_mean_percent": 40.0, "post_mean_percent": 40 + 60 * gain, "class_gain": gain, "class_gain_ci_low": low}
    row |= {"class_gain_ci_high": high, "class_gain_band": band, "gain_mean_of_students": gain - 0.05, "n_gain_undefined": 1}
    row |= {"gain_median_of_students": gain - 0.02, "difference_percent": 60 * gain, "difference_ci_low_percent": low and 60 * low}
    row |= {
        "difference_ci_high_percent": high and 60 * high,
        "d_av": low and 1.234,
        "d_av_ci_low": low and 0.8,
        "d_av_ci_high": low and 1.7,
    }
    row |= {"reason_code": "few_matched" if n < 10 else None, "reason": "Fewer than ten matched students." if n < 10 else None}
    return row | {"sentence": f"In {semester}, {n} students gained {gain:.3f} on the {instrument}."}


def _outcomes() -> list[dict[str, Any]]:
    read: dict[str, Any] = {"outcome": "wp_reading", "statement": f"Reads a pressure chamber {SCRIPT}", "target_share": 0.7}
    argue: dict[str, Any] = {"outcome": "wp_contrast", "statement": "Argues a fair contrast.", "target_share": 0.6}
    rows = []
    for semester, evidence, n, n_attained in (
        (WITHOUT, "rubric", 40, 36),  # 4 did not attain it: a bound
        (SMALL, "assessment", 7, 4),
        ("2024-fall", "assessment", 31, 19),
    ):
        rows.append(_when(semester) | read | _attained(evidence, n, n_attained, read["target_share"], semester))
        argued = _attained("rubric", 40, 20, argue["target_share"], semester) if semester == WITHOUT else _unseen(argue, semester)
        rows.append(_when(semester) | argue | argued)
    return rows


def _attained(evidence: str, n: int, n_attained: int, target: Any, semester: str) -> dict[str, Any]:
    told = attainment(n, 2, n_attained, target, evidence, f"Reads a pressure chamber {SCRIPT}", semester)
    return {"evidence": evidence, "n_scored": n, "n_unscored": 2, "n_attained": n_attained} | asdict(told)


def _unseen(outcome: dict[str, Any], semester: str) -> dict[str, Any]:
    told = attainment(0, 0, 0, outcome["target_share"], "none", outcome["statement"], semester)
    return {"evidence": "none", "n_scored": 0, "n_unscored": 0, "n_attained": 0} | asdict(told)


def _items() -> list[dict[str, Any]]:
    return [
        _when(semester)
        | {"instrument": "survey", "phase": "post", "item": item, "n_scored": n, "n_absent": 0, "difficulty": 0.5714}
        | {"discrimination": 0.318, "alpha": 0.713, "n_complete": n, "reason_code": None, "reason": None, "sentence": "An item."}
        for semester, n in ((SMALL, 7), ("2024-fall", 31))
        for item in ("1", f"2 {SCRIPT}")
    ]
