"""The contract: what every column of every kind of upload and register may hold, read from contract.toml."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

ColumnType = Literal["text", "number", "date", "time", "boolean"]
REGISTERS = ("sites", "taxa", "chambers", "gauges", "semesters", "sections", "outcomes")
REGISTER_OF = {"site": "sites", "taxon": "taxa", "chamber": "chambers", "section": "sections", "outcome": "outcomes"}


@dataclass(frozen=True)
class Column:
    """One column: what it holds, in which unit, within which limits, and why."""

    name: str
    type: ColumnType
    says: str
    required: bool = False
    key: bool = False
    personal: bool = False
    aliases: bool = False
    several: bool = False  # of a register: a list, its parts separated by semicolons
    later: bool = False  # of a register: came after the first homes, whose files may lack it; it is blank there
    register: str | None = None
    allowed: tuple[str, ...] = ()
    header: tuple[str, ...] = ()
    pattern: str | None = None
    minimum: float | None = None
    maximum: float | None = None
    maximum_mpa: float | None = None
    max_length: int | None = None
    why: str | None = None

    def allows(self) -> str:
        """What the column allows, in words."""
        if self.allowed:
            return "one of " + ", ".join(self.allowed)
        if self.minimum is not None and self.maximum is not None:
            return f"{self.minimum:g} to {self.maximum:g}"
        if self.minimum is not None:
            return f"at least {self.minimum:g}"
        if self.type == "date":
            return "a date as YYYY-MM-DD"
        if self.type == "time":
            return "a clock time as HH:MM"
        return f"text like {self.pattern}" if self.pattern else f"a {self.type}"


@dataclass(frozen=True)
class Kind:
    """One kind of upload or register: what a row is, and its columns in order."""

    name: str
    says: str
    columns: dict[str, Column]
    later: bool = False  # a register that came after the first homes: without its file it is empty

    def required(self) -> list[str]:
        """Names of the columns that every row needs."""
        return [column.name for column in self.columns.values() if column.required]


@cache
def contract() -> dict[str, Kind]:
    """All kinds by name: those of uploads (readings, weather, assessment, rubric) and the registers."""
    raw = tomllib.loads(Path(__file__).with_name("contract.toml").read_text("utf-8"))
    kinds: dict[str, Kind] = {}
    for kind, body in raw.items():
        shared = {name: kinds[of].columns[name] for of, names in body.get("shared", {}).items() for name in names}
        columns = shared | {name: _column(name, stated) for name, stated in body["columns"].items()}
        kinds[kind] = Kind(kind, body["says"], columns, body.get("later", False))
    return kinds


def _column(name: str, stated: dict[str, Any]) -> Column:
    frozen: dict[str, Any] = {key: tuple(value) if isinstance(value, list) else value for key, value in stated.items()}
    return Column(name=name, **frozen)
