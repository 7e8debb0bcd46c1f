"""The codebook table: every column of a published file with its description, which is written once, in the models' yml."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection

# Columns and tables that the publishing makes itself.
_MADE_HERE: Mapping[str, Mapping[str, str]] = {
    "build_info": {
        "": "One row: which build this file comes from and for whom it was made.",
        "build_id": "Identifier of the build.",
        "program": "Code of the program.",
        "program_name": "Name of the program.",
        "built_at": "When the build was made, UTC.",
        "role": "Role for which the file was made: instructor, student or reviewer.",
        "timezone": "Time zone of the sites (IANA name); clock times are local to it.",
        "suppression_threshold": "Counts above 0 and under this number are hidden from reviewers.",
    },
    "codebook": {
        "": "One row per table and per column of this file; a table's own description has no column name.",
        "table_name": "Name of the table.",
        "column_name": "Name of the column; blank where the table itself is described.",
        "description": "What it holds, with its unit.",
    },
    "site_season": {"is_suppressed": "True where the row is hidden because too few readings stand behind it or behind a related row."},
    "cohort_quality": {"is_suppressed": "True where counts of the row are hidden because they, or the observers behind them, are too few."},
    "learning_gains": {
        "is_suppressed": "True where the gain is hidden, because few students stand behind it or nearly all points, or none, were scored.",
        "n_matched_at_least": "Students with a whole score both before and after: this many or more (a multiple of the threshold).",
    },
    "learning_outcomes": {
        "is_suppressed": "True where the number who attained the outcome is hidden: they, or those who did not, are too few.",
        "share_at_least": "Where it is hidden and few did not attain it: that share of the scored students or more did, 0 to 1.",
        "share_at_most": "Where it is hidden and few attained it: that share of the scored students or less did, 0 to 1.",
    },
    "learning_items": {
        "is_suppressed": "True where the difficulty is hidden: the points that were reached, or missed, are those of too few students.",
        "difficulty_at_least": "Where it is hidden and few points were missed: that share of the points or more was reached, 0 to 1.",
        "difficulty_at_most": "Where it is hidden and few points were reached: that share of the points or less was reached, 0 to 1.",
    },
}


def write_codebook(connection: DuckDBPyConnection, catalog: str, descriptions: Mapping[str, Mapping[str, str]]) -> None:
    """Create `codebook` in an attached catalog, of its tables as they are and of itself."""
    connection.execute(f"CREATE TABLE {catalog}.codebook (table_name VARCHAR, column_name VARCHAR, description VARCHAR)")
    columns = connection.execute(
        "SELECT table_name, column_name FROM duckdb_columns() WHERE database_name = ? ORDER BY table_name, column_index", [catalog]
    ).fetchall()
    rows = []
    for table, column in [*((table, "") for table in dict.fromkeys(table for table, _ in columns)), *columns]:
        text = descriptions.get(table, {}).get(column) or _MADE_HERE.get(table, {}).get(column, "")
        rows.append([table, column, text])
    rows.sort(key=lambda row: row[0])
    connection.execute(
        f"INSERT INTO {catalog}.codebook SELECT unnest($1::VARCHAR[]), unnest($2::VARCHAR[]), unnest($3::VARCHAR[])",
        [[row[place] for row in rows] for place in range(3)],
    )
