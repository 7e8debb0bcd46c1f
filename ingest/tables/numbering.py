"""A column headed by nothing but a number sign ("#", "No.", "Nr"): its numbers say whether it counts rows, or leaves within a plant."""

from __future__ import annotations

from itertools import pairwise

from ingest.doubts.answers import one_line
from ingest.doubts.problems import problem
from ingest.files.containers import letter
from ingest.folding import fold
from ingest.tables.column_cells import text_of
from ingest.tables.columns import NO_COLUMN, ColumnMap
from ingest.tables.tables import Table

_SIGNS = {"#", "##", "№", "n°", "nº"}
_WORDS = {"no", "nr", "num"}  # not "number", which may be a student's
_OF_PLANT = ("date", "site", "taxon", "plant", "sampling_window")


def is_number_sign(header: str) -> bool:
    """True for a header that says only that numbers stand below it."""
    return header.strip().casefold() in _SIGNS or fold(header) in _WORDS


def whole_numbers(table: Table, place: int) -> list[int] | None:
    """The whole numbers of a column by data row; None where a cell holds anything else."""
    texts = [text_of(cell).removesuffix(".") for cell in table.column(place)]
    return [int(text) for text in texts] if texts and all(text.isdecimal() and len(text) < 10 for text in texts) else None


def counts_rows(numbers: list[int]) -> bool:
    """True where the numbers run on over the table: each of the next row is higher, or they are 1 to n in another order."""
    return all(before < after for before, after in pairwise(numbers)) or sorted(numbers) == list(range(1, len(numbers) + 1))


def counts_leaves(table: Table, numbers: list[int], places: dict[str, int]) -> bool:
    """True where the numbers begin anew with 1 in each plant; `places` are the columns that tell plants apart."""
    last: dict[tuple[object, ...], int] = {}
    for row, number in zip(table.data_rows, numbers, strict=True):
        plant = tuple(_cell(table, row, column, places.get(column)) for column in _OF_PLANT)
        if number not in (1, last.get(plant, 0) + 1):
            return False
        last[plant] = number
    return True


def settle_numbers(table: Table, mapped: ColumnMap) -> None:
    """Take such a column for the leaf's number where its numbers begin anew in each plant, leave it where they run on, else ask."""
    missing = [column for column in ("leaf", "plant") if column not in mapped.columns and column not in mapped.barred]
    places = [place for place, text in table.headers.items() if is_number_sign(text) and text in mapped.unused]
    if not missing or len(places) != 1 or mapped.barred & {"leaf", "plant"}:
        return
    place, header = places[0], table.headers[places[0]]
    numbers = whole_numbers(table, place)
    if numbers is None or counts_rows(numbers):
        return
    own = {column: found[0] for column, found in mapped.columns.items()}
    if missing == ["leaf"] and counts_leaves(table, numbers, own):
        mapped.columns["leaf"], mapped.why["leaf"] = [place], "its numbers begin anew in each plant"
        mapped.unused.remove(header)
        return
    said = one_line(header) if fold(header) else f"column {letter(place)}"
    answers = [*(f"columns.{column}={said}" for column in missing), f"columns.{missing[0]}={NO_COLUMN}"]
    where = {"sheet": table.sheet.name, "row": table.header_row, "column": header, "value": repr(header)}
    mapped.problems.append(problem("numbers_unclear", place=where, count=len(numbers), answers=answers))


def _cell(table: Table, row: int, column: str, place: int | None) -> object:
    cell = table.cell(row, place) if place else None
    own = table.constants.get(column) if cell is None else cell
    return table.given.get(column, {}).get(row, own)
