"""Which column of a table is which: by the recipe, else by the headers; two that could both be it are asked, never guessed."""

from __future__ import annotations

import pytest

from ingest.doubts.recipes import Recipe
from ingest.files.containers import Sheet
from ingest.tables.columns import ColumnMap, map_columns
from ingest.tables.tables import Table


def mapped(headers: list[str], **columns: str) -> ColumnMap:
    table = Table(Sheet("", 1, [list(headers)]), 1, dict(enumerate(headers, start=1)), [])
    return map_columns(table, Recipe(answers={"columns": columns}))


def test_columns_of_a_plain_header_are_found_wherever_they_stand() -> None:
    found = mapped(["Pressure (bar)", "Notes", "Species", "Site", "Date"])
    assert {name: places[0] for name, places in found.columns.items()} == {"reading": 1, "remark": 2, "taxon": 3, "site": 4, "date": 5}
    assert found.problems == []


# headers, the contract column that is asked for
ASKED = [
    (["Date", "Date", "Site", "Species", "Pressure (bar)"], "date"),
    (["Date", "Site", "Site", "Species", "Pressure (bar)"], "site"),
    (["Date", "Site", "Species", "Leaf no", "Leaf no", "Pressure (bar)"], "leaf"),
]


@pytest.mark.parametrize(("headers", "column"), ASKED)
def test_two_columns_of_equal_claim_are_asked(headers: list[str], column: str) -> None:
    found = mapped(headers)
    assert column not in found.columns
    (problem,) = found.problems
    assert (problem.code, problem.severity, problem.column) == ("column_unclear", "refuse", column)
    assert f"columns.{column}=" in problem.suggestion


def test_the_surer_of_two_headers_wins_and_the_other_is_said_to_be_unused() -> None:
    found = mapped(["Date", "Site", "Species", "Leaf", "Sample no in the box", "Pressure (bar)"])
    assert found.columns["leaf"] == [4]
    assert found.unused == ["Sample no in the box"]


def test_several_columns_of_persons_and_remarks_are_all_taken() -> None:
    found = mapped(["Observer", "Student name", "E-mail", "Notes", "Anything odd?", "Pressure (bar)"])
    assert (found.columns["observer"], found.columns["remark"], found.columns["person_detail"]) == ([1, 2], [4, 5], [3])


def test_several_columns_of_readings_are_all_kept_to_be_compared_by_their_numbers() -> None:
    assert sorted(mapped(["Date", "Pressure (bar)", "Water potential (MPa)"]).columns["reading"]) == [2, 3]


def test_computed_columns_are_not_used() -> None:
    found = mapped(["Date", "Pressure (bar)", "Mean pressure (bar)", "n"])
    assert found.columns["reading"] == [2]
    assert set(found.unused) == {"Mean pressure (bar)", "n"}


def test_the_recipe_s_word_stands_above_the_headers() -> None:
    found = mapped(["Date", "Druck", "Pressure (bar)"], reading="druck")
    assert (found.columns["reading"][0], found.why["reading"]) == (2, "by the recipe")
