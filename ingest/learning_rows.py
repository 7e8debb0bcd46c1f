"""The columns of checked scores and levels: one row for each student and item or total, or for each student and outcome."""

from __future__ import annotations

_OF_BOTH: dict[str, str] = {
    "row_number": "BIGINT",
    "source_sheet": "VARCHAR",
    "source_row": "BIGINT",
    "source_cell": "VARCHAR",
    "status": "VARCHAR",
    "flags": "VARCHAR",
    "reasons": "VARCHAR",
    "is_structural": "BOOLEAN",
    "semester": "VARCHAR",
    "section": "VARCHAR",
    "student": "VARCHAR",
    "usable": "BOOLEAN",
}

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
