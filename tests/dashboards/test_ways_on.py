"""Whatever an address or a file holds, a page says what is the matter and what to do, and never stays blank."""

from __future__ import annotations

import json
import random
import shutil
from dataclasses import replace
from pathlib import Path

import duckdb
import pytest

from dashboards.choices import Choices, from_query
from dashboards.fell_away import fell_away
from dashboards.store import Store
from dashboards.views.catalog import VIEWS, shown, views_of
from ingest.errors import PublishedOutdated
from ingest.home import Home
from warehouse.published import Published, open_published

FIGURES = [name for name, view in VIEWS.items() if view.has_figure]


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ({}, ""),
        ({"semester": "2024-fall", "section": "a"}, ""),
        ({"semester": "1999-spring"}, "There is no semester “1999-spring” here. This page shows Fall 2024, midday"),
        ({"section": "z", "site": "moon"}, "There is no section “z” or site “moon” here."),
        ({"window": "midnight"}, "There is no part of the day “midnight” here."),
        ({"taxon": "<script>"}, "There is no kind of plant “<script>” here."),
    ],
)
def test_what_an_address_asks_in_vain_is_said(store: Store, query: dict[str, str], said: str) -> None:
    asked = from_query(query)
    told = fell_away(asked, shown(VIEWS["class"], store, asked).choices)
    assert told.startswith(said)
    assert bool(told) == bool(said)


@pytest.mark.parametrize("view", FIGURES)
@pytest.mark.parametrize(
    "changed", [{"window": "afternoon"}, {"semester": "2021-spring", "group": "tree"}, {"taxon": "rhugla", "site": "swale"}]
)
def test_an_empty_selection_is_a_sentence(store: Store, view: str, changed: dict[str, str]) -> None:
    answer = shown(VIEWS[view], store, replace(Choices(), **changed)).answer
    assert answer.title
    assert len(answer.reading) > 30


def test_a_file_of_another_version_names_the_way_on(home: Home, tmp_path: Path) -> None:
    published = open_published(home, "instructor")
    copy = tmp_path / "older.duckdb"
    shutil.copy(published.path, copy)
    copy.chmod(0o600)
    with duckdb.connect(copy) as connection:
        connection.execute("alter table plant_values drop column leaf_stands_for_plant")
    older = Published("older", "instructor", copy, duckdb.connect(copy, read_only=True), published._lock)
    with pytest.raises(PublishedOutdated, match=r"made by another version.*Run 'tautleaf build'"):
        shown(VIEWS["class"], Store(older), Choices())


@pytest.mark.parametrize("role", ["instructor", "student", "reviewer"])
def test_whatever_is_offered_can_be_chosen_and_drawn(stores: dict[str, Store], role: str) -> None:
    draw = random.Random(role)  # noqa: S311  (no secret: the same walk in each run)
    for view in views_of(role):
        choices = Choices()
        for _ in range(40):
            seen = shown(view, stores[role], choices)
            assert len(json.loads(seen.page)["side"]) > 40
            words = [word for word in view.sentence if len(seen.offered[word]) > 1]
            word = draw.choice(words or [view.sentence[0]])
            choices = replace(seen.choices, **{word: draw.choice([*seen.offered[word].values()])})
