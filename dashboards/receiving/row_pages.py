"""The rows, problems and changes of a receipt, a page at a time: plain texts under headings, so that no file is too long to look at."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from dashboards.words import number
from ingest.doubts.answers import answer_line
from ingest.doubts.problem_kinds import KINDS

if TYPE_CHECKING:
    from ingest.checking import Checked
    from ingest.doubts.problems import Problem

ROWS_AT_ONCE = 100
STATUSES = {"": "all rows", "accepted": "accepted", "flagged": "flagged", "set_aside": "set aside"}
_POTENTIAL_DECIMALS = 2
_LEFT_OUT = frozenset({"row_number", "source_sheet", "source_row", "source_cell", "status", "flags", "reasons", "is_structural", "student"})


@dataclass(frozen=True)
class RowPage:
    """One page of a table: its headings, its rows as texts, where it begins (from 0) and how many rows there are in all."""

    headings: tuple[str, ...]
    rows: Sequence[tuple[str, ...]]
    start: int
    total: int


def rows_of(checked: Checked, status: str, start: int) -> RowPage:
    """Rows of one status, or of all, in the order of the file, with the reason of each and its values as written."""
    columns = checked.columns
    wanted = [index for index, found in enumerate(columns["status"]) if status in ("", found)]
    cells = _READINGS if "water_potential_mpa" in columns else _WEATHER if "amount_mm" in columns else _others(columns)
    headings = ("Where", "Status", "Why", *cells)
    page = wanted[start : start + ROWS_AT_ONCE]
    rows = [(_where(columns, at), _status(columns, at), _why(columns, at), *(cell(columns, at) for cell in cells.values())) for at in page]
    return RowPage(headings, rows, start, len(wanted))


def problems_of(problems: Sequence[Problem], start: int) -> RowPage:
    """Problems of rows with sheet, row, cell, value, message and suggestion; those that set rows aside come first.

    What keeps the file from being loaded stands among the questions.
    """
    found = sorted((one for one in problems if one.severity != "refuse"), key=lambda one: one.severity == "flag")
    headings = ("Sheet", "Row", "Cell", "Column", "Value", "What became of it", "What is wrong", "What to do", "Rows")
    rows = [
        (
            one.sheet or "",
            str(one.row or ""),
            one.cell or "",
            one.column or "",
            one.value or "",
            _became(one),
            one.message,
            one.suggestion.replace(f": {answer_line(one.answers)}", "") if one.answers else one.suggestion,
            str(one.count),
        )
        for one in found[start : start + ROWS_AT_ONCE]
    ]
    return RowPage(headings, rows, start, len(found))


def changes_of(changes: Sequence[dict[str, Any]], start: int) -> RowPage:
    """What a correction changes, cell by cell."""
    headings = ("Where", "What", "Before", "After")
    page = changes[start : start + ROWS_AT_ONCE]
    rows = [
        (
            one["place"],
            "whole row" if one["column"] == "row" else one["column"].replace("_", " "),
            _value(one, "before"),
            _value(one, "after"),
        )
        for one in page
    ]
    return RowPage(headings, rows, start, len(changes))


def _value(change: dict[str, Any], when: str) -> str:
    return "no such row" if change["column"] == "row" and change[when] == "none" else str(change[when])


def _became(one: Problem) -> str:
    if one.severity == "flag":
        return "flagged, counts" if KINDS[one.code].usable else "flagged, out of the means"
    return "set aside"


def _where(columns: dict[str, list[Any]], at: int) -> str:
    sheet = columns["source_sheet"][at]
    cell = columns["source_cell"][at] if "source_cell" in columns else None
    return " ".join(filter(None, [sheet, cell or f"row {columns['source_row'][at]}"]))


def _status(columns: dict[str, list[Any]], at: int) -> str:
    return STATUSES.get(columns["status"][at], str(columns["status"][at]))


def _why(columns: dict[str, list[Any]], at: int) -> str:
    """The row's reasons in words; the words of a kind that tells of rows that are no data stand as they are."""
    codes = [code for name in ("reasons", "flags") for code in (columns[name][at] or "").split(";") if code]
    return ", ".join(KINDS[code].message if code in KINDS and KINDS[code].structural else code.replace("_", " ") for code in codes)


Cell = Callable[[dict[str, list[Any]], int], str]


def _text(*names: str) -> Cell:
    return lambda columns, at: " ".join(str(columns[name][at]) for name in names if columns[name][at] is not None)


def _clock(columns: dict[str, list[Any]], at: int) -> str:
    return columns["time_read"][at] or columns["time_cut"][at] or columns["sampling_window"][at] or ""


def _as_written(columns: dict[str, list[Any]], at: int) -> str:
    """The reading as written; of a row that is no data, its cells."""
    if columns["is_structural"][at]:
        return columns["values_as_written"][at] or ""
    return _text("reading_as_written", "unit_as_written")(columns, at)


def _potential(columns: dict[str, list[Any]], at: int) -> str:
    value = columns["water_potential_mpa"][at]
    if value is None:
        return ""
    return number(value, _POTENTIAL_DECIMALS) + (" or drier" if columns["below_limit"][at] else "")


_READINGS: dict[str, Cell] = {
    "Date": _text("date"),
    "Time": _clock,
    "Section": _text("section"),
    "Site": _text("site"),
    "Taxon": _text("taxon"),
    "Plant": _text("plant"),
    "Leaf": _text("leaf"),
    "As written": _as_written,
    "Potential, MPa": _potential,
    "Remark": _text("remark"),
}
_WEATHER: dict[str, Cell] = {
    "Gauge": _text("gauge"),
    "Date": _text("date"),
    "Element": _text("element"),
    "As written": _text("value_as_written"),
    "mm": _text("amount_mm"),
    "°C": _text("temperature_c"),
}


def _others(columns: dict[str, list[Any]]) -> dict[str, Cell]:
    return {name.replace("_", " "): _text(name) for name in columns if name not in _LEFT_OUT}
