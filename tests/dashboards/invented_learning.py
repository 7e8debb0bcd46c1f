"""Invented outcomes, gains and items of a few cohorts, and a published file held in memory that holds them beside other tables."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import duckdb
import pandas as pd

SCRIPT = "<script>window.stung = 1</script>"
COHORTS = ("2023-fall", "2024-spring", "2024-fall")
SMALL = "2024-spring"
"""A cohort of 7 students: the reviewer sees none of its numbers."""
WITHOUT = "2023-fall"
"""A cohort that wrote no instrument; its rubric alone speaks."""
_HIDDEN = "too few students: hidden"


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


def learning(role: str) -> dict[str, pd.DataFrame]:
    """The three tables as the role's file holds them; the reviewer's small cohort is hidden in the data."""
    tables = {"learning_gains": pd.DataFrame(_gains()), "learning_outcomes": pd.DataFrame(_outcomes())}
    tables["learning_items"] = pd.DataFrame([_item(semester, item) for semester in COHORTS[1:] for item in ("1", f"2 {SCRIPT}")])
    return tables if role == "instructor" else {name: _hide(frame) for name, frame in tables.items()}


def _hide(frame: pd.DataFrame) -> pd.DataFrame:
    shown = frame.assign(is_suppressed=(frame["semester"] == SMALL) & (frame.get("evidence", "assessment") != "none"))
    keys = ["program", "semester", "instrument", "phase", "item", "outcome", "evidence", "statement", "is_suppressed"]
    for name in shown.columns.difference(keys):
        told = _HIDDEN if name in ("reason", "sentence") else None
        shown[name] = shown[name].astype(object).where(~shown["is_suppressed"], told)
    return shown.convert_dtypes()


def _gains() -> list[dict[str, Any]]:
    rows = []
    for semester, n, gain in ((SMALL, 7, 0.437), ("2024-fall", 31, 0.524)):
        low, high, band = (None, None, None) if n < 10 else (gain - 0.1, gain + 0.1, "medium")
        rows.append(
            {"program": "invented", "semester": semester, "instrument": "survey", "n_matched": n, "n_pre_only": 2, "n_post_only": 1}
            | {"n_absent": 3, "pre_mean_percent": 40.0, "post_mean_percent": 40 + 60 * gain, "class_gain": gain}
            | {"class_gain_ci_low": low, "class_gain_ci_high": high, "class_gain_band": band}
            | {
                "difference_percent": 60 * gain,
                "difference_ci_low_percent": low and 60 * low,
                "difference_ci_high_percent": high and 60 * high,
            }
            | {"d_av": low and 1.234, "d_av_ci_low": low and 0.8, "d_av_ci_high": low and 1.7, "n_gain_undefined": 1}
            | {"gain_mean_of_students": gain - 0.05, "gain_median_of_students": gain - 0.02}
            | {"reason": "fewer than ten matched students" if n < 10 else None}
            | {"sentence": f"{n} students wrote the survey twice in {semester}: a gain of {gain:.2f}."}
        )
    return rows


def _outcomes() -> list[dict[str, Any]]:
    read = {"outcome": "wp_reading", "statement": f"Reads a pressure chamber {SCRIPT}", "target_share": 0.7}
    argue = {"outcome": "wp_contrast", "statement": "Argues a fair contrast.", "target_share": 0.6}
    rows = []
    for semester in COHORTS:
        scored, attained = (7, 4) if semester == SMALL else (31, 24)
        evidence = "rubric" if semester == WITHOUT else "assessment"
        share = attained / scored
        rows.append(
            {"program": "invented", "semester": semester, **read, "evidence": evidence, "n_scored": scored, "n_unscored": 2}
            | {"n_attained": attained, "share_attained": share, "share_ci_low": share - 0.15, "share_ci_high": share + 0.12}
            | {"is_target_met": share >= 0.7, "reason": None}
            | {"sentence": f"{attained} of {scored} students read the chamber in {semester}: {100 * share:.0f} %."}
        )
        nothing = dict.fromkeys(("n_attained", "share_attained", "share_ci_low", "share_ci_high", "is_target_met"))
        rows.append(
            {"program": "invented", "semester": semester, **argue, "evidence": "none", "n_scored": 0, "n_unscored": 0, **nothing}
            | {"reason": "no evidence", "sentence": f"No evidence of a fair contrast in {semester}."}
        )
    return rows


def _item(semester: str, item: str) -> dict[str, Any]:
    row = {"program": "invented", "semester": semester, "instrument": "survey", "phase": "post", "item": item, "n_scored": 7}
    row |= {"n_absent": 0, "difficulty": 0.6429, "discrimination": 0.318, "alpha": 0.713, "n_complete": 7, "reason": None}
    return row | {"n_scored": 7 if semester == SMALL else 31, "sentence": "An item."}
