"""Predict first without a server: one question at a time, one answer per phone, and nothing left of them but counts."""

from __future__ import annotations

import datetime as dt
import json
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.predicting.kept import KeptPredictions
from dashboards.predicting.predicted_view import by_direction
from dashboards.predicting.predictions import (
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
from dashboards.predicting.room_address import listen_socket, room_address
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
