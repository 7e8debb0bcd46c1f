"""One register file: its rows as typed values, and what is wrong with each cell."""

from __future__ import annotations

import csv
import datetime as dt
import io
import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ingest.contract import Column, Kind
from ingest.doubts.problems import Problem, problem

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_TIME = re.compile(r"([01]?\d|2[0-3]):[0-5]\d|24:00")
_SAVE_AS = "a text file in UTF-8; save the register as 'CSV UTF-8'"


@dataclass(frozen=True)
class RegisterRow:
    """One row: its line in the file, its cells as written, and its values (absent where a cell is wrong)."""

    line: int
    written: dict[str, str]
    values: dict[str, Any]


def read_rows(path: Path, kind: Kind) -> tuple[list[RegisterRow] | None, list[Problem]]:
    """Read one register against the contract, each cell on its own; no rows but None where the file itself is at fault.

    Comment lines (from # on) and blank rows are passed over. The columns may stand in any order. Row numbers
    are lines of the file, as an editor counts them.
    """
    file = path.name
    lost = {"sheet": file, "column": ", ".join(kind.columns)}
    try:
        lines = iter(list(_records(path.read_text("utf-8-sig"))))
    except FileNotFoundError:
        if kind.later:
            return [], []
        return None, [problem("register_column_missing", place=lost)]
    except (UnicodeDecodeError, csv.Error):
        return None, [problem("register_value_invalid", place={"sheet": file, "column": "the file", "value": file}, allowed=_SAVE_AS)]
    first = next(lines, None)
    if first is None:
        return None, [problem("register_column_missing", place=lost)]
    header = [cell.strip().casefold() for cell in first[1]]
    problems = _header_problems(file, first[0], header, kind)
    if problems:
        return None, problems
    rows = []
    for line, cells in lines:
        row, found = _row(file, line, header, cells, kind)
        rows.append(row)
        problems.extend(found)
    return rows, problems


def _place(file: str, line: int, column: str, value: str | None) -> dict[str, Any]:
    return {"sheet": file, "row": line, "column": column, "value": value}


def _records(text: str) -> Iterator[tuple[int, list[str]]]:
    """The rows that are neither comments nor blank, each with the line on which it starts."""
    reader = csv.reader(_without_comments(io.StringIO(text, newline="")), delimiter=_delimiter(text))
    start = 1
    for cells in reader:
        if any(cell.strip() for cell in cells):
            yield start, cells
        start = reader.line_num + 1


def _without_comments(lines: Iterable[str]) -> Iterator[str]:
    """Blanks comment lines, so that line numbers stay true; a # inside a quoted cell of several lines is text."""
    quoted = False
    for line in lines:
        if not quoted and line.lstrip().startswith("#"):
            yield "\n"
            continue
        quoted ^= line.count('"') % 2 == 1
        yield line


def _delimiter(text: str) -> str:
    """Comma, or what a spreadsheet of another country wrote instead in the header."""
    header = next((line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")), "")
    return "," if "," in header else next((mark for mark in (";", "\t") if mark in header), ",")


def _header_problems(file: str, line: int, header: list[str], kind: Kind) -> list[Problem]:
    place = {"sheet": file, "row": line}
    known = ", ".join(kind.columns)
    missing = [column.name for column in kind.columns.values() if column.name not in header and not column.later]
    problems = [problem("register_column_missing", place={**place, "column": name}) for name in missing]
    for position, name in enumerate(header):
        if name and name not in kind.columns:
            where = {**place, "column": "the header", "value": name}
            problems.append(problem("register_value_invalid", place=where, allowed=f"the columns are {known}"))
        elif name and name in header[:position]:
            where = {**place, "column": "the header", "value": name}
            problems.append(problem("register_value_invalid", place=where, allowed="each column once"))
    return problems


def _row(file: str, line: int, header: list[str], cells: list[str], kind: Kind) -> tuple[RegisterRow, list[Problem]]:
    problems = []
    written = dict.fromkeys(kind.columns, "")
    for position, cell in enumerate(cells):
        name = header[position] if position < len(header) else ""
        if name:
            written[name] = cell.strip()
        elif cell.strip():
            where = _place(file, line, "a cell without a header", cell.strip())
            problems.append(problem("register_value_invalid", place=where, allowed="put a text that holds a comma in double quotes"))
    values = {}
    for name, column in kind.columns.items():
        text = written[name]
        if column.required and not text:
            problems.append(problem("register_value_missing", place=_place(file, line, name, None)))
            continue
        try:
            values[name] = _value(text, column)
        except ValueError as error:
            problems.append(problem("register_value_invalid", place=_place(file, line, name, text), allowed=str(error)))
    return RegisterRow(line, written, values), problems


def _value(text: str, column: Column) -> Any:
    """The cell as the contract's type; a ValueError says what is allowed."""
    if column.aliases or column.several:
        return tuple(part.strip() for part in text.split(";") if part.strip())
    if not text:
        return None
    if column.type == "number":
        return _number(text, column)
    if column.type == "date":
        return _date(text, column)
    if column.type == "time":
        if not _TIME.fullmatch(text):
            raise ValueError(column.allows())
        return text.zfill(5)
    if (column.allowed and text not in column.allowed) or (column.pattern and not re.fullmatch(column.pattern, text)):
        raise ValueError(column.allows())
    if column.max_length is not None and len(text) > column.max_length:
        raise ValueError(f"at most {column.max_length} characters")
    return text


def _number(text: str, column: Column) -> float:
    value = float(text) if _NUMBER.fullmatch(text) else math.nan
    low = -math.inf if column.minimum is None else column.minimum
    high = math.inf if column.maximum is None else column.maximum
    if not math.isfinite(value) or not low <= value <= high:
        raise ValueError(f"a number with a decimal point, {column.allows()}")
    return value


def _date(text: str, column: Column) -> dt.date:
    try:
        if _DATE.fullmatch(text):
            return dt.date.fromisoformat(text)
    except ValueError:  # a day that no calendar has, such as 2024-02-30
        pass
    raise ValueError(column.allows())
