"""Rain, Compare and Cohorts: what is drawn agrees with the store, nothing unlike is tested, and what cannot be drawn is said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from dashboards.choices import Choices
from dashboards.figures.second_scale import with_scale
from dashboards.store import Store
from dashboards.views.catalog import VIEWS
from dashboards.views.cohorts_view import MEASURES
from dashboards.views.compare_view import CONTRASTS, side_words
from dashboards.views.rain_view import AGAINST, PREDICTORS
from ingest.errors import PublishedOutdated


@pytest.mark.parametrize("against", [code for code in AGAINST.values() if code != "predawn"])
def test_every_point_of_a_predictor_is_drawn_and_each_line_ends_where_its_data_do(store: Store, chosen: Choices, against: str) -> None:
    choices = replace(chosen, against=against, group="shrub")
    points, lines = store.over_rain(choices, PREDICTORS[against].column)
    panel, _ = VIEWS["rain"].draw(store, choices).panels
    assert sorted(panel.layers["marks"]["x"]) == sorted(points["x"])
    assert len(panel.layers["bars"]["x0"]) == 3
    ends = set(panel.layers["bars"]["x0"]) | set(panel.layers["bars"]["x1"])
    assert ends <= {*lines["x_low"], *lines["x_high"]}


def test_a_line_is_not_drawn_above_0(store: Store, chosen: Choices) -> None:
    lines = store.over_rain(chosen, "modelled_relative_water")[1].assign(y_low_mpa=-1.0, y_high_mpa=0.5, x_low=0.0, x_high=3.0)
    from dashboards.views import rain_view

    panels = rain_view.draw(store.over_rain(chosen, "modelled_relative_water")[0], lines, replace(chosen, against="soil")).panels
    for panel in panels:
        assert all(y <= 0 for y in panel.layers["bars"]["y1"])
        assert all(x == pytest.approx(2.0) for x in panel.layers["bars"]["x1"])


def test_midday_over_predawn_shows_pairs_bounds_and_the_line_of_no_difference(store: Store, chosen: Choices) -> None:
    answer = VIEWS["rain"].draw(store, replace(chosen, against="predawn"))
    panel, _ = answer.panels
    assert len(panel.layers["marks"]["x"]) == 10
    assert panel.layers["marks"]["fill_alpha"].count(0.0) == 1
    assert panel.layers["ink_bars"]["x0"] == panel.layers["ink_bars"]["y0"]
    assert answer.reading == "Shrubs on the upland: midday follows half of predawn."


def test_a_group_without_a_line_shows_its_points_and_says_why(store: Store, chosen: Choices) -> None:
    answer = VIEWS["rain"].draw(store, replace(chosen, group="tree"))
    assert answer.panels
    assert "needed: 5" in answer.reading
    assert answer.title.endswith("no line can be fitted yet")


def test_a_model_is_called_a_model(store: Store, chosen: Choices) -> None:
    answer = VIEWS["rain"].draw(store, replace(chosen, against="soil"))
    assert "modelled" in " ".join(answer.fair)
    assert "model" in answer.source


def test_a_comparison_is_drawn_with_its_interval_and_told_in_the_warehouse_s_words(store: Store, chosen: Choices) -> None:
    choices = replace(chosen, contrast="between_sites")
    found = store.comparisons(choices)
    answer = VIEWS["compare"].draw(store, choices)
    known = found[found["difference_mpa"].notna()]
    assert answer.reading in set(known["sentence"])
    assert sorted(y for panel in answer.panels for y in panel.layers["ink_marks"]["y"]) == pytest.approx(sorted(known["difference_mpa"]))
    assert {panel.x_ticks[0.0] for panel in answer.panels} == {"Swale\n− Crest"}
    assert "12 tests" in " ".join(answer.fair)


def test_groups_are_never_tested_against_each_other(store: Store, chosen: Choices) -> None:
    answer = VIEWS["compare"].draw(store, replace(chosen, contrast="across_groups"))
    (panel,) = answer.panels
    assert panel.y_range[0] > panel.y_range[1]  # drier is down, as in every figure
    assert set(panel.layers["marks"]["y"]) == {75.0}
    assert panel.layers["ink_bars"]["x0"] == []
    assert "not tested" in answer.reading


@pytest.mark.parametrize(("view", "contrast", "n_beside"), [("compare", "across_groups", 0), ("cohorts", "", 1), ("compare", "", 5)])
def test_a_second_scale_in_bar_stands_only_beside_mpa(store: Store, chosen: Choices, view: str, contrast: str, n_beside: int) -> None:
    answer = with_scale(VIEWS[view].draw(store, replace(chosen, contrast=contrast)), "bar")
    assert sum(bool(panel.beside) for panel in answer.panels) == n_beside


def test_a_comparison_that_nobody_made_says_what_to_choose(store: Store, chosen: Choices) -> None:
    answer = VIEWS["compare"].draw(store, replace(chosen, contrast="after_minus_before_rain"))
    assert answer.is_empty
    assert "Another semester" in answer.reading


@pytest.mark.parametrize(
    ("kind", "side", "words"),
    [("between_sites", "crest", "Crest"), ("between_seasons", "2024-fall", "Fall 2024"), ("lowland_minus_upland", "upland", "Upland")],
)
def test_sides_are_named_as_people_name_them(kind: str, side: str, words: str) -> None:
    assert side_words(kind, side, {"crest": "Crest"}) == words
    assert kind in {*CONTRASTS.values(), "lowland_minus_upland"}


def test_cohorts_show_a_mark_per_section_and_the_sum_of_the_semester(store: Store, chosen: Choices) -> None:
    cohorts = store.cohorts
    answer = VIEWS["cohorts"].draw(store, chosen)
    assert len(answer.panels) == len(MEASURES)
    assert all(len(panel.layers["ink_marks"]["x"]) == len(cohorts) for panel in answer.panels)
    doubtful = next(panel for panel in answer.panels if panel.name == "share_doubtful_endpoint")
    assert sorted(doubtful.layers["ink_marks"]["y"]) == pytest.approx(sorted(100 * cohorts["share_doubtful_endpoint"]))
    assert "380 of 400\u00a0rows count" in answer.reading
    assert [table.caption for table in answer.tables] == ["Sections, the latest first", "Problems of the chosen semester by kind"]


def test_a_file_of_another_version_is_told(store: Store) -> None:
    with pytest.raises(PublishedOutdated, match="tautleaf build"):
        store._published.query("select no_such_column from observations", [])
