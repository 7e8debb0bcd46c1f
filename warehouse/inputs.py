"""The columns and types of the tables that a build reads, so that no type is ever inferred from data."""

from __future__ import annotations

from collections.abc import Mapping

from ingest.checked.file_columns import ASSESSMENT_COLUMNS, PROBLEM_COLUMNS, READING_COLUMNS, RUBRIC_COLUMNS, WEATHER_COLUMNS
from ingest.contract import contract

Schema = Mapping[str, str]

_OF_UPLOAD: Schema = {"program": "VARCHAR", "upload_id": "VARCHAR"}
READINGS: Schema = {**_OF_UPLOAD, **READING_COLUMNS}
WEATHER: Schema = {**_OF_UPLOAD, **WEATHER_COLUMNS}
ASSESSMENT: Schema = {**_OF_UPLOAD, **ASSESSMENT_COLUMNS}
RUBRIC: Schema = {**_OF_UPLOAD, **RUBRIC_COLUMNS}
PROBLEMS: Schema = {**_OF_UPLOAD, **PROBLEM_COLUMNS}

UPLOADS: Schema = {
    "program": "VARCHAR",
    "upload_id": "VARCHAR",
    "kind": "VARCHAR",
    "file_name": "VARCHAR",
    "sha256": "VARCHAR",
    "received_at": "VARCHAR",
    "status": "VARCHAR",
    "replaced_by": "VARCHAR",
    "recipe": "VARCHAR",
    "semesters": "VARCHAR",
    "sections": "VARCHAR",
    "gauges": "VARCHAR",
    "covers": "VARCHAR",
    "date_first": "DATE",
    "date_last": "DATE",
    "rows_in_file": "BIGINT",
    "rows_accepted": "BIGINT",
    "rows_flagged": "BIGINT",
    "rows_set_aside": "BIGINT",
    "sequence": "BIGINT",
}

SETTINGS: Schema = {"program": "VARCHAR", "effective_rain_mm": "DOUBLE", "antecedent_k": "DOUBLE"}

CHECKED: Mapping[str, Schema] = {
    "readings": READINGS,
    "weather": WEATHER,
    "assessment": ASSESSMENT,
    "rubric": RUBRIC,
    "problems": PROBLEMS,
}
_OF_CONTRACT = {"text": "VARCHAR", "number": "DOUBLE", "date": "DATE", "time": "VARCHAR", "boolean": "BOOLEAN"}


def register_schema(name: str) -> Schema:
    """The columns of a register as the contract has them, lists as text joined by '; '."""
    return {column.name: _OF_CONTRACT[column.type] for column in contract()[name].columns.values()}
