"""The ground under the plants: the hill as a section, lowland minus upland over the water before it, a semester's modelled soil."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pandas as pd
import pytest

from dashboards.choices import Choices
from dashboards.figures import marks
from dashboards.figures.panel import Panel
from dashboards.store import Store
from dashboards.views import hill_section, soil_strip
from dashboards.views.catalog import VIEWS
from dashboards.views.hillslope_view import FEWEST_SEASONS

DRY = "2022-fall"


def last(store: Store, name: str, choices: Choices) -> tuple[Any, Panel]:
    answer = VIEWS[name].draw(store, choices)
    return answer, answer.panels[-1]


def test_the_hill_is_drawn_from_heights_and_soil_to_one_scale(store: Store, chosen: Choices) -> None:
    _, panel = last(store, "hillslope", replace(chosen, semester=DRY))
    times = hill_section.thickened(store.hill(chosen))
    assert f"soil {times} times as thick" in panel.title
    assert panel.layers["marks"]["shape"] == [marks.POSITION_SHAPES[position] for position in ("upland", "slope", "lowland")]
    assert panel.layers["marks"]["colour"] == [marks.POSITION_COLOURS[position] for position in ("upland", "slope", "lowland")]
    ground = [(x0, y0) for x0, x1, y0, y1 in zip(*(panel.layers["ink_bars"][n] for n in ("x0", "x1", "y0", "y1")), strict=True) if y0 == y1]
    assert [y for _, y in ground] == [52.0, 45.0, 14.0]
    blocks = panel.layers["blocks"]
    soil, water, deep, wet = (top - bottom for top, bottom in zip(blocks["top"], blocks["bottom"], strict=True))
    assert (soil, deep) == pytest.approx((0.3 * times, 1.2 * times))
    assert (water, wet) == pytest.approx((0.0, 0.5 * deep))  # in the drought the upland's soil is empty, the lowland's half full
    assert len(panel.layers["model_lines"]["xs"]) == 2
    assert panel.title.endswith("its water by the model, %")
    assert panel.layers["words"]["text"] == ["0\u00a0%", "50\u00a0%"]
    assert 1.2 * times <= 0.4 * 38.0 < 1.2 * (2.5 * times)


def test_the_hill_is_told_in_words_and_as_a_table(store: Store, chosen: Choices) -> None:
    answer, _ = last(store, "hillslope", replace(chosen, semester=DRY))
    said = " ".join(answer.fair)
    assert "Crest at 52\u00a0m, 0.30\u00a0m of sandy loam, by the model 0\u00a0% full" in said
    assert "no soil depth in the register" in said
    assert "nobody measured it" in said
    table = answer.tables[1].frame
    assert list(table["height"]) == ["52", "45", "14"]
    assert list(table["water"]) == ["0", "", "50"]


def test_sites_without_an_elevation_are_not_on_the_section_and_said_so(store: Store, chosen: Choices) -> None:
    sites = store.hill(chosen)
    lacking = sites.assign(elevation_m=sites["elevation_m"].where(sites["site"] != "swale"))
    panel = hill_section.section(lacking, chosen.semester)
    assert panel is not None
    assert len(panel.layers["marks"]["x"]) == 2
    assert "Not on the section: the register of sites has no elevation of Swale." in hill_section.told(lacking, chosen.semester)
    assert list(hill_section.table(lacking, chosen.semester).frame["place"]) == [1, 2, ""]
    none = sites.assign(elevation_m=float("nan"))
    assert hill_section.section(none, chosen.semester) is None
    assert hill_section.told(none, chosen.semester)[0].startswith("The hill is not drawn")


@pytest.mark.parametrize(
    ("heights", "depths"), [([10.0], [1.0]), ([10.0, 10.0], [None, None]), ([0.0, 900.0], [0.2, 9.0]), ([-3.0, -1.0], [2.0, 0.1])]
)
def test_any_hill_fits_its_panel(heights: list[float], depths: list[float | None]) -> None:
    names = [f"site {i}" for i in range(len(heights))]
    sites = pd.DataFrame({"site": names, "site_name": names, "elevation_m": heights, "soil_depth_m": depths})
    sites = sites.assign(topographic_position="slope", soil_texture=None, relative_water_at_field=0.5, reason=None)
    panel = hill_section.section(sites, DRY)
    assert panel is not None
    low, high = panel.y_range
    drawn = [*panel.layers["blocks"]["bottom"], *panel.layers["marks"]["y"], *panel.layers["words"]["y"]]
    assert all(low < y < high for y in drawn)


@pytest.mark.parametrize(("across", "column", "times"), [("index", "antecedent_index_mm", 1), ("soil", "upland_relative_water", 100)])
def test_differences_stand_over_the_water_before_them(store: Store, chosen: Choices, across: str, column: str, times: int) -> None:
    choices = replace(chosen, across=across, group="shrub")
    found = store.contrasts(choices, every_semester=True).merge(store.conditions(choices), on=["semester", "functional_group"])
    answer = VIEWS["hillslope"].draw(store, choices)
    layer = answer.panels[0].layers["ink_marks"]
    assert sorted(layer["x"]) == pytest.approx(sorted(times * found[column]))
    known = found[found["difference_mpa"].notna()].sort_values(column, kind="stable")
    assert len(known) >= FEWEST_SEASONS
    middle = known["difference_mpa"].iloc[: len(known) // 2].median()
    assert f"the middle difference of shrubs was {middle:+.2f}" in answer.reading
    assert "No line is fitted" in " ".join(answer.fair)
    assert "across" in answer.tables[0].headings


def test_the_soil_of_the_semester_is_dashed_broken_where_unknown_and_marked_where_leaves_were_read(store: Store, chosen: Choices) -> None:
    choices = replace(chosen, semester=DRY)
    answer, panel = last(store, "rain", choices)
    days, sampled = store.soil_days(choices)
    assert (panel.name, panel.is_wide, panel.is_in_mpa) == ("soil", True, False)
    assert "(model)" in panel.title
    lines = panel.layers["model_lines"]
    assert [len(xs) for xs in lines["xs"]] == [81, 81]  # ten of ninety-one days are not known
    assert [set(ys) for ys in lines["ys"]] == [{0.0}, {50.0}]
    assert sorted(panel.layers["marks"]["x"]) == sorted(marks.on_time(row.date) for row in sampled.itertuples() if row.site != "bench")
    assert "When Fall 2022 was read: Crest 0\u00a0% and Swale 50\u00a0% of what plants can take." in answer.fair
    assert "Where the line is broken the model does not know the soil: A day has no rain data." in answer.fair
    parted = days.assign(relative_water=[None if i % 91 == 50 else 0.5 for i in range(len(days))])
    broken = soil_strip.strip(parted, sampled, DRY)
    assert broken is not None
    assert len(broken.layers["model_lines"]["xs"]) == 4


def test_a_reading_on_a_day_that_the_model_does_not_know_is_a_cross(store: Store, chosen: Choices) -> None:
    days, sampled = store.soil_days(chosen)
    read = set(sampled["date"])
    panel = soil_strip.strip(days.assign(relative_water=days["relative_water"].mask(days["date"].isin(read))), sampled, chosen.semester)
    assert panel is not None
    assert panel.layers["ink_marks"]["shape"] == ["x", "x"]
    assert panel.layers["marks"]["x"] == []


def test_without_a_modelled_day_the_reason_is_told(store: Store, chosen: Choices) -> None:
    days, sampled = store.soil_days(chosen)
    none = days.assign(relative_water=None, reason="No temperatures were loaded.")
    assert soil_strip.strip(none, sampled, chosen.semester) is None
    assert soil_strip.told(none, sampled, chosen.semester) == ["The soil water of Fall 2024 is not drawn: No temperatures were loaded."]
    assert "no day of it is modelled" in soil_strip.told(days.iloc[:0], sampled, chosen.semester)[0]


def test_points_of_the_chosen_semester_are_strong(store: Store, chosen: Choices) -> None:
    choices = replace(chosen, semester=DRY, group="shrub")
    points = store.over_rain(choices, "days_since_rain")[0]
    layer = VIEWS["rain"].draw(store, choices).panels[0].layers["marks"]
    assert layer["line_alpha"].count(0.95) == int((points["semester"] == DRY).sum()) > 0
