"""What a file changes against an earlier upload: each cell that differs, and each row that is new or gone."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

from ingest.checked.kinds import KINDS_OF_UPLOAD, UploadKind
from ingest.checked.rows import Place
from ingest.checking import Checked
from ingest.home import Home
from ingest.received.checked_files import checked_path
from ingest.received.uploads import Upload

Row = dict[str, Any]

_WHERE = ("source_sheet", "source_row", "source_cell")
_IN_CONTRACT = {f"{name}_as_written": name for name in ("reading", "unit", "score", "level")}
_MOST_NAMES_CHANGED = 2  # in one row of the file; where more differ, it is another leaf


def changes(home: Home, checked: Checked, upload: Upload) -> list[dict[str, Any]]:
    """One mapping per change, in the order of the file: place (in words), sheet, row, cell, column, before, after.

    The place is that in the new file; of a row that is gone ("none" after it) that in the earlier one. Leaves are told apart by what
    names them; of rows that nothing tells apart, those are the same that stand in the same cell, or behind as many of those that
    stayed. A row whose name was corrected is known by its place in the file. Only rows in use count.
    """
    path = str(checked_path(home.checked, upload.kind, upload.upload_id))
    kind = KINDS_OF_UPLOAD[upload.kind]
    if kind.is_by_day:
        columns: tuple[str, ...] = ("source_row", *kind.names, kind.written)
        return list(_days_changed(_loaded(path, columns), _kept(checked, columns)))
    columns = (*_WHERE, *kind.names, *kind.values, *(("values_as_written",) if "values_as_written" in kind.columns else ()))
    return list(_Compared(kind).rows_changed(_loaded(path, columns), _kept(checked, columns)))


def _loaded(path: str, columns: Sequence[str]) -> list[Row]:
    import duckdb

    names = ", ".join(columns)
    query = f"SELECT {names} FROM read_parquet(?) WHERE status <> 'set_aside' ORDER BY row_number"  # noqa: S608  # names are our own
    with duckdb.connect() as connection:
        found = connection.execute(query, [path]).fetchall()
    return [_as_text(dict(zip(columns, row, strict=True))) for row in found]


def _kept(checked: Checked, columns: Sequence[str]) -> list[Row]:
    """The rows in use, each with the place of its cells."""
    kept = [index for index, status in enumerate(checked.columns["status"]) if status != "set_aside"]
    places = checked.places or [None] * len(checked.columns["status"])
    return [{**_as_text({name: checked.columns[name][index] for name in columns}), "cells": places[index]} for index in kept]


def _as_text(row: Row) -> Row:
    return {name: None if value is None else str(value) for name, value in row.items()}


def _days_changed(before: list[Row], after: list[Row]) -> Iterator[dict[str, Any]]:
    """Days that both records hold with another value, and days between those of one record that only the other holds.

    Days before or behind a record are no correction of it.
    """
    known, now = ({_day(row): row for row in rows if row["date"]} for rows in (before, after))
    spans, spans_now = _spans(known), _spans(now)
    for row in now.values():
        old = known.get(_day(row))
        if old is None and _is_within(row, spans):
            yield _change(_day_shown(row), row, "row", None, row["value_as_written"])
        elif old is not None and old["value_as_written"] != row["value_as_written"]:
            yield _change(_day_shown(row), row, "value", old["value_as_written"], row["value_as_written"])
    for row in known.values():
        if _day(row) not in now and _is_within(row, spans_now):
            yield _change(f"{_day_shown(row)} of the earlier file", row, "row", row["value_as_written"], None)


def _day(row: Row) -> tuple[Any, ...]:
    return row["gauge"], row["date"], row["element"]


def _spans(days: Iterable[tuple[Any, ...]]) -> dict[tuple[Any, Any], tuple[str, str]]:
    """First and last day of each element at each gauge."""
    found: dict[tuple[Any, Any], tuple[str, str]] = {}
    for gauge, date, element in days:
        first, last = found.get((gauge, element), (date, date))
        found[gauge, element] = (min(first, date), max(last, date))
    return found


def _is_within(row: Row, spans: Mapping[tuple[Any, Any], tuple[str, str]]) -> bool:
    first, last = spans.get((row["gauge"], row["element"]), ("", ""))
    return first < str(row["date"]) < last


def _day_shown(row: Row) -> str:
    return f"row {row['source_row']} ({', '.join(part or '' for part in _day(row))})"


class _Compared:
    """Two files of one kind, row by row."""

    def __init__(self, kind: UploadKind) -> None:
        self._kind = kind

    def rows_changed(self, before: list[Row], after: list[Row]) -> Iterator[dict[str, Any]]:
        old, new = self._differing(before, after)
        pairs = [pair for key in (self._named_in_its_cell, self._named_behind, _place) for pair in self._paired(old, new, key)]
        for one, other in pairs:
            for name in (*self._kind.names, *self._kind.values):
                if one[name] != other[name]:
                    yield self._cell_changed(one, other, name)
        for row in old:
            yield _change(self._shown(row, of="the earlier file"), row, "row", row[self._kind.written] or "no number", None)
        for row in new:
            yield _change(self._shown(row), row, "row", None, row[self._kind.written] or "no number")

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

    def _cell_changed(self, one: Row, other: Row, name: str) -> dict[str, Any]:
        """A change in a pair of rows: the cell of that column in the new file, with both values as written where both have its header."""
        cells: Place | None = other["cells"]
        header, cell = cells.of(_IN_CONTRACT.get(name, name)) if cells else (name, None)
        before, after = (json.loads(row.get("values_as_written") or "{}").get(header) for row in (one, other))
        if name == self._kind.written or cell is None or before == after:
            before, after = one[name], other[name]
        return _change(self._shown(other, cell), other, name, before, after, cell)

    def _shown(self, row: Row, cell: str | None = None, of: str = "") -> str:
        sheet = f"sheet {row['source_sheet']}, " if row["source_sheet"] else ""
        place = sheet + (cell or row["source_cell"] or f"row {row['source_row']}") + (f" of {of}" if of else "")
        named = [f"{name} {row[name]}" if name in ("plant", "leaf") else row[name] for name in self._kind.shown if row[name]]
        return f"{place} ({', '.join(named)})"


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
    return tuple(row[name] for name in _WHERE)


def _change(place: str, row: Row, column: str, before: str | None, after: str | None, cell: str | None = None) -> dict[str, Any]:
    where = {"sheet": row.get("source_sheet"), "row": int(row["source_row"]), "cell": cell or row.get("source_cell")}
    return {"place": place, **where, "column": column, "before": before or "none", "after": after or "none"}
