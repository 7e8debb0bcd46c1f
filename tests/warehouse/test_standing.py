"""How a home stands: what each upload covers, how many students are in it, and nothing of who they are."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from ingest.home import Home
from ingest.received.accepting import accept
from ingest.received.checked_files import checked_path
from tests.ingest.small_class import LEVELS, STUDENTS, WORDS, Row, check, csv_of, small_class, wide, xlsx_of
from tests.ingest.small_lab import TRUE_ROWS, csv_bytes
from warehouse.standing import standing

LEVEL_ROWS: list[Row] = [["Student", "wp_reading", "fair_contrast"], *([name, *LEVELS[name].values()] for name in STUDENTS)]


@pytest.fixture
def home(tmp_path: Path) -> Home:
    """A small class of its own for one test."""
    return small_class(tmp_path / "home")


def _load(home: Home, data: bytes, name: str) -> str:
    checked = check(home, data, name)
    assert not checked.receipt.is_refused, checked.receipt.as_text()
    accept(home, checked)
    return str(checked.receipt.upload_id)


@pytest.mark.parametrize(
    ("data", "name", "covers"),
    [
        (csv_of(wide("pre")), "wp_quiz pre 2024-fall section A.csv", "2024-fall/a  wp_quiz pre  5 students"),
        (csv_of(wide("post")), "wp_quiz post 2024-fall.csv", "2024-fall  wp_quiz post  5 students"),
        (csv_of(wide("pre")[:2]), "wp_quiz pre 2024-fall.csv", "2024-fall  wp_quiz pre  1 student"),
        (xlsx_of(pre=wide("pre"), post=wide("post")), "wp_quiz 2024-fall.xlsx", "2024-fall  wp_quiz pre and post  5 students"),
        (csv_of(LEVEL_ROWS), "rubric 2024-fall section B.csv", "2024-fall/b  fair_contrast, wp_reading  5 students"),
        (csv_bytes(TRUE_ROWS), "class.csv", "2024-fall/a, 2024-fall/b"),
    ],
)
def test_an_upload_is_listed_with_what_it_covers(home: Home, data: bytes, name: str, covers: str) -> None:
    upload = _load(home, data, name)
    (line,) = [line for line in standing(home).as_text().splitlines() if upload in line]
    assert f"  active  {covers}  " in line


def test_the_standing_names_no_student_and_counts_each_once(home: Home) -> None:
    unread: Row = ["Zell Orquin", "a lot", "some", "most", "enough"]  # set aside: no score
    first = _load(home, csv_of([*wide("pre"), unread]), "wp_quiz pre 2024-fall section A.csv")
    second = _load(home, csv_bytes(TRUE_ROWS), "class.csv")
    found = standing(home)
    told = json.dumps(found.as_dict(), default=str) + found.as_text()
    assert not [word for word in (*WORDS, "orquin") if word in told.casefold()]
    numbers = {upload["upload_id"]: upload["n_students"] for upload in found.as_dict()["uploads"]}
    assert numbers == {first: 5, second: None}


@pytest.mark.parametrize("spoil", [lambda path: path.write_bytes(b"PAR1, and nothing of a table"), lambda path: path.unlink()])
def test_rows_that_cannot_be_read_are_a_problem_in_words(home: Home, spoil: Callable[[Path], object]) -> None:
    upload = _load(home, csv_of(wide("pre")), "wp_quiz pre 2024-fall.csv")
    spoil(checked_path(home.checked, "assessment", upload))
    found = standing(home)
    assert found.students == {}
    assert [upload in problem and "build --from-received" in problem for problem in found.problems] == [True, False, False]
