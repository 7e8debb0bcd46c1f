"""What a class predicted beside what was measured: counts and a sentence, nothing before the question is closed, nothing of few."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from dashboards.choices import Choices, from_query
from dashboards.figures.take_page import taken
from dashboards.offers import offers, settled
from dashboards.predicting.kept import KeptPredictions
from dashboards.predicting.predicted_view import PREDICT, draw, question_of
from dashboards.predicting.predictions import Counted, Prediction, Predictions, Question
from dashboards.shelf import Shelf
from dashboards.store import Store
from dashboards.views.catalog import VIEWS
from ingest.home import Home
from warehouse.published import current_build, open_published

QUESTION = Question("2024-fall", "midday", "c4_grass", "C4 grasses")


@pytest.fixture
def first(tmp_path: Path) -> Predictions:
    return Predictions(KeptPredictions(tmp_path / "predictions.jsonl", "invented"))


def contrast(difference: float | None, low: float | None, high: float | None) -> pd.DataFrame:
    row: dict[str, Any] = {
        "who": "C4 grasses",
        "group": "c4_grass",
        "first": "Lowland",
        "second": "Upland",
        "hedges_g": None,
        "p_holm": None,
    }
    row |= {"difference_mpa": difference, "ci_low_mpa": low, "ci_high_mpa": high, "n_plants_a": 8, "n_plants_b": 4, "n_bounds_a": 0}
    row |= {"n_bounds_b": 0, "n_tests": 5, "sentence": "As the warehouse says.", "reason": None if difference else "4 and 2 plants."}
    return pd.DataFrame([row]).astype(dict.fromkeys(("difference_mpa", "ci_low_mpa", "ci_high_mpa", "hedges_g", "p_holm"), float))


CLASS = Counted(QUESTION, "2024-09-24T14:00:00.000+00:00", 24, {1.0: 4, 0.4: 10, 0.2: 5, 0.0: 2, -0.2: 3})


@pytest.mark.parametrize(
    ("compared", "said"),
    [
        (contrast(0.42, 0.1, 0.74), "measured: the high ground was drier by 0.42\u00a0MPa (95 % interval 0.10 to 0.74; 15 of the 24 pred"),
        (contrast(-0.42, -0.74, -0.1), "the low ground was drier by 0.42\u00a0MPa (95 % interval 0.10 to 0.74; 3 of the 24"),
        (contrast(0.08, -0.1, 0.26), "it is open which was drier, lowland minus upland being 0.08\u00a0MPa (95 % interval −0.10 to 0.26"),
        (contrast(None, None, None), "measured: there is no fair contrast to set beside (4 and 2 plants)."),
        (contrast(None, None, None).iloc[:0], "(these plants were not read on high and low ground both)."),
    ],
)  # fmt: skip
def test_the_class_is_read_beside_what_was_measured(compared: pd.DataFrame, said: str) -> None:
    answer = draw(CLASS, compared, Choices(semester="2024-fall", window="midday", group="c4_grass", question=PREDICT))
    assert answer.title == "19 of 24 expected the high ground to be drier"
    assert answer.reading.startswith("19 of 24 expected the high ground to be drier (the middle one by 0.4\u00a0MPa), 3 the low ground (")
    assert said in answer.reading
    assert [panel.name for panel in answer.panels] == ["predicted", *(["measured"] if "no fair" not in answer.reading else [])]
    ends = dict(zip(answer.panels[0].layers["ink_marks"]["y"], answer.panels[0].layers["ink_marks"]["x"], strict=True))
    assert ends == CLASS.by_difference
    assert len({panel.y_range for panel in answer.panels}) == 1
    assert sum(answer.tables[0].frame["n"]) == 24


def test_too_few_answers_are_no_distribution() -> None:
    answer = draw(Counted(QUESTION, "now", 4, {}), contrast(0.42, 0.1, 0.74), Choices())
    assert answer.title == "4\u00a0predictions: too few to be shown"
    assert "fewer than 5 are not shown" in answer.reading
    assert [panel.name for panel in answer.panels] == ["measured"]
    assert [table.caption for table in answer.tables] == ["Comparisons"]


def test_a_divided_class_is_said_to_be_so() -> None:
    assert draw(Counted(QUESTION, "now", 6, {0.4: 3, -0.2: 3}), contrast(0.4, 0.1, 0.7), Choices()).title == "The class was divided"


@pytest.fixture
def teaching(store: Store, first: Predictions) -> Store:
    """The instructor's store with what classes predicted."""
    return Store(store._published, first.kept)


def test_the_figure_waits_for_the_class(teaching: Store, chosen: Choices, first: Predictions) -> None:
    asked = settled(replace(chosen, group="shrub", question=PREDICT), teaching.holdings, can_predict=True)
    before = VIEWS["class"].draw(teaching, asked)
    assert before.title == "In shrubs at midday in Fall 2024, which ground was drier, and by how much?"
    assert before.is_empty
    question = question_of(asked, teaching.holdings)
    assert question is not None
    code = first.open(question).code
    for n in range(6):
        first.answer(code, str(n), Prediction("upland", 0.4))
    closed = first.close()
    assert closed is not None
    after = VIEWS["class"].draw(teaching, replace(asked, round=closed.opened_at))
    assert after.title == "6 of 6 expected the high ground to be drier"
    assert from_query({"round": closed.opened_at}).round == closed.opened_at
    assert VIEWS["class"].draw(teaching, replace(asked, group="tree", round=closed.opened_at)).is_empty
    assert "Choose one group" in VIEWS["class"].draw(teaching, replace(asked, group="")).reading


def test_students_are_not_offered_the_question(store: Store, chosen: Choices) -> None:
    assert settled(replace(chosen, question=PREDICT), store.holdings).question == ""
    assert PREDICT not in offers(chosen, store.holdings)["question"].values()
    assert list(offers(chosen, store.holdings, can_predict=True)["question"].values())[:2] == ["", PREDICT]


def test_predictions_are_taken_along_as_they_are_drawn(home: Home, first: Predictions) -> None:
    shelf = Shelf(lambda: current_build(home), lambda: open_published(home, "instructor"), first.kept)
    code = first.open(replace(QUESTION, plants="shrub", who="shrubs")).code
    for n in range(6):
        first.answer(code, str(n), Prediction("upland", 0.4 if n else 1.0))
    closed = first.close()
    assert closed is not None
    query = {"semester": "2024-fall", "window": "midday", "group": "shrub", "question": PREDICT, "round": closed.opened_at, "as": "numbers"}
    _, _, data = taken(shelf, "instructor", "class", query)
    rows = [row for row in csv.DictReader(io.StringIO(data.decode("utf-8-sig"))) if (row["panel"], row["layer"]) == ("predicted", "mark")]
    assert [(float(row["x"]), float(row["y"])) for row in rows] == [(1, 1.0), (5, 0.4)]
