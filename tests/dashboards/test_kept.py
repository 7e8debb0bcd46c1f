"""What was found lately is kept for the next reader, up to a number, made once, and never asked of the file again."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Event
from typing import Any

import pytest

from dashboards.choices import Choices
from dashboards.kept import Kept
from dashboards.store import ANSWERS_KEPT, Store
from dashboards.views.catalog import VIEWS, shown
from ingest.home import Home
from warehouse.published import open_published


class Counted:
    """A published file that counts what it is asked."""

    def __init__(self, published: Any) -> None:
        self.published, self.build_id, self.cursor = published, published.build_id, published.cursor
        self.asked: list[str] = []

    def query(self, sql: str, params: Any = ()) -> Any:
        """Ask, and count it."""
        self.asked.append(sql)
        return self.published.query(sql, params)


@pytest.fixture
def counted(home: Home) -> Counted:
    return Counted(open_published(home, "instructor"))


def test_the_latest_answers_are_kept_and_no_more() -> None:
    kept: Kept[str] = Kept(2)
    made: list[str] = []

    def make(name: str) -> str:
        return kept.get(name, lambda: made.append(name) or name)  # type: ignore[func-returns-value]

    assert [make(name) for name in "abacab"] == list("abacab")
    assert made == ["a", "b", "c", "b"]
    assert len(kept) == 2


def test_what_many_ask_at_once_is_made_once() -> None:
    kept: Kept[int] = Kept(2)
    made, may_go = [], Event()

    def make() -> int:
        may_go.wait(10)
        made.append(1)
        return len(made)

    with ThreadPoolExecutor(8) as threads:
        found = [threads.submit(kept.get, "asked", make) for _ in range(8)]
        may_go.set()
        assert {each.result() for each in found} == {1}


def test_what_failed_is_tried_again() -> None:
    kept: Kept[int] = Kept(2)
    with pytest.raises(ZeroDivisionError):
        kept.get("asked", lambda: 1 // 0)
    assert kept.get("asked", lambda: 1) == 1


@pytest.mark.parametrize(("view", "most"), [("class", 4), ("years", 8), ("hillslope", 8), ("rain", 8), ("compare", 3), ("cohorts", 2)])
def test_a_redraw_asks_little_and_the_same_redraw_nothing(counted: Counted, view: str, most: int) -> None:
    store = Store(counted)
    shown(VIEWS[view], store, Choices())
    counted.asked.clear()
    shown(VIEWS[view], store, Choices(group="woody"))
    assert len(counted.asked) <= most, counted.asked
    counted.asked.clear()
    shown(VIEWS[view], store, Choices(group="woody"))
    assert counted.asked == []


def test_no_readers_own_question_is_kept(counted: Counted) -> None:
    store = Store(counted)
    shown(VIEWS["ask"], store, Choices(sql="select 1 as one"))
    assert len(store.answers) == 0


def test_kept_answers_are_few(counted: Counted) -> None:
    store = Store(counted)
    for n in range(ANSWERS_KEPT + 5):
        shown(VIEWS["compare"], store, Choices(site=f"s{n}"))
    assert len(store.answers) == ANSWERS_KEPT


def test_holdings_count_every_reading_and_name_the_sections_of_a_semester(store: Store) -> None:
    holdings = store.holdings
    for semester in ("2021-spring", "2024-fall"):
        whole = store._published.query("select count(*) as n from observations where usable and semester = $1", [semester])
        assert sum(row.n for row in holdings.of(semester)) == int(whole["n"].iloc[0]) > 0
    assert holdings.sections_of("2024-fall") == ["a", "b"]
    assert not holdings.sections_of("1850-fall")
    assert not holdings.of("1850-fall")
    of_section = [holdings.matching(Choices(semester="2024-fall", section=section)) for section in ("a", "b", "")]
    counts = [sum(row.n for row in rows) for rows in of_section]
    assert counts[0] + counts[1] == counts[2] > counts[0] > 0
