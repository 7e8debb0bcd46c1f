"""The Class view: every usable reading a mark, plants larger, bounds open with an arrow, and no comparison across groups."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pandas as pd
import pytest

from dashboards.answer import Answer
from dashboards.choices import Choices
from dashboards.figures import marks
from dashboards.store import Store
from dashboards.views import class_view, class_words
from dashboards.views.catalog import VIEWS


@pytest.fixture
def drought(chosen: Choices) -> Choices:
    """The semester of the drought, in which some leaves never reached an endpoint."""
    return replace(chosen, semester="2022-fall")


def _draw(store: Store, choices: Choices) -> Answer:
    return VIEWS["class"].draw(store, choices)


def test_every_usable_reading_and_every_plant_is_a_mark(store: Store, chosen: Choices) -> None:
    n_marks = sum(len(panel.layers["marks"]["x"]) for panel in _draw(store, chosen).panels)
    assert n_marks == len(store.leaves(chosen)) + len(store.plants(chosen))
    assert n_marks > 400


def test_panels_share_their_axis_with_zero_at_the_top(store: Store, chosen: Choices) -> None:
    panels = _draw(store, chosen).panels
    assert [panel.name for panel in panels] == ["forb", "c3_grass", "c4_grass", "shrub", "tree"]
    assert len({panel.y_range for panel in panels}) == 1
    assert panels[0].y_range[0] < min(store.leaves(chosen)["water_potential_mpa"])
    assert max(panels[0].y_ticks) == 0
    assert 0 <= panels[0].y_range[1] < 0.2


def test_positions_have_one_colour_and_one_shape_from_high_to_low_ground(store: Store, chosen: Choices) -> None:
    for panel in _draw(store, chosen).panels:
        layer = panel.layers["marks"]
        looks = set(zip(layer["shape"], layer["colour"], strict=True))
        assert looks == {("triangle", "#D55E00"), ("diamond", "#7B4EA3"), ("inverted_triangle", "#0072B2")}
        middle = {shape: [x for x, s in zip(layer["x"], layer["shape"], strict=True) if s == shape] for shape, _ in looks}
        assert max(middle["triangle"]) < min(middle["diamond"]) < max(middle["diamond"]) < min(middle["inverted_triangle"])


def test_plants_are_larger_than_their_leaves_and_stand_over_them(store: Store, chosen: Choices) -> None:
    for panel in _draw(store, chosen).panels:
        layer = panel.layers["marks"]
        sizes = sorted(set(layer["size"]))
        assert len(sizes) == 2
        assert sizes[1] >= 2 * sizes[0]
        at = {size: {x for x, s in zip(layer["x"], layer["size"], strict=True) if s == size} for size in sizes}
        assert at[sizes[0]] == at[sizes[1]]


def test_a_bound_is_open_with_an_arrow_down_from_its_limit(store: Store, drought: Choices) -> None:
    leaves, plants = store.leaves(drought), store.plants(drought)
    bounds = leaves[leaves["below_limit"]]
    assert len(bounds) > 0
    panels = _draw(store, drought).panels
    arrows = [(xs, ys) for panel in panels for xs, ys in zip(panel.layers["arrows"]["xs"], panel.layers["arrows"]["ys"], strict=True)]
    assert len(arrows) == len(bounds) + int(plants["below_limit"].sum())
    for _, ys in arrows:
        assert ys[0] > min(ys) >= panels[0].y_range[0]
    layers = [panel.layers["marks"] for panel in panels]
    filled = [pair for layer in layers for pair in zip(layer["fill_alpha"], layer["says"], strict=True)]
    assert sum(fill == 0.0 for fill, _ in filled) == len(arrows)
    assert all("at least as dry as" in says for fill, says in filled if fill == 0.0)


def test_bounds_are_told_in_words_and_hide_the_mean(store: Store, drought: Choices) -> None:
    answer = _draw(store, drought)
    assert "never reached an endpoint" in answer.counts
    assert any("the mean is not known" in caveat for caveat in answer.fair)
    table = answer.tables[0].frame
    assert set(table.loc[table["n_below_limit"] > 0, "kind"]) <= {"median", ""}


@pytest.mark.parametrize(
    ("intervals", "title"),
    [
        ({"forb": (0.1, 0.4), "shrub": (0.2, 0.9)}, "Upland was drier in both groups"),
        ({"forb": (0.1, 0.4), "shrub": (0.2, 0.9), "tree": (-0.2, 0.3)}, "Upland was drier in every group but the trees"),
        ({"forb": (0.1, 0.4), "shrub": (-0.2, 0.9), "tree": (-0.2, 0.3)}, "Upland was drier in forbs"),
        ({"shrub": (-0.9, -0.1)}, "Lowland shrubs were drier"),
        ({"forb": (0.1, 0.4), "shrub": (-0.9, -0.1)}, "Upland was drier in forbs, lowland in shrubs"),
        ({"forb": (-0.1, 0.4)}, "No clear difference between upland and lowland"),
        ({}, "All groups in Fall 2024 at midday"),
    ],
)
def test_the_title_says_what_the_intervals_show(intervals: dict[str, tuple[float, float]], title: str) -> None:
    rows = [{"functional_group": group, "ci_low_mpa": low, "ci_high_mpa": high} for group, (low, high) in intervals.items()]
    contrasts = pd.DataFrame(rows, columns=["functional_group", "ci_low_mpa", "ci_high_mpa"])
    assert class_words.title(contrasts, Choices(semester="2024-fall", window="midday")) == title


def test_a_group_without_a_contrast_is_not_claimed() -> None:
    rows = [("forb", 0.1, 0.4), ("shrub", 0.2, 0.9), ("c4_grass", float("nan"), float("nan"))]
    contrasts = pd.DataFrame(rows, columns=["functional_group", "ci_low_mpa", "ci_high_mpa"])
    assert class_words.title(contrasts, Choices(semester="2018-fall", window="midday")) == "Upland was drier in forbs and shrubs"


def test_the_reading_has_numbers_units_and_n(store: Store, chosen: Choices) -> None:
    reading = _draw(store, chosen).reading
    for part in ("t midday in Fall 2024, in ", " MPa", "95 % interval", "plants", "leaves"):
        assert part in reading


def test_a_section_has_means_of_its_own_and_no_contrast_of_the_cohort(store: Store, chosen: Choices) -> None:
    whole, section = _draw(store, chosen), _draw(store, replace(chosen, section="a"))
    assert section.title == "All groups in Fall 2024 at midday"
    assert "section a" in section.reading
    assert section.reading != whole.reading
    assert len(store.plants(replace(chosen, section="a"))) < len(store.plants(chosen))


def test_it_says_what_may_not_be_compared(store: Store, chosen: Choices) -> None:
    fair = " ".join(_draw(store, chosen).fair)
    assert "nothing is tested across panels" in fair
    assert "The shrubs are not the same kinds at every position; for a fairer look choose Cornus drummondii" in fair


def test_nothing_there_is_a_sentence(store: Store, chosen: Choices, invented: Any) -> None:
    none = replace(chosen, taxon="rhugla", site="swale")
    answer = class_view.draw(store.leaves(none), store.plants(none), store.contrasts(none), none, why_empty="Because.")
    assert answer.is_empty
    assert answer.reading == "Because."


def test_names_are_text_not_html(store: Store, chosen: Choices, invented: Any) -> None:
    answer = _draw(store, replace(chosen, taxon="cordru"))
    assert "<script" not in answer.side_html() + answer.tables_html()
    assert "&lt;script&gt;" in _draw(store, chosen).side_html()


@pytest.mark.parametrize(("driest", "step"), [(-0.3, 0.05), (-1.1, 0.2), (-2.5, 0.5), (-4.2, 1.0), (-12.0, 2.0)])
def test_ticks_are_round_and_few(driest: float, step: float) -> None:
    ticks = marks.potential_ticks(driest)
    assert ticks[0] == 0
    assert ticks[1] == pytest.approx(-step)
    assert driest <= ticks[-1] + 1e-9
    assert len(ticks) <= 7


def test_plants_that_are_bounds_all_of_them_are_drawn_without_a_mean(store: Store, chosen: Choices) -> None:
    shrubs = replace(chosen, group="shrub")
    leaves, plants = (frame.assign(below_limit=True) for frame in (store.leaves(shrubs), store.plants(shrubs)))
    answer = class_view.draw(leaves, plants, store.contrasts(shrubs), shrubs)
    assert answer.panels[0].y_range[0] < min(plants["water_potential_mpa"])
    assert answer.panels[0].layers["ink_marks"]["y"] == []
