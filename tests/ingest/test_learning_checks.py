"""What is wrong with scores and levels is named with its code and its place; every row is accounted for, and nothing becomes zero."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from ingest.home import Home
from tests.ingest.small_class import Row, check, csv_of, xlsx_of
from tests.ingest.small_lab import every_row, found_of, refusals

pytestmark = pytest.mark.usefixtures("opened_here")


HEAD: Row = ("Student", "Q1 (2)", "Q2 (2)", "Q3 (4)", "Total")
FIRST: Row = ("Ola Quist", 1, 1, 2, 4)
LONG: Row = ("Student", "Section", "Phase", "Item", "Score", "Max")


def scores(*rows: Row, head: Row = HEAD) -> bytes:
    return csv_of([head, FIRST, *rows, ("Nell Ythane", 1, 1, 2, 4)])


# what is wrong, the row after a good one, the code, the cell, whether its rows are still loaded, and whether they count
ROWS: list[tuple[str, Row, str, str, bool, bool]] = [
    ("above its maximum", ("Rhun Pell", 3, 1, 2, 6), "score_above_maximum", "B3", False, False),
    ("negative", ("Rhun Pell", -1, 1, 2, 2), "negative_score", "B3", False, False),
    ("words", ("Rhun Pell", "see paper", 1, 2, 3), "score_unreadable", "B3", False, False),
    ("a bound", ("Rhun Pell", ">1", 1, 2, 3), "score_unreadable", "B3", False, False),
    ("a letter for a digit", ("Rhun Pell", "O1", 1, 2, 4), "score_mistyped", "B3", True, False),
    ("marked as uncertain", ("Rhun Pell", "1?", 1, 2, 4), "score_doubtful", "B3", True, False),
    ("a total that is not the sum", ("Rhun Pell", 1, 1, 2, 5), "total_not_sum", "E3", True, False),
    ("another maximum in the cell", ("Rhun Pell", "1/3", 1, 2, 4), "max_score_contradicts", "B3", True, False),
    ("no student", ("", 1, 1, 2, 4), "student_missing", "A3", False, False),
]


@pytest.mark.parametrize(("what", "row", "code", "cell", "is_loaded", "counts"), ROWS, ids=[case[0] for case in ROWS])
def test_a_row_with_a_mistake_is_told_by_its_cell(
    class_lab: Home, what: str, row: Row, code: str, cell: str, is_loaded: bool, counts: bool
) -> None:
    checked = check(class_lab, scores(row))
    assert not checked.receipt.is_refused, checked.receipt.as_text()
    found = found_of(checked, code)
    assert found.cell == cell
    assert " ? " not in f" {found.message} "
    (wrong,) = [one for one in every_row(checked) if one["source_row"] == 3 and one["source_cell"] == cell.replace("A", "B")]
    assert (wrong["status"] != "set_aside", wrong["usable"]) == (is_loaded, counts)
    assert all(one["usable"] for one in every_row(checked) if one["source_row"] == 2)
    rows = checked.receipt.rows
    assert rows["in_file"] == len(every_row(checked)) == rows["accepted"] + rows["flagged"] + rows["set_aside"]


@pytest.mark.usefixtures("without_suite")
@pytest.mark.parametrize(
    ("cell", "is_absent"), [("", False), ("-", False), ("n/a", False), ("ABS", True), ("absent", True), ("excused", True)]
)
def test_no_score_stays_unknown_and_is_never_zero(class_lab: Home, cell: str, is_absent: bool) -> None:
    checked = check(class_lab, scores(("Rhun Pell", cell, 0, 2, 2)))
    found = {row["source_cell"]: (row["score"], row["is_absent"], row["status"]) for row in every_row(checked)}
    assert found["B3"] == (None, is_absent, "accepted")
    assert found["C3"] == (0.0, False, "accepted")


def test_a_score_that_a_spreadsheet_made_a_date_of_is_set_aside(class_lab: Home) -> None:
    import datetime as dt

    checked = check(
        class_lab, xlsx_of(Pre=[("Name", "Pre"), ("Ola Quist", "6/8"), ("Rhun Pell", dt.date(2024, 8, 7))]), "wp_quiz fall 2024.xlsx"
    )
    assert found_of(checked, "score_turned_into_date").cell == "B3"


# the rows of a long table, and what becomes of their scores in the order of the file: status and code
REPEATS: list[tuple[str, Sequence[Row], list[tuple[str, str]]]] = [
    ("the same score twice", [("a", 1), ("a", 1)], [("accepted", ""), ("set_aside", "score_repeated")]),
    ("absent first, taken later", [("a", "abs"), ("a", 1)], [("set_aside", "score_repeated"), ("accepted", "")]),
    ("absent twice", [("a", "abs"), ("a", "")], [("accepted", ""), ("set_aside", "score_repeated")]),
    ("two scores, and nobody knows the right one", [("a", 1), ("a", 2)], [("flagged", "score_contradicts")] * 2),
    ("in another section", [("a", 1), ("b", 1)], [("flagged", "student_in_two_sections"), ("set_aside", "score_repeated")]),
]


@pytest.mark.parametrize(("what", "cells", "expected"), REPEATS, ids=[case[0] for case in REPEATS])
def test_what_stands_twice_counts_once_or_not_at_all(
    class_lab: Home, what: str, cells: Sequence[Row], expected: list[tuple[str, str]]
) -> None:
    rows = [("Ola Quist", section, "pre", "Q1", score, 2) for section, score in cells]
    checked = check(class_lab, csv_of([LONG, *rows, ("Rhun Pell", "a", "pre", "Q1", 1, 2)]), "wp_quiz fall 2024.csv")
    assert not checked.receipt.is_refused, checked.receipt.as_text()
    data = [row for row in every_row(checked) if not row["is_structural"]][:2]
    found = [(row["status"], row["reasons"] or row["flags"].split(";")[0]) for row in data]
    assert [status for status, _ in found] == [status for status, _ in expected]
    assert all(code in f"{row['reasons']};{row['flags']}" for row, (_, code) in zip(data, expected, strict=True))


def test_a_student_in_two_sections_is_flagged_and_counts(class_lab: Home) -> None:
    rows = [("Ola Quist", "a", "pre", "Q1", 1, 2), ("Ola Quist", "b", "post", "Q1", 2, 2)]
    checked = check(class_lab, csv_of([LONG, *rows]), "wp_quiz fall 2024.csv")
    assert {row["flags"] for row in every_row(checked) if row["item"]} == {"student_in_two_sections"}
    assert all(row["usable"] for row in every_row(checked) if row["item"])


@pytest.mark.usefixtures("without_suite")
@pytest.mark.parametrize(
    ("one", "other", "is_doubtful"),
    [
        ("Zabreth Imm", "Zabreth Imn", True),
        ("Zabreth Imm", "Imm Zabreth", True),
        ("Zabreth Imm", "Zabreth K. Imm", True),
        ("Zabreth Imm", "IMM, Zabreth", False),
        ("Zabreth Imm", "Vorrin Dask", False),
        ("S014", "s-014", False),
        ("S014", "S14", True),
        ("S014", "S015", False),
    ],
)
def test_two_spellings_are_one_student_only_where_they_are_the_same(class_lab: Home, one: str, other: str, is_doubtful: bool) -> None:
    rows = [(one, "a", "pre", "Q1", 1, 2), (other, "a", "post", "Q1", 2, 2)]
    checked = check(class_lab, csv_of([LONG, *rows]), "wp_quiz fall 2024.csv")
    data = [row for row in every_row(checked) if row["item"]]
    is_same = {"IMM, Zabreth", "s-014"} & {other}
    assert len({row["student"] for row in data}) == (1 if is_same else 2)
    assert {row["flags"] for row in data} == ({"student_doubtful"} if is_doubtful else {""})
    assert all(row["usable"] for row in data)


def test_two_alike_who_sat_the_same_test_are_two(class_lab: Home) -> None:
    rows = [(name, "a", "pre", "Q1", 1, 2) for name in ("Zabreth Imm", "Zabreth Imn")]
    checked = check(class_lab, csv_of([LONG, *rows]), "wp_quiz fall 2024.csv")
    assert {row["flags"] for row in every_row(checked) if row["item"]} == {""}


def test_pairs_are_counted_on_the_receipt(class_lab: Home) -> None:
    head, rows = (
        ("Name", "Pre (8)", "Post (8)"),
        [("Ola Quist", 3, 4), ("Rhun Pell", 2, ""), ("Nell Ythane", "abs", 4), ("Vorrin Dask", "", "")],
    )
    checked = check(class_lab, csv_of([head, *rows]), "wp_quiz fall 2024.csv")
    assert "wp_quiz in 2024-fall: 1 students with both, 1 with pre alone, 1 with post alone" in checked.receipt.notes


RUBRIC: list[tuple[str, object, str, bool]] = [
    ("out of range", 5, "level_out_of_range", False),
    ("out of five", "3/5", "level_out_of_range", False),
    ("between two levels", 2.5, "level_not_whole", True),
    ("a word that is another level's", "3 – Beginning", "level_contradicts", True),
    ("two levels", "3-4", "level_unreadable", False),
]


@pytest.mark.parametrize(("what", "cell", "code", "is_loaded"), RUBRIC, ids=[case[0] for case in RUBRIC])
def test_a_level_that_the_rubric_does_not_have_is_named(class_lab: Home, what: str, cell: object, code: str, is_loaded: bool) -> None:
    checked = check(
        class_lab, csv_of([("Student", "wp_reading"), ("Ola Quist", 3), ("Rhun Pell", 2), ("Nell Ythane", cell)]), "2024-fall.csv"
    )
    assert found_of(checked, code).cell == "B4"
    (row,) = [row for row in every_row(checked) if row["source_cell"] == "B4"]
    assert (row["status"] != "set_aside") == is_loaded


def test_summaries_notes_and_headings_are_no_students(class_lab: Home) -> None:
    rows = [
        ("Section A",),
        FIRST,
        ("Section B",),
        ("Rhun Pell", 1, 1, 2, 4),
        (),
        ("Max", 2, 1, 2, 4),
        ("Mean", 1, 1, 2, 4),
        ("* excused for illness",),
    ]
    checked = check(class_lab, csv_of([HEAD, *rows]))
    reasons = [row["reasons"] for row in every_row(checked) if row["is_structural"]]
    assert reasons == ["header_row", "heading_row", "heading_row", "blank_row", "summary_row", "summary_row", "note_row"]
    assert [row["section"] for row in every_row(checked) if row["item"] == "Q1"] == ["a", "b"]


def test_items_that_no_outcome_names_are_told(class_lab: Home) -> None:
    some = check(class_lab, csv_of([("Student", "Q1 (2)", "Q9 (2)"), ("Ola Quist", 1, 1)]))
    assert "evidence of no outcome: Q9 of wp_quiz" in some.receipt.notes
    none = check(class_lab, csv_of([("Student", "Q8 (2)", "Q9 (2)"), ("Ola Quist", 1, 1)]))
    assert found_of(none, "items_unknown").severity == "flag"


@pytest.mark.parametrize(
    ("cell", "code"),
    [("item", "item_missing"), ("phase", "phase_missing"), ("instrument", "instrument_missing"), ("semester", "semester_missing")],
)
def test_a_blank_in_a_column_that_places_the_rows_sets_the_row_aside(class_lab: Home, cell: str, code: str) -> None:
    full = {
        "student": "Rhun Pell",
        "semester": "2024-fall",
        "phase": "pre",
        "instrument": "wp_quiz",
        "item": "Q1",
        "score": "1",
        "max": "2",
    }
    rows = [list(full), list(full.values()), [*{**full, "student": "Ola Quist", cell: ""}.values()]]
    checked = check(class_lab, csv_of(rows), "scores.csv")
    assert found_of(checked, code).row == 3
    assert checked.receipt.rows == {"in_file": 3, "accepted": 1, "flagged": 0, "set_aside": 2}


def test_a_highest_score_of_zero_and_none_at_all_are_set_aside(class_lab: Home) -> None:
    head: Row = ("Student", "Item", "Score", "Max")
    rows: list[Row] = [("Ola Quist", "Q1", 1, 2), ("Rhun Pell", "Q1", 1, 0)]
    assert found_of(check(class_lab, csv_of([head, *rows])), "max_score_zero").cell == "C3"
    missing = check(class_lab, csv_of([head, ("Ola Quist", "Q1", 1, 2), ("Rhun Pell", "Q1", 1, "")]))
    assert refusals(missing) == ["max_score_unclear"]
    assert found_of(missing, "max_score_missing").cell == "C3"


def test_an_outcome_left_out_by_the_recipe_and_a_row_without_one_are_set_aside(class_lab: Home) -> None:
    data = csv_of([("Student", "Outcome", "Level"), ("Ola Quist", "wp_reading", 3), ("Rhun Pell", "Xylem", 3), ("Nell Ythane", "", 2)])
    checked = check(class_lab, data, "2024-fall.csv", "names.outcome.Xylem=set aside")
    codes = [found_of(checked, code).row for code in ("outcome_set_aside", "outcome_missing")]
    assert codes == [3, 4]


def test_the_row_of_highest_scores_is_told_as_such(class_lab: Home) -> None:
    checked = check(class_lab, csv_of([("Student", "Q1", "Q2"), ("Points possible", 2, 2), ("Ola Quist", 1, 1)]))
    assert [row["reasons"] for row in every_row(checked) if row["is_structural"]] == ["header_row", "maximum_row"]
