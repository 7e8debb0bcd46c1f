"""Run the data-quality suite over the rows of many files at once: alone it takes longer than all else of a small file."""

from __future__ import annotations

import pickle
from collections.abc import Callable, Iterator, Sequence
from typing import Any, TypeVar
from unittest.mock import patch

from ingest.checked.suites import failing_rows

Item = TypeVar("Item")
Made = TypeVar("Made")
Failed = list[tuple[int, str, str]]
_PLACE = "ingest.readings.crosschecks.failing_rows"


def judged_together(make: Callable[[Item], Made], items: Sequence[Item]) -> list[Made]:
    """What is made of each item, where making checks readings.

    The suite looks at one row at a time. So all items are made as if no row failed, the suite runs over the rows of all of them, and those
    of which a row failed are made again with its answer; a table that comes up only then is given to the suite itself.
    """
    asked: dict[bytes, dict[str, list[Any]]] = {}
    of_items: list[set[bytes]] = []

    def put_off(_: str, columns: dict[str, list[Any]]) -> Iterator[tuple[int, str, str]]:
        of_items[-1].add(key := pickle.dumps(columns))
        asked[key] = columns
        return iter(())

    made = []
    with patch(_PLACE, put_off):
        for item in items:
            of_items.append(set())
            made.append(make(item))
    answers = _answers(asked)

    def answer(kind: str, columns: dict[str, list[Any]]) -> Iterator[tuple[int, str, str]]:
        key = pickle.dumps(columns)
        return iter(answers[key]) if key in answers else failing_rows(kind, columns)

    with patch(_PLACE, answer):
        return [make(item) if any(answers[key] for key in keys) else first for item, first, keys in zip(items, made, of_items, strict=True)]


def _answers(asked: dict[bytes, dict[str, list[Any]]]) -> dict[bytes, Failed]:
    """What the suite says of each table, from one run over all of their rows."""
    answers: dict[bytes, Failed] = {key: [] for key in asked}
    owners = [(key, row) for key, columns in asked.items() for row in columns["row_number"]]
    if owners:
        together = {name: [value for columns in asked.values() for value in columns[name]] for name in next(iter(asked.values()))}
        for number, column, code in failing_rows("readings", together | {"row_number": list(range(len(owners)))}):
            key, row = owners[number]
            answers[key].append((row, column, code))
    return answers
