"""Who is named in a file: the words of its columns of persons, and of headers that hold somebody's name."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import cache

from ingest.cells.people import vocabulary
from ingest.contract import contract
from ingest.doubts.answers import one_line
from ingest.doubts.recipes import Recipe
from ingest.files.containers import letter
from ingest.folding import fold
from ingest.tables.columns import CERTAIN, map_columns
from ingest.tables.headers import FILLER_WORDS, OTHER_MEASUREMENTS, SUMMARY_WORDS, understand_header
from ingest.tables.tables import SheetLayout, Table

PERSONAL = ("observer", "person_detail")
_TITLE_WORD = re.compile(r"[^\W\d_]{3,}")


def people_in(layouts: Iterable[SheetLayout], recipe: Recipe, register_words: Iterable[str]) -> set[str]:
    """Every word of a name, or of an address before its @: what must not be repeated anywhere.

    Single letters are left to the scrubber, which drops initials by itself: "leaf a" is no person.
    """
    known = header_words() | vocabulary()[0] | {word for text in register_words for word in fold(text).split()}
    people: set[str] = set()
    for table in (table for layout in layouts for table in layout.tables):
        people |= _in_columns(table, recipe) | _in_headers(table, known)
    return people


def headers_told(tables: Iterable[Table], scrub: Callable[[str], str]) -> dict[str, str]:
    """How each header is told that holds a word which could be a person's: by its column's letter, "column F".

    Where that letter is another column in another table of the file, those words alone are left out.
    """
    at: dict[str, set[str]] = {}
    places: dict[str, set[str]] = {}
    for table in tables:
        for place, text in table.headers.items():
            at.setdefault(letter(place), set()).add(one_line(text))
            places.setdefault(one_line(text), set()).add(letter(place))
    told = {}
    for text, letters in places.items():
        if scrub(text) != text:
            first = min(letters)
            told[text] = f"column {first}" if letters == {first} and at[first] == {text} else scrub(text)
    return told


def _in_columns(table: Table, recipe: Recipe) -> set[str]:
    mapped = map_columns(table, recipe)
    places = [place for column in PERSONAL for place in mapped.columns.get(column, [])]
    cells = {str(cell).partition("@")[0] for place in places for row in table.data_rows if (cell := table.cell(row, place)) is not None}
    return {word for cell in cells for word in fold(cell).split() if len(word) > 1}


def _in_headers(table: Table, known: frozenset[str] | set[str]) -> set[str]:
    """Words with a capital that no header of ours has: "Zabreth's pressure (bar)" is a person's."""
    understood = [text for text in table.headers.values() if (found := understand_header(text).candidates) and found[0][1] >= CERTAIN]
    words = {word for text in understood for word in _TITLE_WORD.findall(text) if word[0].isupper()}
    return {folded for word in words for folded in fold(word).split() if folded not in known}


@cache
def header_words() -> frozenset[str]:
    """The words of which headers are made: the contract's, and those of columns that are not used."""
    phrases = [text for column in contract()["readings"].columns.values() for text in (column.name.replace("_", " "), *column.header)]
    of_contract = {word for text in phrases for word in fold(text).split()}
    return frozenset(of_contract | FILLER_WORDS | SUMMARY_WORDS | OTHER_MEASUREMENTS)
