"""Scores and levels are accepted, replaced, added to and read again by what they cover; and nothing that is kept names a student."""

from __future__ import annotations

import json
import re
import sqlite3
from pathlib import Path

import duckdb
import pytest

from ingest.errors import RecipeInvalid, ReplacementUnclear
from ingest.home import Home
from ingest.received.accepting import Disposal, accept, recheck, withdraw
from ingest.received.checked_files import checked_path
from ingest.received.ledger import Received
from tests.ingest.small_class import LEVELS, STUDENTS, WORDS, Row, check, csv_of, small_class, wide, xlsx_of
from tests.ingest.small_lab import tree_hash

pytestmark = pytest.mark.usefixtures("opened_here")

PRE = "wp_quiz pre 2024-fall section A.csv"
POST = "wp_quiz post 2024-fall section A.csv"


@pytest.fixture
def home(tmp_path: Path) -> Home:
    """A small class of its own for one test."""
    return small_class(tmp_path / "home")


def load(home: Home, data: bytes, name: str, *replaces: str, adds: bool = False, answers: tuple[str, ...] = ()) -> str:
    checked = check(home, data, name, *answers)
    assert not checked.receipt.is_refused, checked.receipt.as_text()
    accept(home, checked, Disposal(replaces, adds))
    return str(checked.receipt.upload_id)


def states(home: Home) -> list[tuple[str, str, str]]:
    return [(upload.kind, upload.status, upload.covers) for upload in Received(home).uploads()]


def test_an_accepted_file_of_scores_is_kept_checked_and_recorded(home: Home) -> None:
    data = csv_of(wide("pre"))
    first = load(home, data, PRE)
    assert states(home) == [("assessment", "active", "wp_quiz/pre/2024-fall/a")]
    with duckdb.connect() as connection:
        path = str(checked_path(home.checked, "assessment", first))
        assert connection.execute("SELECT count(*), count(score), sum(max_score) FROM read_parquet(?)", [path]).fetchone() == (21, 16, 80.0)
    before = tree_hash(home.root)
    assert load(home, data, "another name pre 2024-fall section A wp_quiz.csv") == first
    assert tree_hash(home.root) == before


def test_what_a_file_covers_decides_whether_it_has_to_replace_another(home: Home) -> None:
    first = load(home, csv_of(wide("pre")), PRE)
    load(home, csv_of(wide("post")), POST)
    load(home, csv_of(wide("pre")), "wp_quiz pre 2024-fall section B.csv")
    corrected = wide("pre")
    corrected[1] = ["Ola Quist", 2, 0, 2, 4]
    with pytest.raises(ReplacementUnclear, match="wp_quiz/pre/2024-fall/a"):
        load(home, csv_of(corrected), PRE)
    second = check(home, csv_of(corrected), PRE)
    accept(home, second, Disposal((first,)))
    changed = [(change["cell"], change["before"], change["after"]) for change in second.receipt.changes]
    assert changed == [("B2", "1", "2"), ("E2", "3", "4")]
    assert not any(word in str(second.receipt.changes).casefold() for word in WORDS)
    assert [status for _, status, _ in states(home)] == ["replaced", "active", "active", "active"]


def test_a_further_part_is_added_by_word_and_a_replacement_may_lose_nothing(home: Home) -> None:
    both = load(home, xlsx_of(Pre=wide("pre"), Post=wide("post")), "wp_quiz 2024-fall section A.xlsx")
    with pytest.raises(ReplacementUnclear, match="also covers wp_quiz/post"):
        load(home, csv_of(wide("pre")), PRE, both)
    late = [wide("pre")[0], ["Late Comer", 1, 1, 1, 3]]
    load(home, csv_of(late), PRE, adds=True)
    assert [status for _, status, _ in states(home)] == ["active", "active"]


def test_withdrawn_restored_and_read_again_from_what_was_received(home: Home) -> None:
    first = load(home, csv_of(wide("pre")), PRE)
    withdraw(home, first)
    assert load(home, csv_of(wide("pre")), PRE) == first
    assert recheck(home) == []
    path = home.registers / "outcomes.csv"
    path.write_text(path.read_text("utf-8").replace("Q1;Q2", "Question one;Q2"), "utf-8")
    assert recheck(home) == []  # the counts stay, and the rows are written afresh
    checked_path(home.checked, "assessment", first).unlink()
    recheck(home)
    assert checked_path(home.checked, "assessment", first).is_file()


