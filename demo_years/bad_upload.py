"""A draft that must be refused: a site nobody knows, and many rows that would be set aside."""

from __future__ import annotations

from demo_years.readings import Reading
from demo_years.shapes import Cell, Sheet
from demo_years.vocabulary import Vocabulary

FILE = "bad/Fall 2025 draft.xlsx"
UNKNOWN_SITE = "Quarry rim"
_COLUMNS: tuple[Cell, ...] = ("Date", "Time", "Site", "Species", "Plant", "Leaf", "Balance pressure (bar)", "Observer", "Remarks")


def draft_sheets(readings: list[Reading], words: Vocabulary) -> list[Sheet]:
    """The first readings of a section, spoiled by turns: no date, a negative pressure, no reading, words for a reading."""
    rows: list[list[Cell]] = [["Fall 2025, Section A, draft typed in the bus"], [], list(_COLUMNS)]
    for number, one in enumerate(readings[:48]):
        visit = one.visit
        site = UNKNOWN_SITE if visit.site == "brow" else words.site(visit.site, "site_name")
        value: Cell = float(one.pressure) if one.pressure else None
        spoiled: dict[int, Cell] = {1: None if value is None else -float(one.pressure), 2: None, 3: "see paper"}
        rows.append(
            [
                None if number % 6 == 0 else visit.day,
                f"{visit.time_read:%H:%M}",
                site,
                words.taxon(visit.taxon, "scientific_name"),
                *(visit.plant, visit.leaf, spoiled.get(number % 6, value), visit.observer.name, one.remark or None),
            ]
        )
    return [Sheet("draft", rows)]
