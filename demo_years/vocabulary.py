"""The words that classes use for sites, plants and chambers: those of the demo's registers, and no others."""

from __future__ import annotations

import csv
from pathlib import Path

from demo_years.readings import Chamber

REGISTERS = Path(__file__).parent / "registers"


def register_rows(name: str) -> list[dict[str, str]]:
    """The rows of one of the demo's registers, comments left out."""
    text = (REGISTERS / f"{name}.csv").read_text("utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


class Vocabulary:
    """Spellings by code: `style` is a column of the register, or the place of an alias in it, as `aliases:2`."""

    def __init__(self) -> None:
        self._sites = {row["site"]: row for row in register_rows("sites")}
        self._taxa = {row["taxon"]: row for row in register_rows("taxa")}
        self._chambers = {row["chamber"]: row for row in register_rows("chambers")}

    def site(self, code: str, style: str) -> str:
        """What a class calls a site."""
        return _spelled(self._sites[code], style)

    def taxon(self, code: str, style: str) -> str:
        """What a class calls a plant."""
        return _spelled(self._taxa[code], style)

    def chamber_alias(self, code: str) -> str:
        """What a class calls a chamber."""
        return _spelled(self._chambers[code], "aliases")

    def chamber(self, code: str) -> Chamber:
        """The chamber as the simulated class uses it."""
        row = self._chambers[code]
        return Chamber(code, row["gauge_unit"], float(row["resolution"]), float(row["maximum_pressure"]))


def _spelled(row: dict[str, str], style: str) -> str:
    column, _, place = style.partition(":")
    return row[column].split(";")[int(place or 0)]
