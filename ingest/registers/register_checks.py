"""What must hold between the rows of the registers: keys, names, references and the calendar."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from ingest.contract import Kind, contract
from ingest.doubts.problems import Problem, problem
from ingest.folding import fold
from ingest.registers.register_rows import RegisterRow

Tables = Mapping[str, Sequence[RegisterRow]]


def check_between(tables: Tables) -> list[Problem]:
    """Every problem between rows and between registers; rows with a wrong cell are judged by their other cells."""
    problems: list[Problem] = []
    for name, rows in tables.items():
        repeated = list(_keys_repeated(name, rows))
        problems.extend(repeated)
        skip = {found.row for found in repeated}
        problems.extend(_names_repeated(name, [row for row in rows if row.line not in skip]))
        problems.extend(_references_unknown(name, rows, tables))
    problems.extend(_semesters_wrong(tables.get("semesters", [])))
    return problems


def names_of(kind: Kind, values: Mapping[str, Any]) -> Iterator[tuple[str, str, str]]:
    """The spellings by which a row may be meant, as (scope, code, spelling): its code, its name and its aliases.

    The scope is the key without its last column: sections are named within their semester.
    """
    keys = [column.name for column in kind.columns.values() if column.key]
    if any(name not in values for name in keys):
        return
    scope, code = " ".join(values[name] for name in keys[:-1]), values[keys[-1]]
    yield scope, code, code
    for column in kind.columns.values():
        value: Any = values.get(column.name)
        if column.aliases:
            yield from ((scope, code, alias) for alias in value or ())
        elif value and _is_name(kind, column.name):
            yield scope, code, value


def _is_name(kind: Kind, name: str) -> bool:
    """A required free text that is neither key nor reference is the entry's name."""
    column = kind.columns[name]
    return column.type == "text" and column.required and not (column.key or column.register or column.allowed)


def _place(name: str, row: RegisterRow, column: str, value: str | None = None) -> dict[str, Any]:
    return {"sheet": f"{name}.csv", "row": row.line, "column": column, "value": row.written.get(column) if value is None else value}


def _keys_repeated(name: str, rows: Sequence[RegisterRow]) -> Iterator[Problem]:
    keys = [column.name for column in contract()[name].columns.values() if column.key]
    first: dict[tuple[str, ...], int] = {}
    for row in rows:
        if any(key not in row.values for key in keys):
            continue
        folded = tuple(fold(row.values[key]) for key in keys)
        if folded in first:
            where = _place(name, row, keys[-1], " ".join(row.values[key] for key in keys))
            yield problem("register_key_repeated", place=where, other=first[folded])
        first.setdefault(folded, row.line)


def _names_repeated(name: str, rows: Sequence[RegisterRow]) -> Iterator[Problem]:
    owner: dict[tuple[str, str], str] = {}
    kind = contract()[name]
    # Codes first: an alias that is another row's code is the alias's fault, wherever the rows stand.
    for row in rows:
        for scope, code, spelling in names_of(kind, row.values):
            if spelling == code:
                owner[scope, fold(spelling)] = code
    for row in rows:
        for scope, code, spelling in names_of(kind, row.values):
            column = _column_of(kind, row, spelling)
            if not fold(spelling):
                allowed = "a name needs a letter or a digit"
                yield problem("register_value_invalid", place=_place(name, row, column, spelling), allowed=allowed)
            elif owner.setdefault((scope, fold(spelling)), code) != code:
                other = owner[scope, fold(spelling)]
                yield problem("register_alias_repeated", place=_place(name, row, column, spelling), other=other)


def _column_of(kind: Kind, row: RegisterRow, spelling: str) -> str:
    """The column in which a spelling stands."""
    for name in kind.columns:
        value = row.values.get(name)
        if value == spelling or (isinstance(value, tuple) and spelling in value):
            return name
    return next(iter(kind.columns))


def _references_unknown(name: str, rows: Sequence[RegisterRow], tables: Tables) -> Iterator[Problem]:
    for column in contract()[name].columns.values():
        if column.register is None or column.register not in tables:  # no reference, or a register that could not be read at all
            continue
        key = next(iter(contract()[column.register].columns))
        # As written, so that a row with another wrong cell is still there to be referred to.
        known = {row.written[key] for row in tables[column.register]}
        for row in rows:
            if row.values.get(column.name) is not None and row.values[column.name] not in known:
                yield problem("register_reference_unknown", place=_place(name, row, column.name), other=f"{column.register}.csv")


def _semesters_wrong(rows: Sequence[RegisterRow]) -> Iterator[Problem]:
    whole: list[tuple[dt.date, dt.date, RegisterRow]] = []
    for row in rows:
        start, end = row.values.get("start_date"), row.values.get("end_date")
        if start is None or end is None:
            continue
        if end < start:
            yield problem("register_dates_crossed", place=_place("semesters", row, "end_date"))
        else:
            whole.append((start, end, row))
    whole.sort(key=lambda semester: (semester[0], semester[1]))
    latest: tuple[dt.date, str] | None = None
    for start, end, row in whole:
        if latest is not None and start <= latest[0]:
            yield problem("register_semesters_overlap", place=_place("semesters", row, "start_date"), other=latest[1])
        if latest is None or end > latest[0]:
            latest = (end, row.written["semester"])
