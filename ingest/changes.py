"""What a file changes against an earlier upload: each value that differs, and each row that is new or gone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

from ingest.checked_files import checked_path
from ingest.checking import Checked
from ingest.home import Home
from ingest.uploads import Upload

Row = dict[str, Any]

_NAMES = ("semester", "section", "date", "sampling_window", "site", "taxon", "plant", "leaf")
_VALUES = ("reading_as_written", "unit_as_written", "time_cut", "time_read", "chamber", "endpoint", "leaf_state", "observer", "remark")
_WHERE = ("source_sheet", "source_row", "source_cell")
_DAY = ("gauge", "date", "element")
_MOST_NAMES_CHANGED = 2  # in one row of the file; where more differ, it is another leaf


def changes(home: Home, checked: Checked, upload: Upload) -> list[dict[str, Any]]:
    """One mapping per change, in the order of the file: place, column, before, after ("none" for a row that is new or gone).

    Leaves are told apart by what names them; rows that nothing tells apart are compared in their order. A row whose name was
    corrected is known by its place in the file. Only rows in use count.
    """
    path = str(checked_path(home.checked, upload.kind, upload.upload_id))
    if upload.kind == "weather":
        return list(_days_changed(_loaded(path, (*_DAY, "value_as_written")), _kept(checked, (*_DAY, "value_as_written"))))
    columns = (*_WHERE, *_NAMES, *_VALUES)
    return list(_rows_changed(_loaded(path, columns), _kept(checked, columns)))


def _loaded(path: str, columns: Sequence[str]) -> list[Row]:
    import duckdb

    names = ", ".join(columns)
    query = f"SELECT {names} FROM read_parquet(?) WHERE status <> 'set_aside' ORDER BY row_number"  # noqa: S608  # names are our own
    with duckdb.connect() as connection:
        found = connection.execute(query, [path]).fetchall()
    return [_as_text(dict(zip(columns, row, strict=True))) for row in found]


def _kept(checked: Checked, columns: Sequence[str]) -> list[Row]:
    kept = [index for index, status in enumerate(checked.columns["status"]) if status != "set_aside"]
    return [_as_text({name: checked.columns[name][index] for name in columns}) for index in kept]


def _as_text(row: Row) -> Row:
    return {name: None if value is None else str(value) for name, value in row.items()}


def _days_changed(before: list[Row], after: list[Row]) -> Iterator[dict[str, Any]]:
    """Days that both records hold, with another value."""
    known = {tuple(row[name] for name in _DAY): row for row in before}
    for row in after:
        old = known.get(tuple(row[name] for name in _DAY))
        if old and old["value_as_written"] != row["value_as_written"]:
            place = ", ".join(row[name] or "" for name in _DAY)
            yield _change(place, "value", old["value_as_written"], row["value_as_written"])


def _rows_changed(before: list[Row], after: list[Row]) -> Iterator[dict[str, Any]]:
    left = Counter(map(_content, before))
    new = []
    for row in after:
        if left[_content(row)]:
            left[_content(row)] -= 1
        else:
            new.append(row)
    old: list[Row] = []
    for row in reversed(before):  # of equal rows the first ones stayed
        if left[_content(row)]:
            left[_content(row)] -= 1
            old.append(row)
    old.reverse()
    pairs = [*_paired(old, new, _names), *_paired(old, new, _place)]
    for one, other in pairs:
        for name in (*_NAMES, *_VALUES):
            if one[name] != other[name]:
                yield _change(_shown(other), name, one[name], other[name])
    for row in old:
        yield _change(_shown(row), "row", row["reading_as_written"] or "no number", None)
    for row in new:
        yield _change(_shown(row), "row", None, row["reading_as_written"] or "no number")


def _paired(old: list[Row], new: list[Row], key: Any) -> list[tuple[Row, Row]]:
    """Pairs of rows with the same key, taken out of both lists."""
    waiting: dict[Any, list[Row]] = {}
    for row in old:
        waiting.setdefault(key(row), []).append(row)
    pairs = []
    for row in list(new):
        alike = waiting.get(key(row), [])
        if alike and sum(alike[0][name] != row[name] for name in _NAMES) <= _MOST_NAMES_CHANGED:
            pairs.append((alike.pop(0), row))
    taken = {id(row) for pair in pairs for row in pair}
    for rows in (old, new):
        rows[:] = [row for row in rows if id(row) not in taken]
    return pairs


def _content(row: Row) -> tuple[Any, ...]:
    return tuple(row[name] for name in (*_NAMES, *_VALUES))


def _names(row: Row) -> tuple[Any, ...]:
    return tuple(row[name] for name in _NAMES)


def _place(row: Row) -> tuple[Any, ...]:
    return tuple(row[name] for name in _WHERE)


def _shown(row: Row) -> str:
    sheet = f"sheet {row['source_sheet']}, " if row["source_sheet"] else ""
    place = sheet + (row["source_cell"] or f"row {row['source_row']}")
    tags = [f"{name} {row[name]}" for name in ("plant", "leaf") if row[name]]
    named = [row[name] for name in ("date", "site", "taxon") if row[name]]
    return f"{place} ({', '.join([*named, *tags])})"


def _change(place: str, column: str, before: str | None, after: str | None) -> dict[str, Any]:
    return {"place": place, "column": column, "before": before or "none", "after": after or "none"}
