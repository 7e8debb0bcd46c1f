"""The questions of a discussion: each has a figure and a sentence, none tests across groups, and what has no fair answer says why."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.answer import Answer
from dashboards.choices import Choices, from_query
from dashboards.offers import offers, settled
from dashboards.steps import stepped
from dashboards.store import Store
from dashboards.views import discussion
from dashboards.views.catalog import VIEWS
from dashboards.views.discussion import QUESTION_WORDS, QUESTIONS


def ask(store: Store, choices: Choices, question: str, **narrowed: str) -> Answer:
    return VIEWS["class"].draw(store, replace(choices, question=question, **narrowed))


@pytest.mark.parametrize("role", ["instructor", "student"])
@pytest.mark.parametrize("question", QUESTIONS)
def test_each_question_has_a_figure_and_a_sentence_for_both_roles(
    stores: dict[str, Store], chosen: Choices, role: str, question: str
) -> None:
    answer = ask(stores[role], chosen, question)
    assert answer.title == QUESTIONS[question]
    assert answer.panels
    assert answer.tables
    assert "t midday" in answer.reading
    assert answer.reading.endswith(".")
    assert "significant" not in answer.reading + " ".join(answer.fair)


def test_without_a_question_the_view_is_as_it_was(store: Store, chosen: Choices) -> None:
    plain, unknown = ask(store, chosen, ""), ask(store, settled(replace(chosen, question="' or 1=1"), store.holdings), "")
    assert plain.title == unknown.title == VIEWS["class"].draw(store, replace(chosen, question="nonsense")).title
    assert plain.title not in QUESTIONS.values()


def test_the_question_is_in_the_address_and_offered_in_order(store: Store, chosen: Choices) -> None:
    assert "question=ground" in replace(chosen, question="ground").query()
    assert from_query({"question": "rain"}).question == "rain"
    assert settled(Choices(question="rain"), store.holdings).question == "rain"
    assert list(offers(chosen, store.holdings)["question"].values()) == ["", *QUESTIONS] == list(QUESTION_WORDS.values())


def test_who_is_drier_names_the_ends_of_what_was_read(store: Store, chosen: Choices) -> None:
    means = ask(store, chosen, "drier").tables[0].frame.sort_values("value_mpa")
    reading = ask(store, chosen, "drier").reading
    for row, start in ((means.iloc[0], "the driest as read are the"), (means.iloc[-1], "the wettest are the")):
        said = re.search(rf"{start} (\w+) .*?, (−\d\.\d\d)\u00a0MPa \(mean of (\d+)\u00a0plants\)", reading)
        assert said is not None
        assert said.groups() == (row["topographic_position"], row["value"], str(row["n_plants"]))


def plants_of(rows: list[tuple[str, str, float, bool]]) -> pd.DataFrame:
    names = ["topographic_position", "functional_group", "water_potential_mpa", "below_limit"]
    frame = pd.DataFrame(rows, columns=names)
    return frame.assign(n_leaves=2, plant_key=[str(i) for i in range(len(frame))], scientific_name="Rhus glabra")


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([("upland", "shrub", -3.8, True)] * 3 + [("lowland", "shrub", -1.0, False)] * 3, "no fair answer here: only one column"),
        ([("upland", "shrub", -1.0, False)] * 3, "only one group stands at one position here"),
        (
            [("upland", "shrub", -3.8, True), *[("upland", "shrub", -2.0, False)] * 2, *[("lowland", "shrub", -1.0, False)] * 3],
            "upland shrubs, −2.00\u00a0MPa (middle of 3\u00a0plants, 1 of them drier than could be shown)",
        ),
        (
            [("upland", "tree", -3.8, True)] * 2 + [("upland", "shrub", -2.0, False)] * 3 + [("lowland", "shrub", -1.0, False)] * 3,
            "How dry these are is not known, for too many plants never reached an endpoint: upland trees (2 of 2).",
        ),
    ],
)
def test_bounds_are_no_means(rows: list[tuple[str, str, float, bool]], said: str) -> None:
    choices = Choices(semester="2024-fall", window="midday", question="drier")
    assert said in discussion.drier(Answer("", ""), plants_of(rows), choices, 2).reading


def test_alike_says_within_which_groups_and_never_between(store: Store, chosen: Choices) -> None:
    answer = ask(store, chosen, "alike")
    assert "yes in forbs, C3 grasses, C4 grasses and trees (the same kinds at every position)" in answer.reading
    assert "in part in shrubs (some kinds stand at every position)" in answer.reading
    assert "Between groups: no" in answer.reading
    assert [panel.name for panel in answer.panels] == ["history"]
    assert list(answer.tables[0].frame["elsewhere"])[3] == "Rhus glabra"


def test_a_section_is_not_given_the_history_of_the_cohort_unsaid(store: Store, chosen: Choices) -> None:
    assert "the whole cohort, not section a alone" in ask(store, chosen, "alike", section="a").fair[0]
    assert "not section" not in " ".join(ask(store, chosen, "alike").fair)


def test_alike_without_a_history_shows_the_readings(store: Store, chosen: Choices) -> None:
    readings, plants = ask(store, chosen, ""), store.plants(chosen)
    history = store.comparisons(replace(chosen, contrast="across_groups")).assign(own_history_percentile=float("nan"))
    answer = discussion.alike(readings, plants, history, chosen, 2)
    assert "none has earlier seasons enough yet" in answer.reading
    assert answer.panels == readings.panels


def contrast(who: str, difference: float | None, low: float | None, high: float | None, reason: str | None = None) -> dict[str, Any]:
    return {"who": who, "difference_mpa": difference, "ci_low_mpa": low, "ci_high_mpa": high, "reason": reason, "sentence": f"On {who}."}


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([contrast("forbs", 0.4, 0.1, 0.7), contrast("trees", 0.1, -0.2, 0.4)],
         "the high ground was drier in forbs by 0.40\u00a0MPa (95 % interval 0.10 to 0.70); it is open in trees."),
        ([contrast("forbs", -0.4, -0.7, -0.1), contrast("trees", 0.1, None, None)],
         "the low ground was drier in forbs by 0.40\u00a0MPa (95 % interval 0.10 to 0.70); it is open in trees."),
        ([contrast("forbs", 0.4, 0.1, 0.7), contrast("trees", None, None, None, "Two plants.")], "there is no fair contrast of trees."),
    ],
)  # fmt: skip
def test_high_ground_or_low_goes_by_the_intervals(rows: list[dict[str, Any]], said: str) -> None:
    told = discussion._grounds(pd.DataFrame(rows), Choices(semester="2024-fall", window="midday"), 2)
    assert told.startswith("At midday in Fall 2024, ")
    assert told.endswith(said)


@pytest.mark.parametrize(
    ("question", "narrowed", "why"),
    [
        ("ground", {"section": "a"}, "over the whole cohort and all sites"),
        ("ground", {"site": "crest"}, "over the whole cohort and all sites"),
        ("ground", {"semester": "2022-fall", "group": "shrub"}, "Fewer than three plants on one side, or bounds."),
        ("ground", {"taxon": "cordru"}, "no group or kind of plant was read on high and low ground both"),
        ("drier", {"group": "tree", "site": "crest"}, "only one group stands at one position here"),
    ],
)
def test_no_fair_answer_says_why_and_what_to_ask(store: Store, chosen: Choices, question: str, narrowed: dict[str, str], why: str) -> None:
    answer = ask(store, chosen, question, **narrowed)
    assert answer.reading.startswith("There is no fair answer here: ")
    assert why in answer.reading
    assert re.search(r"(Choose|Ask) ", answer.reading)
    assert answer.panels == ask(store, chosen, "", **narrowed).panels


def test_rain_tells_the_line_and_how_wet_this_semester_was(store: Store, chosen: Choices) -> None:
    answer = ask(store, chosen, "rain", semester="2022-fall")
    assert "a line on antecedent_index_mm" in answer.reading
    assert "At midday in Fall 2022 the index stood at 0 mm." in answer.reading
    assert "a line is no cause" in " ".join(answer.fair)


@pytest.mark.parametrize("question", QUESTIONS)
def test_an_empty_choice_says_why(store: Store, chosen: Choices, question: str) -> None:
    answer = ask(store, chosen, question, semester="2021-spring", group="tree")
    assert "no readings of trees" in answer.reading


@given(st.lists(st.text(max_size=3), min_size=1, max_size=8, unique=True), st.integers(0, 7))
def test_stepping_comes_round_through_every_code_and_back(codes: list[str], start: int) -> None:
    first = now = codes[start % len(codes)]
    seen = []
    for _ in codes:
        assert stepped(codes, stepped(codes, now, 1), -1) == now
        now = stepped(codes, now, 1)
        seen.append(now)
    assert now == first
    assert sorted(seen) == sorted(codes)
    assert stepped(codes, "none such", 1) == codes[0]
