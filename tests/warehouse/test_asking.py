"""A reader's own question: answered as it is asked, within limits, and unable to change or to reach anything."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from dashboards.views.ask_view import EXAMPLES
from ingest.errors import QuestionRefused
from ingest.home import Home
from warehouse.asking import LONGEST, ask
from warehouse.build import BuildReport
from warehouse.published import Published, open_published
from warehouse.roles import Role


@pytest.mark.parametrize(
    ("question", "rows"),
    [
        ("SELECT site, count(*) AS n FROM observations GROUP BY site ORDER BY site", [("bottom", 12), ("ridge", 18)]),
        ("select 1 as a; ", [(1,)]),
        ("-- why not\nWITH t AS (SELECT 2 AS b) SELECT * FROM t -- the end", [(2,)]),
        ("FROM sites SELECT site ORDER BY site DESC LIMIT 1", [("ridge",)]),
        ("VALUES (1, 'a')", [(1, "a")]),
    ],
)
def test_a_question_is_answered(instructor: Published, question: str, rows: list[tuple[object, ...]]) -> None:
    assert list(ask(instructor, question).frame.itertuples(index=False, name=None)) == rows


@pytest.mark.parametrize("words", EXAMPLES)
@pytest.mark.parametrize("role", ["instructor", "student"])
def test_every_example_is_answered_for_those_who_may_ask(home: Home, report: BuildReport, words: str, role: Role) -> None:
    published = open_published(home, role)
    assert len(ask(published, EXAMPLES[words]).frame.columns) > 1
    published.close()


def test_rows_beyond_the_limit_are_cut_in_their_order_and_this_is_said(instructor: Published) -> None:
    found = ask(instructor, "SELECT range AS n FROM range(1000) ORDER BY n DESC", rows=10)
    assert found.is_cut
    assert list(found.frame["n"]) == list(range(999, 989, -1))
    assert not ask(instructor, "SELECT range AS n FROM range(10)", rows=10).is_cut


def test_a_question_without_end_is_stopped(instructor: Published) -> None:
    started = time.monotonic()
    with pytest.raises(QuestionRefused, match=r"more than 0\.5 seconds"):
        ask(instructor, "SELECT sum(a.range * b.range) FROM range(10000000) a, range(10000000) b", seconds=0.5)
    assert time.monotonic() - started < 60
    assert len(ask(instructor, "SELECT 1").frame) == 1


@pytest.mark.parametrize(
    ("question", "says"),
    [
        ("", "one question at a time"),
        ("SELECT 1; SELECT 2", "one question at a time"),
        ("DELETE FROM observations", "one question at a time"),
        ("CREATE TABLE t (a INTEGER)", "one question at a time"),
        ("COPY observations TO 'out.csv'", "one question at a time"),
        ("ATTACH 'other.duckdb'", "one question at a time"),
        ("SET enable_external_access = true", "one question at a time"),
        ("INSTALL httpfs", "one question at a time"),
        ("SELECT * FROM read_text('/etc/passwd')", "cannot answer that"),
        ("SELECT * FROM '/etc/passwd'", "cannot answer that"),
        ("SELECT * FROM read_csv('http://127.0.0.1/')", "cannot answer that"),
        ("SELECT water FROM observations", "water"),
        ("SELECT 'a' + 1", "cannot answer that"),
        ("SELEC 1", "cannot answer that"),
        ("SELECT 1) ; DROP TABLE observations; --", "cannot answer that"),
        ("SELECT 1 FROM observations) UNION (SELECT 2", "cannot answer that"),
        ("SELECT '" + "x" * LONGEST + "'", "at most"),
    ],
)
def test_what_is_no_question_is_refused_in_words(instructor: Published, question: str, says: str, tmp_path: Path) -> None:
    with pytest.raises(QuestionRefused, match=says) as refused:
        ask(instructor, question)
    assert "LINE 1" not in str(refused.value)
    assert len(ask(instructor, "SELECT 1 FROM observations").frame) == 30


def test_a_question_that_wants_all_memory_is_refused(instructor: Published) -> None:
    question = "SELECT list(a.range || repeat('x', 1000)) FROM range(100000000) a"
    with pytest.raises(QuestionRefused, match="Out of Memory"):
        ask(instructor, question, seconds=120)
