"""A class's file against earlier uploads of its kind, row by row."""

from __future__ import annotations

import json
from array import array
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from ingest.checked.changed import Change, Changes
from ingest.checked.kinds import UploadKind
from ingest.checked.rows import Place
from ingest.checking import Checked

Row = dict[str, Any]

WHERE = ("source_sheet", "source_row", "source_cell")
_IN_CONTRACT = {f"{name}_as_written": name for name in ("reading", "unit", "score", "level")}
_MOST_NAMES_CHANGED = 2  # in one row of the file; where more differ, it is another leaf


class RowsCompared:
    """The rows in use of a checked file, found by what names them and by their place.

    A row of the file whose names and whose place no row of an upload has can only be new to it. So of the file only those that some
    row of the uploads may be are looked at, and the rest is counted.
    """

    def __init__(self, kind: UploadKind, checked: Checked, columns: Sequence[str], earlier: Iterable[Iterable[Row]]) -> None:
        self._kind, self._checked, self._columns = kind, checked, columns
        statuses = checked.columns["status"]
        self._in_use = array("q", (index for index, status in enumerate(statuses) if status != "set_aside"))
        rows = [row for each in earlier for row in each]
        self._alike: list[tuple[Callable[[Row], Any], dict[Any, list[int]]]] = []
        for columns_alike, key in ((kind.names, self._names), (WHERE, _place)):
            indices: dict[Any, list[int]] = {key(row): [] for row in rows}
            keys = zip(*(map(_text, checked.columns[name]) for name in columns_alike), strict=True)
            for index, (found, status) in enumerate(zip(keys, statuses, strict=True)):
                if status != "set_aside" and found in indices:
                    indices[found].append(index)
            self._alike.append((key, indices))

    def against(self, before: list[Row]) -> Changes:
        """What the file changes against the rows of one upload."""
        looked_at = self._looked_at(before)
        after = list(map(self._row, looked_at))
        old, new = self._differing(before, after)
        pairs = [pair for key in (self._named_in_its_cell, self._named_behind, _place) for pair in self._paired(old, new, key)]
        told = [
            self._cell_changed(one, other, name)
            for one, other in pairs
            for name in (*self._kind.names, *self._kind.values)
            if one[name] != other[name]
        ]
        told += [row_changed(self._shown(row, of="the earlier file"), row, row[self._kind.written] or "no number", None) for row in old]
        known = set(looked_at) - {row["index"] for row in new}
        return Changes(told, array("q", (index for index in self._in_use if index not in known)), self._new_row)

    def _looked_at(self, before: Iterable[Row]) -> list[int]:
        """The rows of the file that some row of the upload may be, in the order of the file."""
        return sorted({index for row in before for key, indices in self._alike for index in indices[key(row)]})

    def _row(self, index: int) -> Row:
        """A row of the file, with the place of its cells."""
        row = as_text({name: self._checked.columns[name][index] for name in self._columns})
        return {**row, "cells": self._checked.places[index] if self._checked.places else None, "index": index}

    def _new_row(self, index: int) -> Change:
        row = self._row(index)
        return row_changed(self._shown(row), row, None, row[self._kind.written] or "no number")

    def _differing(self, before: list[Row], after: list[Row]) -> tuple[list[Row], list[Row]]:
        """The rows of either file that the other does not hold, whatever the order; of equal ones those in the same cells stayed.

        Each gets the number of rows of the same names above it that stayed: by it rows are told apart that nothing else tells apart.
        """
        old, new = list(before), list(after)
        for key in (self._content_in_its_cell, self._content):
            left = Counter(map(key, old)) & Counter(map(key, new))
            old, new = _without(old, left, key), _without(new, left, key)
        for rows, changed in ((before, old), (after, new)):
            differs, stayed = set(map(id, changed)), Counter[Any]()
            for row in rows:
                if id(row) in differs:
                    row["behind"] = stayed[self._names(row)]
                else:
                    stayed[self._names(row)] += 1
        return old, new

    def _paired(self, old: list[Row], new: list[Row], key: Callable[[Row], Any]) -> list[tuple[Row, Row]]:
        """Pairs of rows with the same key, taken out of both lists."""
        waiting: dict[Any, list[Row]] = {}
        for row in old:
            waiting.setdefault(key(row), []).append(row)
        pairs = []
        for row in list(new):
            alike = waiting.get(key(row), [])
            if alike and sum(alike[0][name] != row[name] for name in self._kind.names) <= _MOST_NAMES_CHANGED:
                pairs.append((alike.pop(0), row))
        taken = {id(row) for pair in pairs for row in pair}
        for rows in (old, new):
            rows[:] = [row for row in rows if id(row) not in taken]
        return pairs

    def _content(self, row: Row) -> tuple[Any, ...]:
        return tuple(row[name] for name in (*self._kind.names, *self._kind.values))

    def _content_in_its_cell(self, row: Row) -> tuple[Any, ...]:
        return (*self._content(row), *_place(row))

    def _names(self, row: Row) -> tuple[Any, ...]:
        return tuple(row[name] for name in self._kind.names)

    def _named_in_its_cell(self, row: Row) -> tuple[Any, ...]:
        return (*self._names(row), *_place(row))

    def _named_behind(self, row: Row) -> tuple[Any, ...]:
        return (*self._names(row), row["behind"])

    def _cell_changed(self, one: Row, other: Row, name: str) -> Change:
        """A change in a pair of rows: the cell of that column in the new file, with both values as written where both have its header."""
        cells: Place | None = other["cells"]
        header, cell = cells.of(_IN_CONTRACT.get(name, name)) if cells else (name, None)
        before, after = (json.loads(row.get("values_as_written") or "{}").get(header) for row in (one, other))
        if name == self._kind.written or cell is None or before == after:
            before, after = one[name], other[name]
        return changed(self._shown(other, cell), other, name, before, after, cell)

    def _shown(self, row: Row, cell: str | None = None, of: str = "") -> str:
        sheet = f"sheet {row['source_sheet']}, " if row["source_sheet"] else ""
        place = sheet + (cell or row["source_cell"] or f"row {row['source_row']}") + (f" of {of}" if of else "")
        named = [f"{name} {row[name]}" if name in ("plant", "leaf") else row[name] for name in self._kind.shown if row[name]]
        return f"{place} ({', '.join(named)})"


def as_text(row: Row) -> Row:
    """A row with every value as text, as rows of files and of the store are compared."""
    return {name: _text(value) for name, value in row.items()}


def changed(place: str, row: Row, column: str, before: str | None, after: str | None, cell: str | None = None) -> Change:
    """One change, told by the place in words, and by the row of the file in which it stands."""
    where = {"sheet": row.get("source_sheet"), "row": int(row["source_row"]), "cell": cell or row.get("source_cell")}
    return {"place": place, **where, "column": column, "before": before or "none", "after": after or "none"}


def row_changed(place: str, row: Row, before: str | None, after: str | None) -> Change:
    """A whole row that is new or gone."""
    return changed(place, row, "row", before, after)


def _text(value: Any) -> str | None:
    return None if value is None else str(value)


def _without(rows: list[Row], stayed: Counter[Any], key: Callable[[Row], Any]) -> list[Row]:
    """The rows but as many of each key as stayed, the first ones."""
    left, kept = stayed.copy(), []
    for row in rows:
        if left[key(row)]:
            left[key(row)] -= 1
        else:
            kept.append(row)
    return kept


def _place(row: Row) -> tuple[Any, ...]:
    return tuple(row[name] for name in WHERE)
