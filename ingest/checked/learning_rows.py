"""The columns of checked scores and levels: one row for each student and item or total, or for each student and outcome."""

from __future__ import annotations

from ingest.checked.rows import CLASS_COLUMNS

_OF_BOTH = {**CLASS_COLUMNS, "student": "VARCHAR", "usable": "BOOLEAN"}

ASSESSMENT_COLUMNS: dict[str, str] = {
    **_OF_BOTH,
    "instrument": "VARCHAR",
    "phase": "VARCHAR",
    "item": "VARCHAR",
    "score": "DOUBLE",
    "max_score": "DOUBLE",
    "is_absent": "BOOLEAN",
    "score_as_written": "VARCHAR",
}
"""Columns of a checked file of scores (points) and their types in DuckDB; program and upload_id are added when it is written."""

RUBRIC_COLUMNS: dict[str, str] = {
    **_OF_BOTH,
    "outcome": "VARCHAR",
    "level": "DOUBLE",
    "is_unscored": "BOOLEAN",
    "level_as_written": "VARCHAR",
}
"""Columns of a checked file of rubric levels and their types in DuckDB."""
