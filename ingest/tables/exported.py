"""Files that were exported here: told by their columns, and read back with every reading in its place."""

from __future__ import annotations

from collections.abc import Sequence

from ingest.doubts.recipes import Recipe
from ingest.tables.tables import SheetLayout

SIGNS = frozenset(("observation_id", "source_cell", "reading_as_written", "unit_as_written", "balance_pressure_mpa", "usable"))
READ = (
    *("semester", "section", "date", "time_cut", "time_read", "sampling_window", "site", "taxon", "plant", "leaf", "observer"),
    *("chamber", "endpoint", "leaf_state", "remark", "usable"),
)

EXPORTED_HERE = "a table of observations that was exported here: its balance pressures are read, in MPa, and its derived columns are not"


def recipe_of_export(layouts: Sequence[SheetLayout], shape: str) -> Recipe | None:
    """The recipe for a table of observations as the export writes it, or None where the file is no such table.

    The reading is the balance pressure in MPa; how it was once written, the rain before it and the rest are left aside, so that
    no word of their headers is taken for another column.
    """
    tables = [table for layout in layouts for table in layout.tables]
    headers = set(tables[0].headers.values()) if len(tables) == 1 else set()
    if not headers >= SIGNS:
        return None
    columns = {name: name for name in READ if name in headers} | {"reading": "balance_pressure_mpa"}
    kept = set(columns.values())
    tables[0].headers = {place: text for place, text in tables[0].headers.items() if text in kept}
    return Recipe(shape, {"columns": columns, "reading": {"unit": "MPa", "quantity": "pressure"}, "clock": {"hours": "24h"}})
