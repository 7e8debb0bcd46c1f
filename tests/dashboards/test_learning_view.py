"""The Learning view: each cohort's mark, what is hidden said to be hidden, gaps named, and a way on where nothing is loaded."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from typing import Any

import pandas as pd
import pytest

from dashboards.choices import Choices
from dashboards.figures.redraw import plain, redraw
from dashboards.figures.taking import csv_of, rows_of
from dashboards.store import Store
from dashboards.views.catalog import VIEWS, shown, views_of
from dashboards.views.learning_view import NOTHING, Learned, draw
from tests.dashboards.invented_learning import SCRIPT, SMALL, InMemory


def seen(stores: dict[str, Store], role: str, **chosen: str) -> Any:
    """The view as a role has it."""
    return shown(VIEWS["learning"], stores[role], Choices(**chosen))


def test_instructors_and_reviewers_have_the_view_and_students_have_not(stores: dict[str, Store]) -> None:
    assert [role for role in stores if VIEWS["learning"] in views_of(role)] == ["instructor", "reviewer"]
    assert not [table for table in stores["student"].tables if table.startswith(("learning", "outcome", "rubric", "assess"))]


@pytest.mark.parametrize(("role", "n_told"), [("instructor", "31\u00a0matched"), ("reviewer", "at least 30\u00a0matched")])
def test_outcomes_gains_scores_and_method_stand_under_each_other(stores: dict[str, Store], role: str, n_told: str) -> None:
    answer = seen(stores, role, semester="2024-fall").answer
    names = [panel.name for panel in answer.panels]
    assert names[:5] == ["wp_contrast rubric", "wp_reading assessment", "wp_reading rubric", "survey", "survey scores"]
    assert names[5:] == ["n_usable", "n_flagged", "n_set_aside", "n_doubtful_endpoint", "n_late"]
    assert not any(panel.is_in_mpa for panel in answer.panels)
    scores = answer.panels[4].layers
    assert {40, 71} <= {int(y) for y in scores["ink_marks"]["y"]}
    assert n_told in answer.counts
    assert "31\u00a0students scored" in answer.counts


def test_the_mark_of_a_cohort_lies_within_its_interval_and_the_target_is_a_level_line(stores: dict[str, Store]) -> None:
    panel = seen(stores, "instructor", semester="2024-fall").answer.panels[1].layers
    assert sorted(panel["ink_marks"]["y"]) == pytest.approx([100 * 4 / 7, 100 * 19 / 31])
    level, *bars = zip(panel["ink_bars"]["y0"], panel["ink_bars"]["y1"], strict=True)
    assert level == pytest.approx((70, 70))
    assert all(low < y < high for (low, high), y in zip(bars, panel["ink_marks"]["y"], strict=True))


def test_what_is_hidden_is_said_and_never_drawn_as_zero(stores: dict[str, Store]) -> None:
    answer = seen(stores, "reviewer", semester=SMALL).answer
    _, outcome, rubric, gain, scores = answer.panels[:5]
    assert [panel.layers["words"]["text"] for panel in (outcome, gain, scores)] == [["?"]] * 3
    assert all(y > 0 for panel in (outcome, rubric, gain, scores) for y in panel.layers["ink_marks"]["y"])
    assert "at least 75 % of 40\u00a0students" in rubric.layers["ink_marks"]["says"][0]
    assert answer.source.count("A question mark: hidden") == 1
    assert any("Hidden here: 2 of 6" in said for said in answer.unknown)
    assert "is hidden, so that it tells of nobody" in answer.reading
    assert "57" not in answer.side_html() + answer.tables_html()


def test_gaps_are_named(stores: dict[str, Store]) -> None:
    answer = seen(stores, "reviewer", semester="2024-fall").answer
    assert "Argues a fair contrast (wp_contrast): no evidence in Spring 2024 and Fall 2024." in answer.unknown
    assert any(said.startswith("Semesters without any assessment: ") for said in answer.unknown)
    assert "1\u00a0outcome has no evidence" in answer.reading


def test_outcome_and_instrument_are_words_of_the_sentence(stores: dict[str, Store]) -> None:
    found = seen(stores, "reviewer", semester="2024-fall", outcome="wp_reading", instrument="nonsense")
    assert (found.choices.outcome, found.choices.instrument) == ("wp_reading", "")
    words = {"Argues a fair contrast (wp_contrast)": "wp_contrast", "Reads a pressure chamber… (wp_reading)": "wp_reading"}
    assert found.offered["outcome"] == {"all outcomes": "", **words}
    assert found.offered["instrument"] == {"all instruments": "", "survey": "survey"}
    assert found.answer.reading.startswith("In Fall 2024, 19 of 31 scored students attained “Reads a pressure chamber")
    assert found.choices.query() == "?semester=2024-fall&window=midday&outcome=wp_reading"
    alone = seen(stores, "reviewer", semester="2024-fall", outcome="wp_contrast")
    assert [panel.name for panel in alone.answer.panels if panel.name.startswith("wp_")] == ["wp_contrast rubric"]
    assert "no evidence" in alone.answer.reading


def test_an_outcome_is_named_by_its_statement_whole_in_the_tables(stores: dict[str, Store]) -> None:
    answer = seen(stores, "instructor", semester="2024-fall").answer
    reads = "%: Reads a pressure chamber <script>window.stung =… (wp_reading)"
    titles = ["Rubric, %: Argues a fair contrast (wp_contrast)", f"Assessment, {reads}", f"Rubric, {reads}"]
    assert [panel.title for panel in answer.panels[:3]] == titles
    whole = f"Reads a pressure chamber {SCRIPT} (wp_reading)"
    said, outcomes = answer.tables[:2]
    assert {"Argues a fair contrast (wp_contrast)", whole} <= set(said.frame["what"])
    assert {"Argues a fair contrast (wp_contrast)", whole} == set(outcomes.frame["Outcome"])
    assert "Reads a pressure chamber…, assessment: 31\u00a0students scored" in answer.counts


def test_a_semester_that_holds_nothing_is_told(stores: dict[str, Store]) -> None:
    answer = seen(stores, "reviewer", semester="2019-fall").answer
    assert "In Fall 2019 no outcome can be set against its target." in answer.reading
    assert "No instrument was written before and after in Fall 2019." in answer.unknown


def test_without_assessments_the_method_is_shown_and_the_next_step_told(stores: dict[str, Store]) -> None:
    empty = pd.DataFrame()
    answer = draw(Learned(empty, empty, empty, stores["reviewer"].method(), 10), Choices(semester="2024-fall"))
    assert answer.reading == NOTHING == "No assessment has been loaded yet. Load one with: tautleaf load FILE"
    assert answer.panels[0].name == "n_usable"
    nothing = draw(Learned(empty, empty, empty, empty), Choices())
    assert nothing.is_empty
    assert nothing.reading == NOTHING


def test_a_file_of_a_home_without_readings_is_drawn(stores: dict[str, Store]) -> None:
    """Registers and scores alone: the semester is that of the scores."""
    tables = {name: stores["reviewer"].learning(name) for name in ("learning_gains", "learning_outcomes", "learning_items")}
    kept = ("build_info", "semesters", "site_season", "cohort_quality")
    tables |= {name: stores["reviewer"]._published.query(f"select * from {name}", []) for name in kept}  # noqa: S608  # our own names
    tables |= {name: tables[name].iloc[:0] for name in kept[2:]}
    found = shown(VIEWS["learning"], Store(InMemory(tables)), Choices())
    assert found.choices.semester == "2024-fall"
    assert found.answer.panels


def test_the_figure_is_taken_as_it_stands(stores: dict[str, Store]) -> None:
    answer = seen(stores, "reviewer", semester="2024-fall").answer
    rows = list(csv.DictReader(io.StringIO(csv_of(rows_of(answer, beside=False)).decode("utf-8-sig"))))
    drawn = {panel.name: sum(row["panel"] == panel.name and row["layer"] == "mark" for row in rows) for panel in answer.panels}
    assert drawn == {panel.name: len(panel.layers["ink_marks"]["y"]) for panel in answer.panels}
    assert sum(row["layer"] == "word" for row in rows) == 3
    assert len(redraw(plain(io.StringIO(csv_of(rows_of(answer, beside=False)).decode("utf-8-sig")))).axes) == len(answer.panels)


def test_hostile_statements_are_only_text(stores: dict[str, Store]) -> None:
    answer = seen(stores, "instructor", semester="2024-fall", outcome="wp_reading").answer
    assert SCRIPT in answer.reading
    assert SCRIPT not in answer.side_html() + answer.tables_html()


def test_the_chosen_semester_is_strong(stores: dict[str, Store]) -> None:
    choices = seen(stores, "instructor", semester="2024-fall").choices
    first = VIEWS["learning"].draw(stores["instructor"], replace(choices, semester=SMALL)).panels[1].layers["ink_marks"]
    assert dict(zip(first["says"], first["size"], strict=True)) == {
        "Spring 2024: 57 % of 7\u00a0students": 9,
        "Fall 2024: 61 % of 31\u00a0students": 6,
    }
