"""The columns and types of the tables that a build reads, so that no type is ever inferred from data."""

from __future__ import annotations

from collections.abc import Mapping

Schema = Mapping[str, str]

READINGS: Schema = {
    "program": "VARCHAR",
    "upload_id": "VARCHAR",
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

WEATHER: Schema = {
    "program": "VARCHAR",
    "upload_id": "VARCHAR",
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

PROBLEMS: Schema = {
    "program": "VARCHAR",
    "upload_id": "VARCHAR",
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
    "date_first": "DATE",
    "date_last": "DATE",
    "rows_in_file": "BIGINT",
    "rows_accepted": "BIGINT",
    "rows_flagged": "BIGINT",
    "rows_set_aside": "BIGINT",
    "sequence": "BIGINT",
}

SETTINGS: Schema = {"program": "VARCHAR", "effective_rain_mm": "DOUBLE", "antecedent_k": "DOUBLE"}

CHECKED: Mapping[str, Schema] = {"readings": READINGS, "weather": WEATHER, "problems": PROBLEMS}
_OF_CONTRACT = {"text": "VARCHAR", "number": "DOUBLE", "date": "DATE", "time": "VARCHAR", "boolean": "BOOLEAN"}


def register_schema(name: str) -> Schema:
    """The columns of a register as the contract has them, lists as text joined by '; '."""
    from ingest.contract import contract

    return {column.name: _OF_CONTRACT[column.type] for column in contract()[name].columns.values()}
