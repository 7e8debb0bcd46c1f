"""What a file of scores or levels leaves open: asked, and settled by one answer."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from ingest.home import Home
from tests.ingest.small_class import LEVELS, Row, check, csv_of, xlsx_of
from tests.ingest.small_lab import every_row, refusals
from tests.ingest.test_learning_checks import FIRST, HEAD

pytestmark = pytest.mark.usefixtures("opened_here")


# the file's name, its rows, the code of the question, an answer, and what it settles
HERE = "wp_quiz pre 2024-fall.csv"
ONE = "Ola Quist"
QUESTIONS: list[tuple[str, str, Sequence[Row], str, str, tuple[str, object]]] = [
    (
        "semester",
        "wp_quiz pre.csv",
        [HEAD, FIRST],
        "semester_missing_everywhere",
        "constants.semester=2024-fall",
        ("semester", "2024-fall"),
    ),
    (
        "unknown semester",
        HERE,
        [(*HEAD, "Term"), (*FIRST, "Fall 1999")],
        "semester_unknown",
        "constants.semester=2024-fall",
        ("semester", None),
    ),
    ("phase", "wp_quiz 2024-fall.csv", [HEAD, FIRST], "phase_unclear", "constants.phase=post", ("phase", "post")),
    (
        *("test", "pre 2024-fall.csv", [("Student", "Total (8)"), (ONE, 4)]),
        *("instrument_unclear", "constants.instrument=soil_test", ("instrument", "soil_test")),
    ),
    (
        *("test of another name", HERE, [(*HEAD, "Quiz"), (*FIRST, "Leaf test")]),
        *("instrument_unknown", "names.instrument.Leaf test=wp_quiz", ("instrument", "wp_quiz")),
    ),
    ("maximum", HERE, [("Student", "Total"), (ONE, 4)], "max_score_unclear", "maximum.total=8", ("max_score", 8.0)),
    ("maxima", HERE, [("Student", "Q1", "Q2"), (ONE, 1, 1)], "max_score_unclear", "maximum.items=2", ("max_score", 2.0)),
    (
        *("two maxima", HERE, [("Student", "Q1 (2)"), ("Points possible", 3), (ONE, 1)]),
        *("max_score_unclear", "maximum.Q1=3", ("max_score", 3.0)),
    ),
    ("share", HERE, [("Student", "Score (%)"), (ONE, 0.75)], "score_unit_unclear", "score.unit=share", ("score", 75.0)),
    ("section", HERE, [(*HEAD, "Section"), (*FIRST, "Z")], "section_unknown", "names.section.Z=b", ("section", "b")),
]


@pytest.mark.usefixtures("without_suite")
@pytest.mark.parametrize(("what", "name", "rows", "code", "answer", "settled"), QUESTIONS, ids=[case[0] for case in QUESTIONS])
def test_what_the_file_cannot_decide_is_asked_and_one_answer_settles_it(
    class_lab: Home, what: str, name: str, rows: Sequence[Row], code: str, answer: str, settled: tuple[str, object]
) -> None:
    assert refusals(check(class_lab, csv_of(rows), name)) == [code]
    checked = check(class_lab, csv_of(rows), name, answer)
    if settled[1] is None:  # a cell that says another semester is not overruled by an answer for the whole file
        assert refusals(checked) == [code]
        return
    assert not checked.receipt.is_refused, checked.receipt.as_text()
    assert settled in {(settled[0], row[settled[0]]) for row in every_row(checked)}


def test_two_sheets_without_a_phase_are_asked_each_for_itself(class_lab: Home) -> None:
    data = xlsx_of(One=[HEAD, FIRST], Two=[HEAD, FIRST])
    questions = check(class_lab, data, "wp_quiz 2024-fall.xlsx").receipt.open_questions()
    assert [question.keys for question in questions] == [("only.One.constants.phase",), ("only.Two.constants.phase",)]
    said = ("only.One.constants.phase=pre", "only.Two.constants.phase=post")
    checked = check(class_lab, data, "wp_quiz 2024-fall.xlsx", *said)
    assert {row["phase"] for row in every_row(checked) if row["score"]} == {"pre", "post"}


def test_an_unknown_outcome_and_an_unknown_word_are_each_asked_once(class_lab: Home) -> None:
    head, rows = (
        ("Student", "wp_reading", "Stomata"),
        [(name, "Superb" if level["wp_reading"] == 4 else 3, 2) for name, level in LEVELS.items()],
    )
    checked = check(class_lab, csv_of([head, *rows]), "2024-fall.csv")
    assert refusals(checked) == ["outcome_unknown", "level_unknown"]
    keys = [question.keys for question in checked.receipt.open_questions()]
    settled = check(class_lab, csv_of([head, *rows]), "2024-fall.csv", f"{keys[0][-1]}=set aside", f"{keys[1][0]}=4")
    assert not settled.receipt.is_refused, settled.receipt.as_text()
    assert {row["outcome"] for row in every_row(settled) if row["level"]} == {"wp_reading"}
    assert max(row["level"] for row in every_row(settled) if row["level"]) == 4


def test_a_table_of_numbers_that_says_not_what_they_are_is_asked(class_lab: Home) -> None:
    data = csv_of([("Student", "Stomata", "Xylem"), ("Ola Quist", 3, 2), ("Rhun Pell", 2, 2)])
    assert refusals(check(class_lab, data, "2024-fall.csv")) == ["kind_unclear"]
    assert refusals(check(class_lab, data, "2024-fall.csv", kind="rubric")) == ["outcome_unknown", "outcome_unknown"]


def test_a_file_without_a_table_or_without_rows_is_refused_in_words(class_lab: Home) -> None:
    assert refusals(check(class_lab, csv_of([("nothing", "here")]), "2024-fall.csv", kind="assessment")) == ["no_learning_table"]
    assert refusals(check(class_lab, csv_of([HEAD]), "wp_quiz pre 2024-fall.csv")) == ["no_rows"]
    assert refusals(check(class_lab, csv_of([HEAD, ("Ola Quist", -1, -1, -1, -3)]))) == ["no_scores_left"]
