"""Predict first without a server: one question at a time, one answer per phone, and nothing left of them but counts."""

from __future__ import annotations

import datetime as dt
import json
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.choices import Choices, from_query
from dashboards.kept_predictions import KeptPredictions
from dashboards.offers import offers, settled
from dashboards.predicted_view import PREDICT, by_direction, draw, question_of
from dashboards.predictions import (
    CODE_LENGTH,
    CODE_LETTERS,
    DIRECTIONS,
    FEWEST_SHOWN,
    OPEN_FOR,
    SIZES_MPA,
    Counted,
    Prediction,
    Predictions,
    Question,
    counted,
    prediction,
)
from dashboards.room_address import listen_socket, room_address
from dashboards.store import Store
from dashboards.views import VIEWS
from ingest.errors import PredictionRefused, PredictionsNotKept, QuestionClosed, RoomUnreachable

QUESTION = Question("2024-fall", "midday", "c4_grass", "C4 grasses")
OTHER = replace(QUESTION, window="predawn")
HIGH, LOW, ALIKE = Prediction("upland", 0.4), Prediction("lowland", 0.2), Prediction("alike", 0.0)
_answers = st.builds(lambda d, s: Prediction(d, 0.0 if d == "alike" else s), st.sampled_from([*DIRECTIONS]), st.sampled_from(SIZES_MPA))


class Clock:
    """A clock that a test sets forward."""

    def __init__(self) -> None:
        self.now = dt.datetime(2024, 9, 24, 14, tzinfo=dt.UTC)

    def __call__(self) -> dt.datetime:
        """The hour that it stands at."""
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def first(tmp_path: Path, clock: Clock) -> Predictions:
    return Predictions(KeptPredictions(tmp_path / "predictions.jsonl", "invented"), clock)


@given(st.lists(_answers, max_size=60))
def test_the_counts_add_up_to_the_answers(answers: list[Prediction]) -> None:
    found = counted(QUESTION, "now", answers)
    assert found.n_answered == len(answers)
    if len(answers) < FEWEST_SHOWN:
        assert found.by_difference == {}
        return
    assert sum(found.by_difference.values()) == len(answers)
    by = by_direction(found)
    assert {direction: sum(sizes.values()) for direction, sizes in by.items()} == Counter(each.direction for each in answers)


@given(st.lists(st.tuples(st.integers(0, 9), _answers), max_size=40))
def test_a_phone_has_one_answer_its_last(given_by: list[tuple[int, Prediction]]) -> None:
    first = Predictions(KeptPredictions(Path("/nowhere"), "invented"))
    code = first.open(QUESTION).code
    for phone, answer in given_by:
        first.answer(code, f"phone {phone}", answer)
    at_hand = first.at_hand()
    assert at_hand is not None
    assert at_hand.answers == {f"phone {phone}": answer for phone, answer in given_by}
    assert first.n_answered() == len({phone for phone, _ in given_by})


def test_codes_are_random_and_told_apart(first: Predictions) -> None:
    codes = {first.open(QUESTION).code for _ in range(50)}
    assert len(codes) == 50
    assert all(len(code) == CODE_LENGTH and set(code) <= set(CODE_LETTERS) for code in codes)
    assert not set(CODE_LETTERS) & set("aeiou01l")


@pytest.mark.parametrize("code", ["", "bcdfgh", "käse12", "x" * 1000, "\x00"])
def test_only_the_code_joins(first: Predictions, code: str) -> None:
    with pytest.raises(QuestionClosed):
        first.joined(code)
    right = first.open(QUESTION).code
    assert first.joined(right.upper()).question == QUESTION
    with pytest.raises(QuestionClosed):
        first.joined(code)


def test_a_code_runs_out_and_the_answers_are_counted_still(first: Predictions, clock: Clock) -> None:
    code = first.open(QUESTION).code
    first.answer(code, "one", HIGH)
    clock.now += OPEN_FOR - dt.timedelta(seconds=1)
    assert not first.has_run_out()
    first.answer(code, "two", HIGH)
    clock.now += dt.timedelta(seconds=1)
    assert first.has_run_out()
    with pytest.raises(QuestionClosed):
        first.answer(code, "one", LOW)
    assert first.close() == Counted(QUESTION, "2024-09-24T14:00:00.000+00:00", 2, {})
    assert first.close() is None


def test_opening_another_question_closes_and_keeps_the_one_at_hand(first: Predictions) -> None:
    code = first.open(QUESTION).code
    first.answer(code, "one", HIGH)
    first.open(OTHER)
    assert [each.n_answered for each in first.kept.of(QUESTION)] == [1]
    with pytest.raises(QuestionClosed):
        first.joined(code)


