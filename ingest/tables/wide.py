"""Wide tables: a column of readings for each leaf, plant, site, species, window or day, made tables of one reading a row."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from ingest.cells.numbers import parse_reading
from ingest.doubts.problems import Problem, problem
from ingest.tables.headers import is_summary_header, understand_header
from ingest.tables.labels import Labels
from ingest.tables.numbering import is_number_sign, whole_numbers
from ingest.tables.tables import Table

_INITIALS = re.compile(r"[A-Z]\.? ?[A-Z]\.?( ?[A-Z]\.?)?")
UNIT_ALONE = 40  # the score of a header that names nothing but a unit of pressure


def widened(table: Table, labels: Labels) -> list[Table]:
    """A table for each column of readings where the headers stand for leaves, sites, plants or windows."""
    wide: dict[int, Mapping[str, str]] = {}
    for place, text in table.headers.items():
        found = labels.of_header(text)
        if found and not is_summary_header(text) and holds_readings(table, place):
            wide[place] = found
    kinds = {tuple(sorted(found)) for found in wide.values()}
    if not wide or len(kinds) != 1 or len({tuple(found.items()) for found in wide.values()}) != len(wide):
        return [table]
    if len(wide) == 1 and understand_header(table.headers[next(iter(wide))]).best != "reading":
        return [table]
    values = {kind: {found[kind] for found in wide.values()} for kind in kinds.pop()}
    beside = {place: labels.beside(text)[0] for place, text in table.headers.items() if place not in wide}
    owned = {place: found for place, found in beside.items() if any(found.get(kind) in named for kind, named in values.items())}
    base = {place: text for place, text in table.headers.items() if place not in wide and place not in owned}
    table.questions.extend(_unknown_labels(table, base, next(iter(values)), labels))
    tables, leaves = [], frozenset(found["leaf"] for found in wide.values() if "leaf" in found)
    for place, found in wide.items():
        own = {other: table.headers[other] for other, label in owned.items() if label.items() <= found.items()}
        given = {column: dict(of_rows) for column, of_rows in table.given.items()}
        headers = dict(sorted((base | own | {place: table.headers[place]}).items()))
        tables.append(
            replace(table, headers=headers, constants={**table.constants, **found}, given=given, reading_place=place, leaves=leaves)
        )
    return tables


def readers_asked(table: Table, labels: Labels) -> list[Problem]:
    """A question for each of several columns of readings headed by initials: each of them read a leaf of its own, or the same."""
    initialled = {place: text for place, text in table.headers.items() if _INITIALS.fullmatch(text.strip())}
    asked = _unknown_labels(table, initialled, "leaf", labels)
    return asked if len(asked) > 1 else []


def _unknown_labels(table: Table, headers: Mapping[int, str], kind: str, labels: Labels) -> list[Problem]:
    """A question for each column that holds readings beside those of a wide table, and whose header names nothing known."""
    asked = []
    for place, text in headers.items():
        candidates = understand_header(text).candidates
        is_unknown = not candidates or candidates[0] == ("reading", UNIT_ALONE)
        is_number = is_number_sign(text) and whole_numbers(table, place) is not None  # of rows, leaves or plants: told later
        if is_unknown and not is_number and not is_summary_header(text) and holds_readings(table, place):
            where: dict[str, object] = {"sheet": table.sheet.name, "row": table.header_row, "column": kind}
            where["value"] = labels.shown(text, f"cell {table.address(table.header_row, place)}")
            if answers := labels.answers(kind, text):
                asked.append(problem("label_unknown", place=where, answers=answers))
    return asked


def holds_readings(table: Table, place: int) -> bool:
    """True where most filled cells of a column are numbers of a reading's kind, not dates, words or whole small numbers of a count."""
    cells = [cell for row in table.data_rows if (cell := table.cell(row, place)) is not None]
    parsed = [parse_reading(cell, None) for cell in cells]
    values = [found for found in parsed if found is not None and (found.value is not None or found.is_missing or found.is_not_reached)]
    return bool(cells) and len(values) >= 0.6 * len(cells) and any(found.value is not None for found in values)
