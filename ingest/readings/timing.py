"""Place each row in its day: clock times, and the sampling window as the class wrote it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, time

from ingest.cells.clock import clock_of_decimal, clocks_as_decimals, parse_time
from ingest.cells.dates import clock_in
from ingest.cells.sun import window_named
from ingest.checked.rows import Rows
from ingest.checked.understood import Reading, Understood
from ingest.doubts.problems import problem
from ingest.files.containers import CellValue
from ingest.folding import fold
from ingest.tables.column_cells import cells_of, each_once, stands_somewhere, text_of
from ingest.tables.columns import ColumnMap
from ingest.tables.tables import Table

SENDING_WORDS = {"timestamp", "submitted", "sent", "entered", "completed", "created", "modified", "updated"}
HALF_HEADERS = {"am pm", "ampm", "am or pm", "a m p m", "a m or p m"}
HALVES = {"am": "am", "pm": "pm", "a m": "am", "p m": "pm", "a": "am", "p": "pm"}
LAST_SMALL_HOUR = 2  # nobody reads a leaf at one or two in the morning
LAST_SPLIT_HOUR = 3
SOON_MINUTES = 120
_HALF_MARKED = re.compile(r"\d\s*[ap]\.?\s?m?\b", re.IGNORECASE)


def place_times(table: Table, mapped: ColumnMap, rows: Rows, at: Sequence[int], reading: Reading, said: Understood) -> None:
    """Fill time_cut, time_read and the window as written; hours 1 to 7 without a.m. or p.m. are decided or asked."""
    halves = _halves(table, mapped)
    words = _windows_in_words(table, mapped, rows, at, reading, halves)
    for name in ("time_cut", "time_read"):
        cells = _clocks_in_dates(table, mapped, said) if name == "time_read" else cells_of(table, mapped, name)
        if clocks_as_decimals(cells):
            cells = [clock_of_decimal(cell) for cell in cells]
            said.notes.append(f"{name}: numbers such as {text_of(cells[0])} are taken for hours and minutes")
        cells = [_with_half(cell, half) for cell, half in zip(cells, halves, strict=True)]
        _place_clocks(table, mapped, name, cells, words, rows, at, reading, said)


def _place_clocks(
    table: Table,
    mapped: ColumnMap,
    name: str,
    cells: Sequence[CellValue],
    words: Sequence[str | None],
    rows: Rows,
    at: Sequence[int],
    reading: Reading,
    said: Understood,
) -> None:
    parsed = each_once(cells, _time_unless_window)
    answer = reading.recipe.get("clock.hours")
    is_24h = any(
        found and found[0].hour > 12 and not (isinstance(cell, str) and _HALF_MARKED.search(cell))
        for cell, found in zip(cells, parsed, strict=True)
    )
    unclear: list[str] = []
    values: list[str | None] = []
    before: tuple[date | None, int] = (None, 0)
    for index, cell, found, window in zip(at, cells, parsed, words, strict=True):
        if found is None:
            values.append(None)
            if cell is not None and not (isinstance(cell, str) and window_named(cell)):
                rows.mark(index, "time_unreadable", name, text_of(cell))
            continue
        clock, is_certain = found
        day = rows.columns["date"][index]
        half = "24h" if is_certain else _half_by_word(window) or answer
        if half is None and is_24h and not _may_be_afternoon(clock, day, before):
            half = "24h"
        if half is None:
            unclear.append(text_of(cell))
        is_later = half in ("afternoon", None) or (half == "split" and clock.hour <= LAST_SPLIT_HOUR)
        clock = clock.replace(hour=clock.hour + 12) if is_later and not is_certain else clock
        before = (day, clock.hour * 60 + clock.minute)
        values.append(f"{clock:%H:%M}")
    rows.put(name, at, values)
    if unclear:
        column = table.headers[mapped.place(name) or mapped.place("date") or next(iter(table.headers))]
        place = {"sheet": table.sheet.name, "column": column, "value": unclear[0]}
        answers = ("clock.hours=afternoon", "clock.hours=24h", "clock.hours=split")
        said.questions.append(problem("clock_unclear", place=place, count=len(unclear), answers=answers))


def _may_be_afternoon(clock: time, day: date | None, before: tuple[date | None, int]) -> bool:
    """True for 1:35 in a column that also writes 13:20: a small hour, or one that follows the row before it, twelve hours on."""
    later = (clock.hour + 12) * 60 + clock.minute
    follows = before[0] == day and before[1] >= 12 * 60 and 0 <= later - before[1] <= SOON_MINUTES
    return clock.hour <= LAST_SMALL_HOUR or follows


def _halves(table: Table, mapped: ColumnMap) -> list[str | None]:
    """The half of the day of each row, where a column says AM or PM beside the clock."""
    places = [place for place, text in table.headers.items() if fold(text) in HALF_HEADERS]
    place = places[0] if places else mapped.place("sampling_window")
    if place is None or not any(stands_somewhere(table, mapped, name) for name in ("time_cut", "time_read")):
        return [None] * len(table.data_rows)
    return [HALVES.get(fold(cell)) if isinstance(cell, str) else None for cell in table.column(place)]


def _with_half(cell: CellValue, half: str | None) -> CellValue:
    if half is None or cell is None or (isinstance(cell, str) and _HALF_MARKED.search(cell)):
        return cell
    found = parse_time(cell)
    return f"{found[0]:%H:%M} {half}" if found else cell


def _clocks_in_dates(table: Table, mapped: ColumnMap, said: Understood) -> list[CellValue]:
    """The clock times of the readings; those beside the dates in their cells, where there is no column of times."""
    place = mapped.place("date")
    has_times = any(cell is not None for name in ("time_cut", "time_read") for cell in cells_of(table, mapped, name))
    if has_times or place is None or SENDING_WORDS & set(fold(table.headers[place]).split()):
        return cells_of(table, mapped, "time_read")
    cells = [clock_in(cell) for cell in table.column(place)]
    if any(cell is not None for cell in cells):
        said.notes.append(f"time_read: the clock times within the cells of {table.headers[place]!r}")
    return cells


def _time_unless_window(cell: CellValue) -> tuple[time, bool] | None:
    return None if cell is None or (isinstance(cell, str) and window_named(cell)) else parse_time(cell)


def _half_by_word(window: str | None) -> str | None:
    """An hour from 1 to 7 in a row that says midday is p.m., in one that says predawn a.m.: the other cannot be."""
    return {"predawn": "24h", "morning": "24h", "midday": "afternoon", "afternoon": "afternoon"}.get(window or "")


def _windows_in_words(
    table: Table, mapped: ColumnMap, rows: Rows, at: Sequence[int], reading: Reading, halves: Sequence[str | None]
) -> list[str | None]:
    constant = reading.recipe.get("constants.sampling_window")
    titled = constant or _window_titled([*table.titles, table.sheet.name]) or _window_titled(table.page_headings)
    cells = zip(at, cells_of(table, mapped, "sampling_window"), cells_of(table, mapped, "time_read"), halves, strict=True)
    words: list[str | None] = []
    for index, cell, clock, half in cells:
        written = "" if half else text_of(cell) or (text_of(clock) if isinstance(clock, str) and window_named(clock) else "")
        named = window_named(written) if written else None
        if written and named is None:
            rows.mark(index, "window_unreadable", "sampling_window", written)
        words.append(named or (None if written else titled))
    rows.put("sampling_window", at, words)
    return words


def _window_titled(titles: Sequence[str]) -> str | None:
    """The window that the titles name, where they name one only: "Midday readings, Section B"."""
    found = {
        window
        for title in titles
        for word in re.findall(r"pre-?\s?dawn|mid-?\s?day", title, re.IGNORECASE)
        if (window := window_named(word))
    }
    return next(iter(found)) if len(found) == 1 else None
