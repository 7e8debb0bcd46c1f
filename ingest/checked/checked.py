"""What the user said of a file, and what checking made of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from ingest.checked.receipts import Receipt
from ingest.checked.rows import Place
from ingest.doubts.recipes import Recipe


@dataclass(frozen=True)
class Asked:
    """What the user said on the command line: answers KEY=VALUE, a forced kind, a gauge."""

    answers: Sequence[str] = ()
    kind: str | None = None
    gauge: str | None = None


@dataclass
class Checked:
    """A checked file: the receipt, the columns of its rows for Parquet, and the recipe by which it was understood.

    `name` is as received, and goes nowhere but into the ledger; `places` tell where the cells of a row of readings stand.
    """

    receipt: Receipt
    columns: dict[str, list[Any]]
    recipe: Recipe
    data: bytes
    name: str
    asked: Asked
    answers: dict[str, Any] = field(default_factory=dict)
    places: list[Place | None] = field(default_factory=list)
