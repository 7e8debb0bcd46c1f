"""The shapes in which classes hand in their readings: columns, words, titles and notes, laid out as sheets of cells."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, time
from typing import Any, Literal

from demo_years.readings import Reading
from demo_years.vocabulary import Vocabulary

Cell = str | int | float | date | time | None
Truth = dict[str, Any]  # one reading as a careful reader of its file understands it


@dataclass(frozen=True)
class ClassFile:
    """One file as a class hands it in.

    `columns` pairs the class's header with the field that it holds; `sites` and `taxa` name the column of the register
    whose words the class uses; `bound` says how an endpoint that was not reached is written.
    """

    file: str
    semester: str
    sections: str
    chamber: str
    columns: tuple[tuple[str, str], ...]
    titles: tuple[str, ...] = ()
    quantity: Literal["pressure", "potential"] = "pressure"
    section_by: Literal["title", "sheet", "column"] = "column"
    section_word: str = "{K}"
    sheet: str = "Sheet1"
    dates: Literal["iso", "us", "words", "real"] = "iso"
    times: Literal["12h", "24h", "real"] = "24h"
    sites: str = "site_name"
    taxa: str = "scientific_name"
    bound: Literal["more_than", "endpoint"] = "more_than"
    minus: str = "-"
    unit_in_cell: bool = False
    blank_between_sites: bool = False
    header_again: bool = False
    notes: tuple[str, ...] = ()
    encoding: str = "utf-8"
    replaces: str | None = None
    swapped_sites: tuple[str, str] | None = None


@dataclass
class Sheet:
    """One sheet: its name and its rows of cells."""

    name: str
    rows: list[list[Cell]]


@dataclass(frozen=True)
class Placed:
    """A reading with the place it has in its file: sheet and row, from 1."""

    sheet: str
    row: int
    reading: Reading
    written: str


WEEKDAYS = {"a": "Tuesday", "b": "Thursday", "c": "Friday"}
STATE_WORDS = {"green": "green", "senesced": "senesced"}
ENDPOINT_WORDS = {"seen": "seen", "not_reached": "not reached", "doubtful": "doubtful"}


def section_words(section: str) -> str:
    """What most classes call a section."""
    return f"Section {section.upper()}"


def section_word(shape: ClassFile, section: str) -> str:
    """What the class calls a section."""
    return shape.section_word.format(K=section.upper(), weekday=WEEKDAYS[section])


def lay_out(shape: ClassFile, readings: Mapping[str, list[Reading]], words: Vocabulary) -> tuple[list[Sheet], list[Placed]]:
    """The sheets of a file, and where each reading stands in them; `readings` by section."""
    sheets: list[Sheet] = []
    placed: list[Placed] = []
    groups = [[section] for section in readings] if shape.section_by == "sheet" else [list(readings)]
    for group in groups:
        name = section_word(shape, group[0]) if shape.section_by == "sheet" else shape.sheet
        rows: list[list[Cell]] = [[title] for title in shape.titles]
        if shape.titles:
            rows.append([])
        rows.append([header for header, _ in shape.columns])
        for section in group:
            placed += [Placed(name, *place) for place in _add_section(shape, rows, readings[section], words)]
        _add_notes(shape, rows, [one for section in group for one in readings[section]])
        sheets.append(Sheet(name, rows))
    return sheets, placed


def _add_section(
    shape: ClassFile, rows: list[list[Cell]], readings: list[Reading], words: Vocabulary
) -> Iterator[tuple[int, Reading, str]]:
    """Append a section's rows; for each the row's number, its reading and the reading's cell as text."""
    before: Reading | None = None
    for one in readings:
        if before is not None and shape.blank_between_sites and before.visit.site != one.visit.site:
            rows.append([])
        if before is not None and shape.header_again and before.visit.window != one.visit.window:
            rows.append([header for header, _ in shape.columns])
        cells = [FIELDS[field](shape, one, words) for _, field in shape.columns]
        rows.append(cells)
        value = cells[[field for _, field in shape.columns].index("reading")]
        yield len(rows), one, plain_text(value)
        before = one


