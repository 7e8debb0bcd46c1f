"""Where there is more than can be told apart, less is drawn; it adds up to the whole, and what a mark then is stands in words."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from dashboards.choices import Choices
from dashboards.figures.marks import years_told
from dashboards.figures.taking import rows_of
from dashboards.store import Store
from dashboards.views.catalog import VIEWS
from dashboards.views.rain_view import PREDICTORS


def marks_of(answer: Any) -> list[dict[str, Any]]:
    """The marks as a reader takes them along."""
    return [row for row in rows_of(answer, beside=True) if row["layer"] == "mark"]


@pytest.mark.parametrize("against", PREDICTORS)
def test_many_points_over_rain_are_drawn_in_cells_that_add_up_to_all(
    store: Store, chosen: Choices, against: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    choices, column = replace(chosen, against=against, semester="2022-fall"), PREDICTORS[against].column
    ask = store.over_predawn if column == "predawn_mpa" else lambda asked: store.over_rain(asked, column)
    points, plain = ask(choices)[0], VIEWS["rain"].draw(store, choices)
    monkeypatch.setattr("dashboards.store.MOST_POINTS", 4)
    cells, drawn = ask(choices)[0], VIEWS["rain"].draw(store, choices)
    known = points[points["x"].notna()]
    assert cells["n_points"].sum() == len(known) > len(cells) or column == "predawn_mpa"
    assert cells["n_plants"].sum() == known["n_plants"].sum()
    assert cells.loc[cells["semester"] == "2022-fall", "n_points"].sum() == (known["semester"] == "2022-fall").sum() > 0
    assert cells.loc[cells["below_limit"], "n_points"].sum() == known["below_limit"].sum()
    assert set(cells["n_dates"]) == {known["date"].nunique()}
    mean = (cells["water_potential_mpa"] * cells["n_points"]).sum() / cells["n_points"].sum()
    assert mean == pytest.approx(known["water_potential_mpa"].mean())
    soil = sum(panel.name == "soil" for panel in drawn.panels)
    panels = drawn.panels[: len(drawn.panels) - soil]
    assert sum(len(panel.layers["marks"]["x"]) for panel in panels) == len(cells)
    assert any("a mark stands for those of one position within" in row["says"] for row in rows_of(drawn, beside=True) if "says" in row)
    assert f"{known['n_plants'].sum()} plant" in drawn.counts.replace("\u00a0", " ").replace("\u202f", "")
    assert "a mark stands for" not in plain.source


def test_the_index_of_a_class_is_that_of_its_days_however_many_points_there_are(
    store: Store, chosen: Choices, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = replace(chosen, question="rain")
    few = VIEWS["class"].draw(store, asked).reading
    monkeypatch.setattr("dashboards.store.MOST_POINTS", 4)
    assert "the index stood at" in few
    assert VIEWS["class"].draw(store, asked).reading == few


def test_many_sections_are_drawn_as_the_middle_one_and_the_middle_half_of_each_semester(
    store: Store, chosen: Choices, monkeypatch: pytest.MonkeyPatch
) -> None:
    sections, plain = store.cohorts, VIEWS["cohorts"].draw(store, chosen)
    monkeypatch.setattr("dashboards.store.MOST_SECTIONS", 3)
    many = Store(store._published)
    drawn = VIEWS["cohorts"].draw(many, chosen)
    late = next(panel for panel in drawn.panels if panel.name == "share_usable")
    shares = (sections["n_usable"] / sections["n_rows"]).groupby(sections["semester"])
    assert sorted(late.layers["ink_marks"]["y"]) == pytest.approx(sorted(100 * shares.median()))
    assert sorted(late.layers["ink_bars"]["y0"]) == pytest.approx(sorted(100 * shares.quantile(0.25)))
    assert sorted(late.layers["ink_bars"]["y1"]) == pytest.approx(sorted(100 * shares.quantile(0.75)))
    assert drawn.reading == plain.reading
    assert drawn.counts == plain.counts
    assert "the middle one of a semester's" in drawn.source
    assert len(drawn.tables[0].frame) == sections["semester"].nunique()


def test_many_plants_of_a_class_are_drawn_in_cells_that_add_up_to_all(
    store: Store, chosen: Choices, monkeypatch: pytest.MonkeyPatch
) -> None:
    choices = replace(chosen, semester="2022-fall")
    plants, plain = store.plants(choices), VIEWS["class"].draw(store, choices)
    monkeypatch.setattr("dashboards.views.class_figure.MOST_PLANTS", 4)
    monkeypatch.setattr("dashboards.views.class_figure.MOST_LEAVES", 4)
    monkeypatch.setattr("dashboards.views.class_figure.MOST_ON_ONE_LINE", 7)
    monkeypatch.setattr("dashboards.views.catalog.MOST_LEAVES", 4)
    drawn = VIEWS["class"].draw(store, choices)
    told = [row["says"] for row in marks_of(drawn) if row["says"] and "on average" in row["says"]]
    assert sum(int(says.split("\u00a0")[0]) for says in told) == len(plants) > len(told)
    assert plants["below_limit"].any()
    bounds = [row for row in marks_of(drawn) if row["is_bound"]]
    assert sum(int(row["says"].split("\u00a0")[0]) for row in bounds) == plants["below_limit"].sum()
    assert all("at least as dry as" in row["says"] for row in bounds)
    assert (drawn.counts, drawn.reading, drawn.title) == (plain.counts, plain.reading, plain.title)
    for crowded, panel in zip(drawn.panels, plain.panels, strict=True):
        assert [told.count("\n") for told in crowded.x_ticks.values()] == [0, 1, 0], "the same in every panel, whose scales are one"
        assert [told.strip() for told in crowded.x_ticks.values()] == list(panel.x_ticks.values())
    assert [panel.y_range for panel in drawn.panels] == [panel.y_range for panel in plain.panels]
    assert [panel.layers["ink_bars"] for panel in drawn.panels] == [panel.layers["ink_bars"] for panel in plain.panels]
    assert any("a mark stands for those of one position within" in str(row.get("says")) for row in rows_of(drawn, beside=True))


@pytest.mark.parametrize(("n", "told"), [(24, 24), (40, 20), (66, 14), (200, 20)])
def test_few_enough_years_are_told_along_an_axis_to_be_read(n: int, told: int) -> None:
    years = years_told(range(1956, 1956 + n))
    assert abs(len(years) - told) <= 1
    assert len({after - before for before, after in pairwise(years)}) == 1
