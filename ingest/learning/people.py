"""Whose score it is: one spelling for each student, from which the keyed pseudonym is made; and who is written nearly alike."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import combinations

from ingest.folding import fold
from ingest.learning.headers import STUDENT
from ingest.learning.tables import LearningTable
from ingest.tables.column_cells import text_of

NEARLY = 90.0  # of 100: a letter of ten
SHORTEST_NEARLY = 6
MOST_COMPARED = 2_000  # students of one file; more are no class


def one_name(text: str) -> str:
    """A student's name or code as it is the same in every file: "Quist, Ola" is "ola quist", and "S-014" is "s014"."""
    last, comma, first = text.partition(",")
    folded = fold(f"{first} {last}" if comma and first.strip() and "," not in first else text)
    return folded.replace(" ", "") if any(map(str.isdigit, folded)) else folded


def students_of(table: LearningTable) -> tuple[list[str], str | None]:
    """Each data row's student ('' where none is written), and the column that was used.

    A code goes before a name, since it is spelt in one way; a name goes before an address. A column that only counts the rows is no code.
    """
    columns = {role: [_cells(table, place) for place in table.places(role)] for role in STUDENT}
    joined = [" ".join(filter(None, parts)) for parts in zip(*(columns["first_name"] + columns["last_name"]), strict=True)]
    named = [*columns["student"][:1], *([joined] if columns["first_name"] or columns["last_name"] else []), *columns["person_detail"][:1]]
    codes = [cells for cells in columns["student_code"] if not (named and _is_count(cells))]
    used = [*codes[:1], *named]
    found = [one_name(next(filter(None, cells), "")) for cells in zip(*used, strict=True)] if used else [""] * len(table.table.data_rows)
    role = next((role for role in STUDENT if table.places(role) and (role != "student_code" or codes)), None)
    return found, role


def _cells(table: LearningTable, place: int) -> list[str]:
    return [text_of(cell) for cell in table.table.column(place)]


def _is_count(cells: Sequence[str]) -> bool:
    return [cell for cell in cells if cell] == [str(number) for number in range(1, len(cells) + 1)]


def people_named(tables: Iterable[LearningTable]) -> frozenset[str]:
    """Every word of a student's name or address, and every code: what must not be repeated anywhere."""
    found: set[str] = set()
    for table in tables:
        for place in table.places(*STUDENT):
            for text in _cells(table, place):
                found.update(word for word in fold(text.partition("@")[0]).split() if len(word) > 1)
    return frozenset(found)


def nearly_alike(taken: Mapping[str, set[tuple[str | None, ...]]]) -> Iterator[tuple[str, str]]:
    """Pairs of students who may be one: written much alike, and never both in the same test.

    Args:
        taken: each student and the tests that he or she took; who stands twice in one list is two.
    """
    from rapidfuzz import fuzz

    names = sorted(taken)[:MOST_COMPARED]
    for one, other in combinations(names, 2):
        if taken[one] & taken[other]:
            continue
        if any(map(str.isdigit, one + other)):
            alike = re.sub(r"(?<!\d)0+", "", one) == re.sub(r"(?<!\d)0+", "", other)
        else:
            words, more = sorted((set(one.split()), set(other.split())), key=len)
            is_part = len(words) > 1 and words <= more
            alike = is_part or (min(len(one), len(other)) >= SHORTEST_NEARLY and fuzz.ratio(one, other) >= NEARLY)
        if alike:
            yield one, other
