"""A column headed by a number sign counts rows or leaves, as its numbers say; a column of chambers is asked where it can be none."""

from __future__ import annotations

import pytest

from ingest.home import Home
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, check, csv_bytes, found_of, loaded_rows, refusals

pytestmark = pytest.mark.usefixtures("opened_here")

LEAFLESS = [name for name in HEADERS if name != "Leaf"]
PLANTLESS = [name for name in LEAFLESS if name != "Plant"]


def numbered(sign: str, numbers: list[int], names: list[str] = LEAFLESS) -> bytes:
    """The true rows with a column of numbers under a sign before them."""
    at = [HEADERS.index(name) for name in names]
    return csv_bytes([[str(number), *(row[place] for place in at)] for number, row in zip(numbers, TRUE_ROWS, strict=True)], [sign, *names])


@pytest.mark.parametrize("sign", ["#", "No.", "Nr", "Nr.", "№"])
def test_numbers_that_begin_anew_in_each_plant_number_its_leaves(sign: str, home: Home) -> None:
    checked = check(home, numbered(sign, [1, 2, 1, 1, 1, 1, 1]))
    assert [row["leaf"] for row in loaded_rows(checked)] == ["1", "2", "1", "1", "1", "1", "1"]
    assert checked.receipt.tables[0].columns["leaf"]["why"] == "its numbers begin anew in each plant"


@pytest.mark.parametrize("numbers", [[1, 2, 3, 4, 5, 6, 7], [1, 2, 3, 5, 8, 9, 12], [7, 6, 5, 4, 3, 2, 1]])
@pytest.mark.parametrize("sign", ["#", "No."])
def test_numbers_that_run_on_over_the_table_number_its_rows(sign: str, numbers: list[int], home: Home) -> None:
    checked = check(home, numbered(sign, numbers))
    assert {row["leaf"] for row in loaded_rows(checked)} == {None}
    assert sign in checked.receipt.tables[0].unused


@pytest.mark.parametrize(
    ("numbers", "names", "choices"),
    [
        ([3, 1, 2, 2, 3, 1, 1], LEAFLESS, ("leaf=No.", "leaf=no column")),
        ([1, 2, 1, 1, 1, 1, 2], PLANTLESS, ("leaf=No.", "plant=No.", "leaf=no column")),
    ],
)
def test_other_numbers_are_asked_with_the_choices_that_there_are(
    numbers: list[int], names: list[str], choices: tuple[str, ...], home: Home
) -> None:
    asked = check(home, numbered("No.", numbers, names))
    assert refusals(asked) == ["numbers_unclear"]
    assert asked.receipt.open_questions()[0].answers == tuple(f"columns.{choice}" for choice in choices)
    for choice in choices:
        rows = loaded_rows(check(home, numbered("No.", numbers, names), "class.csv", f"columns.{choice}"))
        column, said = choice.split("=")
        assert [row[column] for row in rows] == [None if said == "no column" else str(number) for number in numbers]
    sign = check(home, numbered("#", numbers, names)).receipt.open_questions()[0].answers
    assert sign[0] == "columns.leaf=column A"
    assert loaded_rows(check(home, numbered("#", numbers, names), "class.csv", sign[0]))[0]["leaf"] == str(numbers[0])


def test_a_number_sign_in_a_table_with_a_column_for_each_leaf_is_not_asked_as_readings(home: Home) -> None:
    names = [name for name in HEADERS[:8] if name != "Leaf"]
    rows = [[str(at), *row[:6], row[7], "18", "19"] for at, row in enumerate(TRUE_ROWS, start=1)]
    checked = check(home, csv_bytes(rows, ("#", *names, "Leaf 1 (bar)", "Leaf 2 (bar)")))
    assert len(loaded_rows(checked)) == 14


def serials(different: int, name: str) -> bytes:
    """Readings of which each names a chamber of its own, as a column of serial numbers or of names does."""
    rows = [(*TRUE_ROWS[0][:5], str(at), *TRUE_ROWS[0][6:9], f"{name} {at}") for at in range(different)]
    return csv_bytes(rows, (*HEADERS[:9], "Chamber"))


@pytest.mark.parametrize("name", ["QX", "Quilmab Zabreth"])
def test_a_thousand_different_chambers_are_one_question_and_no_flags(name: str, home: Home) -> None:
    data = serials(1000, name)
    asked = check(home, data)
    assert refusals(asked) == ["chambers_hardly_known"]
    assert [problem.code for problem in asked.receipt.problems] == ["chambers_hardly_known"]
    (question,) = asked.receipt.questions()
    assert question.answers[0] == "columns.chamber=no column"
    assert len(asked.receipt.as_text().splitlines()) < 40
    assert "quilmab" not in str(asked.receipt.as_dict()).casefold() + str(asked.columns).casefold()
    settled = check(home, data, "class.csv", question.answers[0])
    assert len(loaded_rows(settled)) == 1000
    assert not [problem for problem in settled.receipt.problems if problem.code == "chamber_unknown"]


def test_a_few_unknown_chambers_are_flagged_each_as_before(home: Home) -> None:
    checked = check(home, serials(20, "grey"))
    assert found_of(checked, "chamber_unknown").answers
    assert not checked.receipt.is_refused


def test_a_student_number_as_a_tag_is_kept_as_a_code_that_tells_plants_apart(home: Home) -> None:
    numbers = ("9041227", "9041338", "9041227")
    rows = [(*TRUE_ROWS[0][:5], number, str(leaf), *TRUE_ROWS[0][7:]) for leaf, number in enumerate(numbers)]
    checked = check(home, csv_bytes(rows))
    plants = [row["plant"] for row in loaded_rows(checked)]
    assert plants[0] == plants[2] != plants[1]
    assert not [number for number in numbers if number in f"{checked.columns} {checked.receipt.as_dict()} {checked.receipt.as_text()}"]