def _add_notes(shape: ClassFile, rows: list[list[Cell]], readings: list[Reading]) -> None:
    """Below the table: a row with the average of the readings where the notes ask for one, and the notes."""
    if shape.notes:
        rows.append([])
    for note in shape.notes:
        if note != "Average":
            rows.append([note])
            continue
        numbers = [float(one.pressure) for one in readings if one.pressure]
        mean = round(sum(numbers) / len(numbers), 2) * (-1 if shape.quantity == "potential" else 1)
        place = [field for _, field in shape.columns].index("reading")
        rows.append(["Average", *[None] * (place - 1), mean])


def _date(shape: ClassFile, one: Reading, _: Vocabulary) -> Cell:
    day = one.visit.day
    if shape.dates == "real":
        return day
    return {"iso": day.isoformat(), "us": f"{day.month}/{day.day}/{day.year}", "words": f"{day:%b} {day.day}, {day.year}"}[shape.dates]


def _clock(shape: ClassFile, clock: time) -> Cell:
    if shape.times == "real":
        return clock
    if shape.times == "24h":
        return f"{clock:%H:%M}"
    return f"{(clock.hour - 1) % 12 + 1}:{clock:%M} {'AM' if clock.hour < 12 else 'PM'}"


def _reading(shape: ClassFile, one: Reading, _: Vocabulary) -> Cell:
    """The reading as written: a number in a workbook, text with a mark for a bound or with its unit in the cell."""
    if not one.pressure:
        return None
    text = one.pressure if shape.quantity == "pressure" else f"{shape.minus}{one.pressure}"
    if one.endpoint == "not_reached" and shape.bound == "more_than":
        text = f"{'<' if shape.quantity == 'potential' else '>'}{text}"
    elif not shape.unit_in_cell and shape.minus == "-" and is_workbook(shape):
        number = float(text)
        return int(number) if number.is_integer() else number
    return f"{text} {one.chamber.unit}" if shape.unit_in_cell else text


def is_workbook(shape: ClassFile) -> bool:
    """Whether the file keeps numbers, dates and times as such."""
    return shape.file.endswith((".xlsx", ".ods"))


def _number(shape: ClassFile, number: int) -> Cell:
    return number if is_workbook(shape) else str(number)


Field = Callable[[ClassFile, Reading, Vocabulary], Cell]
FIELDS: dict[str, Field] = {
    "semester": lambda shape, one, words: one.visit.section.semester,
    "section": lambda shape, one, words: section_word(shape, one.visit.section.section),
    "date": _date,
    "time_cut": lambda shape, one, words: _clock(shape, one.visit.time_cut),
    "time_read": lambda shape, one, words: _clock(shape, one.visit.time_read),
    "window": lambda shape, one, words: one.visit.window,
    "site": lambda shape, one, words: words.site(one.visit.site, shape.sites),
    "taxon": lambda shape, one, words: words.taxon(one.visit.taxon, shape.taxa),
    "plant": lambda shape, one, words: _number(shape, one.visit.plant),
    "leaf": lambda shape, one, words: _number(shape, one.visit.leaf),
    "observer": lambda shape, one, words: one.visit.observer.name,
    "initials": lambda shape, one, words: one.visit.observer.initials,
    "email": lambda shape, one, words: one.visit.observer.email,
    "chamber": lambda shape, one, words: words.chamber_alias(one.chamber.code),
    "reading": _reading,
    "unit": lambda shape, one, words: one.chamber.unit,
    "endpoint": lambda shape, one, words: ENDPOINT_WORDS[one.endpoint],
    "leaf_state": lambda shape, one, words: STATE_WORDS[one.leaf_state],
    "remark": lambda shape, one, words: one.remark or None,
}


def plain_text(cell: Cell) -> str:
    """A cell as a text file shows it."""
    return "" if cell is None else str(cell)
