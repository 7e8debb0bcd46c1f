"""One true class of readings, and the hands that write it down: names, order of columns, frames and marks by chance."""

from __future__ import annotations

import random
from collections.abc import Sequence
from itertools import product

from tests.ingest.spelling import Spelling, a_spelling

Leaf = dict[str, str]
Rows = list[list[object]]
LEAD = ("Date", "Window", "Section", "Site", "Species", "Plant", "Leaf", "Observer")
SECTIONS = {"2024-09-17": ("a", "Ola Quist"), "2024-09-24": ("b", "Rhun Pell")}
NAMES = {"Site": {"ridge": "Ridge top", "swale": "Long swale"}, "Species": {"ange": "Andropogon gerardii", "codr": "roughleaf dogwood"}}


def true_leaves() -> list[Leaf]:
    """All leaves: two days, of one section each, two windows, sites, kinds of plant, plants and leaves; pressures in bar, one a bound."""
    found = []
    for number, (day, window, site, taxon, plant, leaf) in enumerate(
        product(SECTIONS, ("predawn", "midday"), ("ridge", "swale"), ("ange", "codr"), "12", "12")
    ):
        section, observer = SECTIONS[day]
        bar = f"{3 + number * 5 % 13 * 0.5:g}" if window == "predawn" else f"{11 + number * 7 % 37 * 0.5:g}"
        found.append(dict(zip(LEAD, (day, window, section, site, taxon, plant, leaf, observer), strict=True)) | {"bar": bar})
    found[-1]["bar"] = ">38"
    return found


class Writer:
    """Writes leaves as rows in one spelling, with names, order of columns and frame by chance."""

    def __init__(self, chance: random.Random, spelling: Spelling) -> None:
        """Choose what holds for the whole file."""
        self.chance, self.spelling = chance, spelling
        self.is_named = chance.random() < 0.6
        self.order = chance.sample(LEAD, len(LEAD))
        self.place = chance.randrange(len(LEAD))
        self.labels: list[str] = []  # headers of readings without a unit

    def cell(self, leaf: Leaf, column: str) -> object:
        """What a column of a file says of a leaf."""
        if column == "Date":
            return self.spelling.date(leaf["Date"])
        value = leaf[column]
        if column in ("Plant", "Leaf") and self.spelling.is_typed:
            return int(value)
        return self.name(column, value)

    def name(self, column: str, value: str) -> str:
        """A site or plant by its code or by its name."""
        return NAMES[column][value] if self.is_named and column in NAMES else value

    def lead(self, *but: str) -> list[str]:
        """The columns that place a leaf, in the order of this file, but those."""
        return [column for column in self.order if column not in but]

    def label(self, column: str, value: str) -> str:
        """What the header of a wide table's column says of its readings."""
        return f"{column} {value}" if column in ("Leaf", "Plant") else self.name(column, value).capitalize()

    def reading_header(self) -> str:
        """The header of the one column of readings."""
        return f"{self.spelling.quantity} ({self.spelling.unit})"

    def table(self, leaves: Sequence[Leaf], *but: str) -> Rows:
        """A header and a row for each leaf, without some columns; the reading stands anywhere."""
        columns = self.lead(*but)
        place = min(self.place, len(columns))
        rows: Rows = [[*columns[:place], self.reading_header(), *columns[place:]]]
        for leaf in leaves:
            cells = [self.cell(leaf, column) for column in columns]
            rows.append([*cells[:place], self.spelling.reading(leaf["bar"]), *cells[place:]])
        return rows

    def means(self, header: Sequence[object], word: str) -> list[object]:
        """A row of averages: their word in the first column that holds none, numbers under the columns of readings."""
        held = [f"({self.spelling.unit})" in str(text) or text in self.labels for text in header]
        row = [self.spelling.reading("17.25") if is_held else None for is_held in held]
        row[held.index(False)] = word
        return row

    def framed(self, rows: Rows) -> Rows:
        """The rows under a title and over averages, a legend and a note, or some of these."""
        chance = self.chance
        header = next(row for row in rows if "Observer" in row)
        if chance.random() < 0.5:
            rows = [["Plant physiology lab, Fall 2024"], ["Leaf water status by pressure chamber"], [], *rows]
        if chance.random() < 0.5:
            rows = [*rows, [], self.means(header, "Average"), self.means(header, "Std dev")]
        if chance.random() < 0.5:
            rows = [*rows, [], ["Legend: 1 = first plant from the stake"], ["* gauge zero was checked before dawn"]]
        return rows

    def thin(self, rows: Rows, share: float) -> None:
        """In that share of files, type what repeats the row above once, in some columns: blank below it, or ditto marks."""
        if self.chance.random() >= share:
            return
        mark = self.chance.choice((None, None, '"', "do.", "ditto", "''"))
        top = next(number for number, row in enumerate(rows) if "Observer" in row)
        present = [column for column in ("Date", "Site", "Species", "Section", "Window") if column in rows[top]]
        for column in self.chance.sample(present, self.chance.randrange(1, min(4, len(present) + 1))):
            place, before = rows[top].index(column), None
            for row in rows[top + 1 :]:
                is_same, before = row[place] == before, row[place]
                if is_same:
                    row[place] = mark

    def another(self, share: float = 0.4) -> Writer:
        """The hand that writes another part of the same file: the same, or, in that share, one with other units, names and order."""
        return self if self.chance.random() >= share else Writer(self.chance, a_spelling(self.chance, (self.spelling.kind,)))
