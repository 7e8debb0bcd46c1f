"""The corpus: every ugly file of every group of troubles."""

from __future__ import annotations

import importlib
from collections.abc import Iterator

from tests.corpus.truth import Ugly

GROUPS = [
    "containers",
    "encoded",
    "programs",
    "old_books",
    "pages",
    "layouts",
    "sheets",
    "side_by_side",
    "neighbours",
    "bystanders",
    "compounds",
    "stacked",
    "second_lines",
    "said_once",
    "typed_out",
    "phones",
    "numbers",
    "units",
    "spelled_numbers",
    "spelled_units",
    "bounds",
    "said_bounds",
    "rushed",
    "dates",
    "calendars",
    "clocks",
    "hours",
    "names",
    "spellings",
    "headers",
    "twice",
    "again",
    "people",
    "persons",
    "hostile",
]


def corpus() -> Iterator[Ugly]:
    """All files, group by group. Each module's `FILES` is the list of functions that make them."""
    for group in GROUPS:
        for make in importlib.import_module(f"tests.corpus.troubles.{group}").FILES:
            made = make()
            yield from made if isinstance(made, list) else [made]