def test_nothing_of_a_phone_is_kept(first: Predictions, tmp_path: Path) -> None:
    code = first.open(QUESTION).code
    for n in range(6):
        first.answer(code, f"token-{n}", [HIGH, HIGH, HIGH, HIGH, LOW, ALIKE][n])
    closed = first.close()
    text = (tmp_path / "predictions.jsonl").read_text("utf-8")
    assert "token" not in text
    assert code not in text
    assert json.loads(text) == {
        **{"program": "invented", "semester": "2024-fall", "window": "midday", "plants": "c4_grass", "who": "C4 grasses"},
        **{"opened_at": "2024-09-24T14:00:00.000+00:00", "n_answered": 6},
        "lowland_minus_upland_mpa": {"0.4": 4, "0": 1, "-0.2": 1},
    }
    assert first.at_hand() is None
    assert (tmp_path / "predictions.jsonl").stat().st_mode & 0o077 == 0
    assert first.kept.of(QUESTION) == [closed]


def test_too_few_are_a_number_only_also_in_the_home(first: Predictions, tmp_path: Path) -> None:
    code = first.open(QUESTION).code
    for n in range(FEWEST_SHOWN - 1):
        first.answer(code, str(n), HIGH)
    first.close()
    assert json.loads((tmp_path / "predictions.jsonl").read_text("utf-8"))["lowland_minus_upland_mpa"] == {}


def test_a_question_that_nobody_answered_leaves_nothing(first: Predictions, tmp_path: Path) -> None:
    first.open(QUESTION)
    first.close()
    assert not (tmp_path / "predictions.jsonl").exists()


def test_a_damaged_line_costs_only_itself(first: Predictions, tmp_path: Path) -> None:
    path = tmp_path / "predictions.jsonl"
    path.write_bytes(b'nonsense\n[]\n{"program": "invented"}\n\xff\xfe\n{"program": "another"}\n{"program": "inv')
    first.answer(first.open(QUESTION).code, "one", HIGH)
    first.close()
    assert [each.n_answered for each in first.kept.of(QUESTION)] == [1]


def test_a_home_that_cannot_be_written_says_so_and_loses_nothing(tmp_path: Path) -> None:
    first = Predictions(KeptPredictions(tmp_path, "invented"))
    first.answer(first.open(QUESTION).code, "one", HIGH)
    with pytest.raises(PredictionsNotKept, match="close the question again"):
        first.close()
    assert first.n_answered() == 1


@pytest.mark.parametrize("size", ["", "0", "0.3", "4", "-0.4", "0,4", "inf", "0.40"])
def test_only_the_sizes_offered_are_sizes(size: str) -> None:
    with pytest.raises(PredictionRefused):
        prediction("upland", size)
    assert prediction("alike", size).difference_mpa == 0
    assert prediction("lowland", "0.4").difference_mpa == -0.4


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
    asked = settled(replace(chosen, group="shrub", question=PREDICT), teaching.holdings(), can_predict=True)
    before = VIEWS["class"].draw(teaching, asked)
    assert before.title == "In shrubs at midday in fall 2024, which ground was drier, and by how much?"
    assert before.is_empty
    question = question_of(asked, teaching.holdings())
    assert question is not None
    code = first.open(question).code
    for n in range(6):
        first.answer(code, str(n), HIGH)
    closed = first.close()
    assert closed is not None
    after = VIEWS["class"].draw(teaching, replace(asked, round=closed.opened_at))
    assert after.title == "6 of 6 expected the high ground to be drier"
    assert from_query({"round": closed.opened_at}).round == closed.opened_at
    assert VIEWS["class"].draw(teaching, replace(asked, group="tree", round=closed.opened_at)).is_empty
    assert "Choose one group" in VIEWS["class"].draw(teaching, replace(asked, group="")).reading


def test_students_are_not_offered_the_question(store: Store, chosen: Choices) -> None:
    assert settled(replace(chosen, question=PREDICT), store.holdings()).question == ""
    assert PREDICT not in offers(chosen, store.holdings())["question"].values()
    assert list(offers(chosen, store.holdings(), can_predict=True)["question"].values())[:2] == ["", PREDICT]


@pytest.mark.parametrize(
    ("text", "found"),
    [("127.0.0.1", ("127.0.0.1", 5007)), ("127.0.0.1:5080", ("127.0.0.1", 5080)), (" 192.168.1.20 ", ("192.168.1.20", 5007))],
)
def test_a_room_has_one_address(text: str, found: tuple[str, int]) -> None:
    assert room_address(text, 5006) == found


@pytest.mark.parametrize(
    "text",
    ["0.0.0.0", "224.0.0.1", "255.255.255.255", "lab.example", "", "::1", "127.0.0.1:x", "127.0.0.1:0", "127.0.0.1:70000"],  # noqa: S104  (to be refused)
)
def test_an_address_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(RoomUnreachable, match="Say this computer’s address"):
        room_address(text, 5006)


def test_a_taken_port_is_said_with_the_next_step() -> None:
    with listen_socket("127.0.0.1", 0) as holder:
        port = holder.getsockname()[1]
        with pytest.raises(RoomUnreachable, match=f"--room 127.0.0.1:{port + 1}"):
            listen_socket("127.0.0.1", port)
