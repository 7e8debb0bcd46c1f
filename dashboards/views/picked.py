"""What stands behind a mark: its readings, each with the file, sheet and cell that it came from, and the receipts of those files."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from dashboards.answer import Picked, Table
from dashboards.words import GROUPS, WINDOWS, count, day_words, few, is_missing, listed, number, semester_words, sentence

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices

MOST_READINGS = 200
"""Readings that are listed; the rest are counted."""

_HEADINGS = {
    "where": "Cell",
    "as_written": "As written",
    "value": "MPa",
    "flags": "Flags",
    "who": "Plant",
    "when": "Read",
    "observer": "Observer",
}


def parts(pick: str) -> tuple[str, str]:
    """The functional group and the site of a pick."""
    group, _, site = pick.partition(".")
    return group, site


def behind(readings: pd.DataFrame | None, receipts: pd.DataFrame | None, mark: pd.DataFrame, choices: Choices, decimals: int) -> Picked:
    """The readings behind a mark, as far as the role's file holds them.

    Args:
        readings: one row per reading with `n_all` and `n_usable` of the mark; None where the file holds summaries alone.
        receipts: one row per file that the readings came from; None where the file holds none.
        mark: the mark's own row of the summaries, with its `sentence`.
        choices: what the reader chose; `pick` names group and site, the semester is the chosen one.
        decimals: decimals in MPa that the gauges support.
    """
    group, site = parts(choices.pick)
    name = site if mark.empty else str(mark["site_name"].iloc[0])
    said = "" if mark.empty or is_missing(mark["sentence"].iloc[0]) else sentence(str(mark["sentence"].iloc[0])).rstrip(".") + "."
    title = f"{sentence(GROUPS.get(group, group))}, {name}, {semester_words(choices.semester)} {WINDOWS.get(choices.window, '')}"
    if readings is None:
        return Picked(title, f"{said} This role’s file holds summaries alone; single readings are not in it.".strip())
    if readings.empty:
        return Picked(title, "There are no readings behind this mark.")
    n_all, n_usable = int(readings["n_all"].iloc[0]), int(readings["n_usable"].iloc[0])
    text = f"{count(n_all, 'reading')}" + (f", {n_usable} of which count" if n_usable < n_all else "") + "."
    if n_all > len(readings):
        text += f" The first {len(readings)} are listed; ask for all of them in the view Ask."
    if receipts is None:
        n_files = int(readings["upload_id"].nunique())
        text += f" They came in {few(n_files)} file{'s' if n_files > 1 else ''}; its name and receipt are the instructor’s to see."
    told = [] if receipts is None else [(_receipt(row), f"uploads?{_address(row, choices)}") for row in receipts.itertuples()]
    return Picked(title, f"{said} {text}".strip(), told, _readings(readings, decimals))


def _readings(readings: pd.DataFrame, decimals: int) -> Table:
    rows = list(readings.itertuples())
    shown = readings.assign(
        where=[_words(row.source_sheet, row.source_cell or f"row {row.source_row}", by=", ") for row in rows],
        as_written=[_words(row.reading_as_written, row.unit_as_written) for row in rows],
        value=[number(row.water_potential_mpa, decimals) + (" or drier" if row.below_limit else "") for row in rows],
        who=[_plant(row.scientific_name, row.plant, row.leaf) for row in rows],
        when=[_words(f"{row.date:%Y-%m-%d}", row.time_read) for row in rows],
        flags=[_flags(row.flags, is_usable=bool(row.usable)) for row in rows],
    )
    headings = {column: words for column, words in _HEADINGS.items() if column in shown}
    return Table("Readings behind the mark, in the order of their files", shown, headings, frozenset({"value"}))


def _words(*parts: object, by: str = " ") -> str:
    """What is known of some parts, in one text."""
    return by.join(str(part) for part in parts if not is_missing(part) and part != "")


def _plant(name: object, plant: object, leaf: object) -> str:
    return ", ".join([str(name), *(f"{word} {code}" for word, code in (("plant", plant), ("leaf", leaf)) if not is_missing(code))])


def _flags(flags: object, *, is_usable: bool) -> str:
    said = listed(code.replace("_", " ") for code in str(flags).split(";") if code) if isinstance(flags, str) else ""
    return said if is_usable else f"{said or 'flagged'}: does not count"


def _receipt(row: Any) -> str:
    parts = ((row.rows_accepted, "accepted"), (row.rows_flagged, "flagged"), (row.rows_set_aside, "set aside"))
    rows = " + ".join(f"{int(n)} {words}" for n, words in parts)
    received = dt.date.fromisoformat(str(row.received_at)[:10])
    return f"{row.file_name} ({row.upload_id}), received on {day_words(received)}: {count(int(row.rows_in_file), 'row')} = {rows}."


def _address(row: Any, choices: Choices) -> str:
    return urlencode({"semester": choices.semester, "upload": row.upload_id})
