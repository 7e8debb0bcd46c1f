"""The contrast of two lists of plants against general libraries, and where it makes none."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import duckdb
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.references.contrast_data import DRUG_1, DRUG_2, MISSISSIPPI, QUEBEC
from warehouse.remembered import Remembered
from warehouse.statistics.contrasts import PlantContrast, plant_contrast
from warehouse.statistics.contrasts_of_leaves import mixed_contrast
from warehouse.statistics.effect_size import hedges_g
from warehouse.statistics.resampling import bca_interval
from warehouse.statistics_in_sql import guarded, register_statistics


def contrast(first: Sequence[float], second: Sequence[float], **more: Any) -> PlantContrast:
    n = len(first) + len(second)
    columns: dict[str, Any] = {"below_limit": [False] * n, "site": [""] * n, "same_plant": [None] * n} | more
    is_first = [True] * len(first) + [False] * len(second)
    return plant_contrast([*first, *second], columns["below_limit"], is_first, columns["site"], columns["same_plant"])


def test_welch_as_scipy_has_it() -> None:
    from scipy.stats import ttest_ind

    rng = np.random.default_rng(5)
    for n_first, n_second in ((3, 3), (4, 17), (30, 8)):
        first, second = rng.normal(-1.2, 0.2, n_first), rng.normal(-1.6, 0.6, n_second)
        theirs, ours = ttest_ind(first, second, equal_var=False), contrast(first.tolist(), second.tolist())
        interval = theirs.confidence_interval(0.95)
        assert (ours.df, ours.p_value) == pytest.approx((theirs.df, theirs.pvalue), rel=1e-9)
        assert (ours.ci_low_mpa, ours.ci_high_mpa) == pytest.approx((interval.low, interval.high), rel=1e-9)


def test_hedges_g_as_pingouin_has_it() -> None:
    """pingouin 0.7.0 corrects by 1 - 3/(4 df - 1) where Hedges (1981) has a ratio of gammas: within 0.2 % from df 8 on."""
    import pingouin

    for first, second in ((QUEBEC, MISSISSIPPI), (DRUG_1, DRUG_2)):
        assert contrast(first, second).hedges_g == pytest.approx(pingouin.compute_effsize(first, second, eftype="hedges"), rel=2e-3)


def test_the_correction_of_g_for_small_samples() -> None:
    """Hedges 1981, table 1 (from memory): J of 2, 3 and 10 degrees of freedom is .5642, .7236 and .9228."""
    for df, expected in ((2, 0.5642), (3, 0.7236), (10, 0.9228)):
        found = hedges_g(1.0, df, 1.0)
        assert found is not None
        assert found[0] == pytest.approx(expected, abs=1e-4)


SKEWED = tuple(float(value) for value in np.exp(np.random.default_rng(2).normal(0, 1.5, 7)))


@pytest.mark.parametrize(
    ("samples", "share"), [((QUEBEC, MISSISSIPPI), 0.06), ((DRUG_1, DRUG_2), 0.06), ((SKEWED, (0, 0.1, 0.2, 0.1, 0.05)), 0.015)]
)
def test_bootstrap_as_scipy_has_it(samples: tuple[tuple[float, ...], ...], share: float) -> None:
    """scipy.stats.bootstrap, BCa, 99999 resamples of its own: ends within this share of half the interval.

    A quantile of 9999 resamples is off by some 2 % of it, and means of few values lie apart. Of the skewed plants both ends agree
    better by luck, so that the bias, which moves them by 2 %, can be seen.
    """
    from scipy.stats import bootstrap

    theirs = bootstrap(samples, lambda a, b, axis: a.mean(axis) - b.mean(axis), n_resamples=99_999, rng=np.random.default_rng(1))
    low, high = theirs.confidence_interval
    ours = bca_interval([(np.array(samples[0]), 1.0), (np.array(samples[1]), -1.0)])
    assert ours == pytest.approx((low, high), abs=share * (high - low) / 2)


def test_within_sites_the_difference_is_that_of_least_squares() -> None:
    """With the same number of plants everywhere: statsmodels' OLS of potential on side and site."""
    import statsmodels.api as sm

    rng = np.random.default_rng(8)
    first, second = rng.normal(-1, 0.2, 12), rng.normal(-1.3, 0.2, 12)
    site = np.tile(np.repeat([0, 1, 2], 4), 2)
    values = np.concatenate([first, second]) + site
    ours = contrast(values[:12].tolist(), values[12:].tolist(), site=[str(place) for place in site])
    design = np.column_stack([np.ones(24), np.arange(24) < 12, site == 1, site == 2]).astype(float)
    assert ours.method == "by_site"
    assert ours.difference_mpa == pytest.approx(sm.OLS(values, design).fit().params[1], rel=1e-9)
    parts = [values[(site == place) & ((np.arange(24) < 12) == side)] for place in range(3) for side in (True, False)]
    assert ours.se_mpa == pytest.approx(math.sqrt(sum(part.var(ddof=1) / 4 for part in parts) / 9), rel=1e-9)


def test_plants_of_which_some_stand_on_both_sides() -> None:
    """Sleep with the last three patients taken for strangers: between the paired and the unpaired interval."""
    shared = contrast(DRUG_1, DRUG_2, same_plant=[*"abcdefghij", *"abcdefgxyz"])
    paired = contrast(DRUG_1, DRUG_2, same_plant=[*"abcdefghij"] * 2)
    apart = contrast(DRUG_1, DRUG_2)
    assert (shared.method, paired.method, apart.method) == ("mixed", "paired", "welch")
    assert (shared.se_mpa or math.inf) < (apart.se_mpa or 0)


