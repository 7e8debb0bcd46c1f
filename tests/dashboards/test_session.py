"""A reader who is quicker than the server: what is chosen while the page is being drawn is drawn next, and never lost."""

from __future__ import annotations

import time
from collections.abc import Mapping
from threading import Thread
from typing import Any

import panel as pn
import pytest

from dashboards.choices import Choices
from dashboards.sentence import Sentence
from dashboards.session import Session
from dashboards.shelf import Shelf
from dashboards.views.catalog import VIEWS, shown
from ingest.home import Home
from warehouse.published import current_build, open_published


@pytest.fixture
def session(home: Home, monkeypatch: pytest.MonkeyPatch) -> Session:
    """The page of one reader, without a server; nothing looks out for new builds."""
    monkeypatch.setattr(type(pn.state), "add_periodic_callback", lambda *_, **how: None)
    shelf = Shelf(lambda: current_build(home), lambda: open_published(home, "instructor"))
    return Session(shelf, VIEWS["class"], "instructor", 5.0)


def test_what_is_chosen_while_a_choice_is_drawn_is_drawn_next(session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    second = Thread(target=session._choose, args=("section", "a"))

    def slowly(view: Any, store: Any, choices: Choices) -> Any:
        if not second.ident:
            second.start()
            end = time.monotonic() + 60
            while session._choices.section != "a" and time.monotonic() < end:
                time.sleep(0.01)
        return shown(view, store, choices)

    monkeypatch.setattr("dashboards.session.shown", slowly)
    session._choose("group", "shrub")
    second.join(60)
    assert (session._choices.group, session._choices.section) == ("shrub", "a")
    assert [session._sentence._words[name].value for name in ("group", "section")] == ["shrub", "a"]
    assert "Section a alone" in session._seen.page


def test_a_word_that_is_chosen_while_the_others_settle_is_a_choice(monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[Mapping[str, str]] = []
    sentence = Sentence("", ("semester", "group"), told.append)
    semester, group = (sentence._words[name] for name in ("semester", "group"))
    offered = {"semester": {"Fall 2023": "2023-fall", "Fall 2024": "2024-fall"}, "group": {"all groups": "", "shrubs": "shrub"}}
    sentence.offer(Choices(semester="2023-fall"), offered)
    assert told == []
    semester.param.watch(lambda _: setattr(group, "value", "shrub"), "value")
    sentence.offer(Choices(semester="2024-fall"), offered)
    assert told == [{"group": "shrub"}]