def test_answers_are_kept_for_the_file_and_heeded_on_a_recheck(home: Home) -> None:
    rows: list[Row] = [("Student", "Total"), *((name, 4) for name in STUDENTS)]
    load(
        home,
        csv_of(rows),
        "totals.csv",
        answers=("maximum.total=8", "constants.phase=pre", "constants.instrument=wp_quiz", "constants.semester=2024-fall"),
    )
    assert recheck(home) == []
    (recipe,) = home.recipes.glob("*.toml")
    assert 'kind = "assessment"' in recipe.read_text("utf-8")
    with pytest.raises(RecipeInvalid, match=r"maximum\.total"):
        check(home, csv_of(rows), "totals.csv", "maximum.total=0")
    with pytest.raises(RecipeInvalid, match=r"constants\.site"):
        check(home, csv_of(rows), "totals.csv", "constants.site=ridge")


def test_a_word_of_a_rubric_is_remembered_as_an_alias_of_its_outcome(home: Home) -> None:
    rows: list[Row] = [("Student", "Gauge at the bench"), *((name, level["wp_reading"]) for name, level in LEVELS.items())]
    checked = check(home, csv_of(rows), "2024-fall.csv", "alias.outcome.Gauge at the bench=wp_reading", kind="rubric")
    accept(home, checked)
    assert "Gauge reading;Gauge at the bench" in (home.registers / "outcomes.csv").read_text("utf-8")
    assert check(home, csv_of([*rows, ("Late Comer", 2)]), "2024-fall.csv").receipt.kind == "rubric"
    assert states(home) == [("rubric", "active", "wp_reading/2024-fall/-")]


NASTY: list[Row] = [
    ("Scores of Zabreth Imm's group",),
    ("Name", "E-mail", "Student number", "Section", "Q1 (2)", "Q2 (2)", "Vorrin Dask's item (3)", "Pre total", "Remarks"),
    ("Points possible", "", "", "", 2, 2, 3, 7, ""),
    ("Quist, Ola", "ola.quist@ellorand.example", "20241733", "Section A", 1, 1, 2, 4, "sat beside Rhun Pell"),
    ("Pell, Rhun", "rhun.pell@ellorand.example", "20241734", "Ask Nell Ythane", "ask Zabreth", 9, 1, 3, ""),
    ("Imm, Zabreth", "zabreth.imm@ellorand.example", "20241735", "Section A", -1, 1, "Vorrin has it", 2, ""),
    ("Imm, Zabret", "zabret@ellorand.example", "20241736", "Section A", 1, 1, 1, 4, "same as Zabreth?"),
    ("Note: Nell Ythane was ill",),
]


@pytest.mark.usefixtures("without_suite")
@pytest.mark.parametrize("kind", ["assessment", "rubric"])
@pytest.mark.parametrize("drop", [(), (2,), (1, 2), (0, 2)], ids=["all", "no number", "name alone", "address alone"])
def test_nobody_is_named_by_anything_but_the_original(home: Home, drop: tuple[int, ...], kind: str) -> None:
    rows = [[cell for place, cell in enumerate(row) if place not in drop or len(row) == 1] for row in NASTY]
    name = "Ola Quist wp_quiz pre fall 2024.csv"
    asked = check(home, csv_of(rows), name, kind=kind)
    answers = [_first(question.answers) for question in asked.receipt.open_questions() if question.answers]
    checked = check(home, csv_of(rows), name, *answers, kind=kind)
    said = [text for one in (asked, checked) for text in (one.receipt.as_text(), json.dumps(one.receipt.as_dict(), ensure_ascii=False))]
    said += [one.recipe.as_toml(one.receipt.open_questions(), one.receipt.sha256, one.receipt.file) for one in (asked, checked)]
    said += [str(one.columns) for one in (asked, checked)]
    if not checked.receipt.is_refused:
        accept(home, checked)
        with duckdb.connect() as connection:
            for path in home.checked.rglob("*.parquet"):
                said.append(str(connection.execute("SELECT * FROM read_parquet(?)", [str(path)]).fetchall()))
        said += [path.read_text("utf-8") for path in home.recipes.glob("*.toml")]
        with sqlite3.connect(home.ledger) as ledger:
            facts = [json.loads(row[0]) for row in ledger.execute("SELECT facts FROM events")]
        said += [json.dumps({key: value for key, value in one.items() if key != "original_name"}) for one in facts]
    hidden = re.compile("|".join((*(rf"(?<![a-z]){word}(?![a-z])" for word in WORDS), "zabret", "2024173", "@")))
    assert [text[max(0, found.start() - 80) : found.end() + 40] for text in said if (found := hidden.search(text.casefold()))] == []
    assert not checked.receipt.is_refused, checked.receipt.as_text()


def _first(answers: tuple[str, ...]) -> str:
    """An answer that settles a question: the first that is offered."""
    key, _, value = answers[0].rpartition("=")
    return f"{key}={'3' if value == 'NUMBER' else value}"
