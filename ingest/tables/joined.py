"""Values that a class split over several columns: genus and species, year, month and day, hours and minutes."""

from __future__ import annotations

from ingest.folding import fold
from ingest.tables.column_cells import text_of
from ingest.tables.tables import Table

_GENUS = {"genus"}
_SPECIES = {"species", "sp", "epithet", "specific epithet", "species epithet"}
_DAY = ({"year", "yr"}, {"month", "mo", "mon"}, {"day", "day of month"})
_CLOCK = ({"hour", "hours", "hr", "hrs"}, {"minute", "minutes", "min", "mins"})


def join_columns(table: Table) -> list[str]:
    """Give the rows what stands in parts in several columns; returns notes for the receipt."""
    notes = []
    for column, parts, sign in (("taxon", (_GENUS, _SPECIES), " "), ("date", _DAY, "-"), ("time_read", _CLOCK, ":")):
        places = [_place(table, words) for words in parts]
        if None in places:
            continue
        given = table.given.setdefault(column, {})
        for row in table.data_rows:
            said = [text_of(table.cell(row, place)) for place in places if place]
            if all(said):
                given[row] = sign.join(part.zfill(2) if column == "time_read" and part.isdecimal() else part for part in said)
        headers = ", ".join(repr(table.headers[place]) for place in places if place)
        notes.append(f"{column}: joined from the columns {headers}")
    return notes


def _place(table: Table, words: set[str]) -> int | None:
    """The one column whose header is one of the words."""
    found = [place for place, text in table.headers.items() if fold(text) in words]
    return found[0] if len(found) == 1 else None
