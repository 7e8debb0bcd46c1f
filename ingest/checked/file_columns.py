"""The columns of the files of checked rows and of problems, and their types in DuckDB; program and upload_id stand before them."""

from __future__ import annotations

CLASS_COLUMNS: dict[str, str] = {
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
}
"""Columns that every checked row of a class's file begins with, and their types in DuckDB: its place, what became of it, whose it is."""

READING_COLUMNS: dict[str, str] = {
    **CLASS_COLUMNS,
    "date": "DATE",
    "time_cut": "VARCHAR",
    "time_read": "VARCHAR",
    "sampling_window": "VARCHAR",
    "site": "VARCHAR",
    "taxon": "VARCHAR",
    "plant": "VARCHAR",
    "leaf": "VARCHAR",
    "observer": "VARCHAR",
    "chamber": "VARCHAR",
    "reading_as_written": "VARCHAR",
    "unit_as_written": "VARCHAR",
    "quantity": "VARCHAR",
    "balance_pressure_mpa": "DOUBLE",
    "water_potential_mpa": "DOUBLE",
    "endpoint": "VARCHAR",
    "below_limit": "BOOLEAN",
    "leaf_state": "VARCHAR",
    "remark": "VARCHAR",
    "usable": "BOOLEAN",
    "values_as_written": "VARCHAR",
}
"""Columns of a checked file of readings and their types in DuckDB."""

WEATHER_COLUMNS: dict[str, str] = {
    "row_number": "BIGINT",
    "source_sheet": "VARCHAR",
    "source_row": "BIGINT",
    "status": "VARCHAR",
    "flags": "VARCHAR",
    "reasons": "VARCHAR",
    "is_structural": "BOOLEAN",
    "gauge": "VARCHAR",
    "date": "DATE",
    "element": "VARCHAR",
    "amount_mm": "DOUBLE",
    "temperature_c": "DOUBLE",
    "days": "BIGINT",
    "is_trace": "BOOLEAN",
    "mflag": "VARCHAR",
    "qflag": "VARCHAR",
    "sflag": "VARCHAR",
    "obs_time": "VARCHAR",
    "value_as_written": "VARCHAR",
}
"""Columns of a checked weather record and their types in DuckDB."""

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
"""Columns of a checked file of scores (points) and their types in DuckDB: one row for each student and item or total."""

RUBRIC_COLUMNS: dict[str, str] = {
    **_OF_BOTH,
    "outcome": "VARCHAR",
    "level": "DOUBLE",
    "is_unscored": "BOOLEAN",
    "level_as_written": "VARCHAR",
}
"""Columns of a checked file of rubric levels and their types in DuckDB: one row for each student and outcome."""

PROBLEM_COLUMNS: dict[str, str] = {
    "sheet": "VARCHAR",
    "row": "BIGINT",
    "column": "VARCHAR",
    "cell": "VARCHAR",
    "value": "VARCHAR",
    "code": "VARCHAR",
    "severity": "VARCHAR",
    "message": "VARCHAR",
    "suggestion": "VARCHAR",
    "count": "BIGINT",
}
"""Columns of the problems of an upload and their types in DuckDB: one row for each problem."""
