"""Ways to spell a table of readings: unit, sign, decimal mark and days in its cells, and the bytes of a file around it."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from tests.corpus.old_workbook import xls_bytes
from tests.corpus.truth import Grid
from tests.corpus.writing import csv_bytes, html_bytes, ods_bytes, xlsx_bytes

# Factors from bar, stated here once more: NIST SP 811, B.8; psi from its definition.
PER_BAR = {"bar": 1.0, "MPa": 0.1, "kPa": 100.0, "psi": 1 / 0.06894757293168361}
DAYS = ("%Y-%m-%d", "%d %b %Y", "%B %d, %Y", "%m/%d/%Y", "%d.%m.%Y", "%a %d %b %Y")
TEXTS = ("csv", "txt", "page")
BOOKS = ("xlsx", "ods", "xls")
"""Kinds of file with sheets and with cells of a type of their own; `page` is a web page under the name of a workbook."""


@dataclass(frozen=True)
class Spelling:
    """How the cells of a file are spelled; where `is_typed`, days and numbers are cells of that type, not text."""

    kind: str
    unit: str
    day: str
    mark: str
    is_potential: bool
    is_typed: bool

    @property
    def quantity(self) -> str:
        """What the header calls the readings."""
        return "Water potential" if self.is_potential else "Pressure"

    def reading(self, bar: str) -> object:
        """A pressure in bar, a bound as ">38", as its cell."""
        bound, number = bar[: bar.startswith(">")], float(bar.lstrip(">")) * PER_BAR[self.unit]
        if self.is_typed and not bound:
            return round(-number if self.is_potential else number, 9)
        sign = ("<-" if bound else "-") if self.is_potential else bound
        return f"{sign}{number:.9f}".rstrip("0").rstrip(".").replace(".", self.mark)

    def date(self, day: str) -> object:
        """A day, given as 2024-09-17, as its cell."""
        found = date.fromisoformat(day)
        return found if self.is_typed else found.strftime(self.day)


def a_spelling(chance: random.Random, kinds: Sequence[str] = (*TEXTS, *BOOKS)) -> Spelling:
    """A spelling by chance."""
    kind = chance.choice(kinds)
    return Spelling(
        kind,
        chance.choice(list(PER_BAR)),
        chance.choice(DAYS),
        chance.choice(".,"),
        is_potential=chance.random() < 0.4,
        is_typed=kind in BOOKS and chance.random() < 0.5,
    )


def file_of(chance: random.Random, kind: str, *grids: Grid) -> tuple[str, bytes]:
    """Name and bytes of a file of a kind; text in any encoding and with any separator."""
    if kind == "xls":
        return "class.xls", xls_bytes({grid.sheet or "Sheet1": grid.rows for grid in grids})
    if kind in BOOKS:
        return f"class.{kind}", (xlsx_bytes if kind == "xlsx" else ods_bytes)(*grids)
    if kind == "page":
        return "class.xls", html_bytes(grids[0].rows)
    encoding = chance.choice(("utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"))
    separator, ends = chance.choice("\t;,|"), chance.choice(("\n", "\r\n"))
    return f"class.{kind}", csv_bytes(grids[0].rows, separator=separator, encoding=encoding, ends=ends)