def test_leaves_of_plants_that_do_not_differ_are_no_more_replicates_than_the_plants() -> None:
    """Where the variance of plants is 0 the degrees of freedom are those of the plants, not of the leaves."""
    leaf = [-1.0, -1.4, -1.3, -1.1, -1.1, -1.3, -1.4, -1.0] * 2
    plant = [str(n // 2) for n in range(16)]
    found = mixed_contrast(leaf, [n < 8 for n in range(16)], [""] * 16, plant, [None] * 16, [None] * 16)
    assert (found.at_boundary, found.sd_plant_mpa, found.df) == ("plant", 0.0, 6.0)


FOUR = [-1.0, -1.2, -1.3, -1.1]
HUGE = [-1e200, -2e200, -3e200]


@pytest.mark.parametrize(
    ("first", "second", "more", "code"),
    [
        ([], FOUR, {}, "side_without_plants"),
        (FOUR[:1], FOUR, {}, "few_plants"),
        (FOUR[:2], FOUR[:2], {}, "few_plants"),
        (FOUR[:2], FOUR[:2], {"same_plant": ["a", "b"] * 2}, "few_shared_plants"),
        ([-1.0] * 3, [-2.0] * 3, {}, "no_spread_within_sides"),
        ([-1.0, -1.1, -1.2], [-2.0, -2.1, -2.2], {"same_plant": ["a", "b", "c"] * 2}, "no_spread_of_differences"),
        (FOUR, FOUR, {"below_limit": [True] * 8}, "few_values"),
        (FOUR, FOUR, {"below_limit": [True] + [False] * 7, "same_plant": ["a", "b", "c", "d"] * 2}, "bounds_in_pairs"),
        (FOUR, FOUR, {"below_limit": [True] + [False] * 7, "site": ["x", "y"] * 4}, "bounds_at_several_sites"),
        (FOUR, FOUR, {"site": ["x", "x", "x", "y"] * 2}, "site_of_one_plant"),
        (HUGE, FOUR, {}, "not_finite"),
        ([math.nan, -1.0, -2.0], FOUR, {}, "not_computable"),
        ([math.inf, -1.0, -2.0], FOUR, {}, "not_computable"),
    ],
)
def test_where_there_is_no_test_it_says_why(first: list[float], second: list[float], more: dict[str, Any], code: str) -> None:
    n = len(first) + len(second)
    columns: dict[str, Any] = {"below_limit": [False] * n, "site": [""] * n, "same_plant": [None] * n} | more
    is_first = [True] * len(first) + [False] * len(second)
    found = guarded(plant_contrast, [*first, *second], columns["below_limit"], is_first, columns["site"], columns["same_plant"])
    assert found["reason_code"] == code
    assert found["reason"]
    assert found["p_value"] is None
    assert not any(isinstance(value, float) and not math.isfinite(value) for value in found.values())


potentials = st.lists(st.floats(-8, -0.1).map(lambda value: round(value, 3)), min_size=3, max_size=12)


@given(potentials, potentials)
@settings(max_examples=40)
def test_turning_the_sides_turns_the_sign_and_nothing_else(first: list[float], second: list[float]) -> None:
    there, back = contrast(first, second), contrast(second, first)
    assert there.reason_code == back.reason_code
    if there.difference_mpa is not None and back.difference_mpa is not None:
        assert there.difference_mpa == pytest.approx(-back.difference_mpa, abs=1e-12)
    if there.ci_low_mpa is not None and back.ci_high_mpa is not None:
        assert (there.ci_low_mpa, there.p_value) == pytest.approx((-back.ci_high_mpa, back.p_value), abs=1e-9)
        assert there.ci_low_mpa <= (there.difference_mpa or 0) <= (there.ci_high_mpa or 0)


@given(potentials, potentials, st.floats(0.1, 5))
@settings(max_examples=25)
def test_the_unit_of_the_values_does_not_matter_to_the_size_of_the_effect(first: list[float], second: list[float], unit: float) -> None:
    plain, changed = contrast(first, second), contrast([unit * v for v in first], [unit * v for v in second])
    if plain.hedges_g is not None:
        assert (changed.hedges_g, changed.p_value, changed.df) == pytest.approx((plain.hedges_g, plain.p_value, plain.df), rel=1e-6)
    if plain.bca_low_mpa is not None:
        assert changed.bca_low_mpa == pytest.approx(unit * plain.bca_low_mpa, rel=1e-6, abs=1e-9)


def test_the_same_plants_give_the_same_interval_in_sql(tmp_path: Path) -> None:
    """A resample is drawn once and for all: the function in SQL, asked twice, and in Python give one result."""
    connection = duckdb.connect()
    register_statistics(connection, Remembered(tmp_path / "kept.json"))
    lists = [list(DRUG_1 + DRUG_2), [False] * 20, [True] * 10 + [False] * 10, [""] * 20, [None] * 20]
    asked = "SELECT plant_contrast(?::DOUBLE[], ?::BOOLEAN[], ?::BOOLEAN[], ?::VARCHAR[], ?::VARCHAR[])"
    found = connection.execute(asked, lists).fetchone()
    assert found is not None
    assert found[0] == asdict(contrast(DRUG_1, DRUG_2))
