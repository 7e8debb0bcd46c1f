"""Writes what dbt must know of the contract: description blocks (models/contract.md) and sources (models/staging/_sources.yml).

Run `python -m warehouse.contract_docs` after a change of ingest/contract.toml; a test compares the committed files.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from ingest.contract import REGISTERS, contract
from warehouse.inputs import CHECKED, SETTINGS, UPLOADS, register_schema

MODELS = Path(__file__).with_name("models")
BLOCKS = MODELS / "contract.md"
SOURCES = MODELS / "staging" / "_sources.yml"
_NOTE = "Made from ingest/contract.toml by `python -m warehouse.contract_docs`; do not edit."

# Columns that checking adds to those of the contract; the same words serve every table that passes them on.
ADDED: Mapping[str, str] = {
    "program": "Code of the program.",
    "upload_id": "Identifier of the upload, one file as received.",
    "row_number": "Number of the row within its upload, from 1.",
    "source_sheet": "Sheet of the file from which the row comes.",
    "source_row": "Row in the file, counted from 1 as a spreadsheet shows it.",
    "source_cell": "Cell of the reading in the file, such as F12.",
    "status": "accepted, flagged or set_aside.",
    "flags": "Codes of what was flagged about the row, joined by semicolons; blank where nothing was.",
    "reasons": "Codes of why the row was set aside, joined by semicolons; blank where it was not.",
    "is_structural": "True for titles, repeated headers, blank and summary rows, which hold no reading.",
    "reading_as_written": "The reading as it stands in the file.",
    "unit_as_written": "Unit in which the reading was written: MPa, bar, psi, kPa, atm or kgf/cm2.",
    "quantity": "What was written: pressure or potential.",
    "balance_pressure_mpa": "Chamber pressure at the endpoint, MPa, 0 or above; the highest pressure tried where it was not reached.",
    "water_potential_mpa": "Water potential of the leaf, MPa, never above 0: minus the balance pressure; a bound if below_limit is true.",
    "below_limit": "True where the endpoint was never reached: the water potential is a bound, not a value.",
    "usable": "True where the reading counts in summaries.",
    "values_as_written": "The cells of the row as they stand in the file, without names of people, as JSON.",
    "score_as_written": "The score as it stands in the file.",
    "level_as_written": "The level as it stands in the file.",
    "mflag": "Measurement flag of the record, as in the GHCN-Daily readme.",
    "qflag": "Quality flag of the record; any letter means that its own check failed.",
    "sflag": "Source flag of the record.",
    "value_as_written": "The value as it stands in the file.",
    "sheet": "Sheet of the file.",
    "row": "Row in the file, counted from 1 as a spreadsheet shows it; null where the whole file is meant.",
    "column": "Column of the file.",
    "cell": "Cell of the file, such as F12.",
    "value": "The value found, without names of people.",
    "code": "Code of the problem.",
    "severity": "flag, set_aside or refuse.",
    "message": "What is wrong, in words.",
    "suggestion": "What to do about it.",
    "count": "How many rows are meant; the first is named.",
    "kind": "readings, weather, assessment or rubric.",
    "file_name": "Name of the file, without names of people.",
    "sha256": "SHA-256 of the file as received, hexadecimal.",
    "received_at": "When the file was received, UTC.",
    "replaced_by": "Upload that took the place of this one, if one did.",
    "recipe": "Name of the recipe by which the file was understood.",
    "semesters": "Semesters that the file covers, joined by semicolons.",
    "sections": "Sections that the file covers, as semester/section, joined by semicolons.",
    "gauges": "Gauges that the file covers, joined by semicolons.",
    "covers": "What a file of scores or levels covers, as test/phase/semester/section or outcome/semester/section, joined by semicolons.",
    "date_first": "First date in the file.",
    "date_last": "Last date in the file.",
    "rows_in_file": "Rows of the file; the sum of rows accepted, flagged and set aside.",
    "rows_accepted": "Rows accepted without a remark.",
    "rows_flagged": "Rows accepted with a flag.",
    "rows_set_aside": "Rows set aside, blank rows and titles included.",
    "sequence": "Order of the upload in the ledger.",
    "effective_rain_mm": "Rain from which a day counts as wet for days since rain, mm.",
    "antecedent_k": "Share of the antecedent precipitation index that is left after a day without rain.",
}
_SAYS = {
    "problems": "One row per problem that the receipt of an upload lists.",
    "uploads": "One row per upload, as the ledger leaves it.",
    "settings": "One row: what the program has settled, as far as the models need it.",
}


def columns() -> dict[str, dict[str, str]]:
    """Source table, then column in order, to its description."""
    schemas = {**CHECKED, "uploads": UPLOADS, "settings": SETTINGS, **{name: register_schema(name) for name in REGISTERS}}
    found: dict[str, dict[str, str]] = {}
    for table, schema in schemas.items():
        stated = contract()[table].columns if table in contract() else {}
        # The ledger's status of an upload is not that of a row.
        own = {"status": "active, replaced or withdrawn."} if table == "uploads" else {}
        found[table] = {name: own.get(name) or (stated[name].says if name in stated else ADDED[name]) for name in schema}
    return found


def blocks_text() -> str:
    """The description blocks, one per source table and column, named table_column."""
    parts = [f"<!-- {_NOTE} -->\n"]
    for table, described in columns().items():
        parts += [f"{{% docs {table}__{name} %}}\n{text}\n{{% enddocs %}}\n" for name, text in described.items()]
    return "\n".join(parts)


def sources_text() -> str:
    """The sources, with the type of every column."""
    lines = [f"# {_NOTE}", "sources:", "  - name: received", "    description: What a build reads, laid into one folder.", "    tables:"]
    for table, described in columns().items():
        says = contract()[table].says if table in contract() else _SAYS[table]
        lines += [f"      - name: {table}", f"        description: {_quoted(says)}", "        columns:"]
        for name in described:
            lines += [f"          - name: {name}", f"            description: '{{{{ doc(\"{table}__{name}\") }}}}'"]
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '\\"') + '"'


if __name__ == "__main__":
    BLOCKS.write_text(blocks_text(), "utf-8")
    SOURCES.write_text(sources_text(), "utf-8")
