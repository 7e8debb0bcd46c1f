"""Fair contrasts through the models against published values and general libraries, and what they must never do.

Values enter as one leaf per plant with the sign turned where the source's are positive, since a potential is never above 0.
"""

from __future__ import annotations

import datetime as dt
import math
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import duckdb
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.references.test_mixed_models import CO2
from tests.warehouse.tiny_home import days_from, rain, reading, receive, tiny_home
from warehouse.build import build
from warehouse.published import Published, open_published
from warehouse.remembered import Remembered
from warehouse.statistics.contrasts import PlantContrast, plant_contrast
from warehouse.statistics.contrasts_of_leaves import mixed_contrast
from warehouse.statistics.effect_size import hedges_g
from warehouse.statistics.resampling import bca_interval
from warehouse.statistics_in_sql import guarded, register_statistics

if TYPE_CHECKING:
    import pandas as pd

# Means per plant of CO2 uptake (Potvin, Lechowicz & Tardif 1990, Ecology 71:1389; R's CO2).
QUEBEC = tuple(float(np.mean(values)) for plant, values in CO2.items() if plant[0] == "Q")
MISSISSIPPI = tuple(float(np.mean(values)) for plant, values in CO2.items() if plant[0] == "M")
# Hours of extra sleep of ten patients under two drugs (Student 1908, Biometrika 6:1; R's sleep).
DRUG_1 = (0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0)
DRUG_2 = (1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4)
_ABOVE_ALL_HOURS = 10.0  # taken from hours of sleep, to keep them below 0; neither differences nor spreads change


def _plants(semester: str, site: str, values: Sequence[float], **more: Any) -> list[dict[str, Any]]:
    day = more.pop("date", f"{semester[:4]}-09-10")
    return [reading(value, plant=str(n), semester=semester, site=site, date=day, **more) for n, value in enumerate(values)]


def _asleep(values: Sequence[float]) -> list[float]:
    return [value - _ABOVE_ALL_HOURS for value in values]


def _read_by_many() -> list[dict[str, Any]]:
    """Leaves of the two kinds of CO2's plants, as if read by six persons in turn, each reading a little too high or too low."""
    rows, too_high = [], (0.0, 1.5, -1.0, 2.0, 0.5, -2.0)
    for n, (plant, values) in enumerate(CO2.items()):
        site, twice = ("ridge", "bottom")[plant[0] == "M"], [(plant, values), (f"{plant}b", tuple(value + 1.5 for value in values))]
        for name, leaves in twice:
            day = {"semester": "2020-fall", "date": "2020-09-10", "site": site, "plant": name}
            for place, leaf in enumerate(leaves[3:6]):
                reader = (n + place) % 6
                rows.append(reading(-leaf - too_high[reader], leaf=str(place), observer=f"obs_{reader:012x}", **day))
    return rows


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Published]:
    """Each data set in a semester of its own; rain falls between two reading days of 2021."""
    home = tiny_home(tmp_path_factory.mktemp("contrasts") / "home")
    rows = _plants("2015-fall", "ridge", [-value for value in QUEBEC]) + _plants("2015-fall", "bottom", [-value for value in MISSISSIPPI])
    rows += _plants("2016-fall", "bottom", _asleep(DRUG_1)) + _plants("2016-fall", "ridge", _asleep(DRUG_2))
    rows += _plants("2017-fall", "bottom", _asleep((0.9, *DRUG_1[1:]))) + _plants("2017-fall", "ridge", _asleep(DRUG_2))  # p nearly alike
    rows += _plants("2018-fall", "ridge", _asleep(DRUG_1), sampling_window="predawn")
    rows += _plants("2018-fall", "ridge", _asleep(DRUG_2))
    rows += _read_by_many()
    rows += _plants("2021-fall", "ridge", _asleep(DRUG_1), date="2021-09-10")
    rows += _plants("2021-fall", "ridge", _asleep(DRUG_2), date="2021-09-14")
    rows += _plants("2022-fall", "ridge", [-1.0, -1.4]) + _plants("2022-fall", "bottom", [-0.5, -0.7, -0.8])
    rows += [*_plants("2023-fall", "ridge", [-3.0, -3.5, -2.9, -3.3]), *_plants("2023-fall", "bottom", [-1.0, -1.4, -1.2, -1.3])]
    rows[-1] |= reading(-4.0, plant="9", semester="2023-fall", site="ridge", date="2023-09-10", bound=True)
    receive(home, "u-1", "readings", rows)
    receive(home, "w-1", "weather", rain(days_from(dt.date(2021, 8, 1), [0.0] * 42 + [20.0] + [0.0] * 20)))  # 12 September
    build(home)
    opened = open_published(home, "instructor")
    yield opened
    opened.close()


def _row(published: Published, semester: str, kind: str = "lowland_minus_upland", within: str = "functional_group") -> pd.Series:
    found = published.query("SELECT * FROM fair_contrasts WHERE semester = ? AND kind = ? AND within = ?", [semester, kind, within])
    assert len(found) == 1
    return found.iloc[0]


def test_welch_and_hedges_on_plant_means_of_co2(published: Published) -> None:
    """R: t 4.7420, df 6.8056, p .00227, difference 12.6595, interval 6.3101 to 19.0090; effectsize: g 2.5263 (0.987 to 4.008)."""
    row = _row(published, "2015-fall")
    assert row["method"] == "welch"
    assert row["difference_mpa"] == pytest.approx(12.6595, abs=1e-3)
    assert row["difference_mpa"] / row["se_mpa"] == pytest.approx(4.7420, abs=1e-3)
    assert (row["df"], row["p_value"]) == pytest.approx((6.8056, 0.00227), abs=1e-3)
    assert (row["ci_low_mpa"], row["ci_high_mpa"]) == pytest.approx((6.3101, 19.0090), abs=1e-3)
    assert (row["hedges_g"], row["g_low"], row["g_high"]) == pytest.approx((2.5263, 0.987, 4.008), abs=1e-3)
    assert (row["n_plants_a"], row["n_plants_b"], row["n_leaves_a"]) == (6, 6, 6)


def test_welch_and_hedges_on_sleep(published: Published) -> None:
    """R: t -1.86081, df 17.7765, p .07939, interval -3.3654832 to 0.2054832; effectsize: g -0.79694 (-1.66517 to 0.09141)."""
    row = _row(published, "2016-fall")
    assert row["difference_mpa"] / row["se_mpa"] == pytest.approx(-1.86081, abs=1e-4)
    assert (row["df"], row["p_value"]) == pytest.approx((17.7765, 0.07939), abs=1e-4)
    assert (row["ci_low_mpa"], row["ci_high_mpa"]) == pytest.approx((-3.3654832, 0.2054832), abs=1e-6)
    assert (row["hedges_g"], row["g_low"], row["g_high"]) == pytest.approx((-0.79694, -1.66517, 0.09141), abs=2e-3)


@pytest.mark.parametrize(
    ("semester", "kind", "sign"), [("2018-fall", "predawn_minus_midday", 1), ("2021-fall", "after_minus_before_rain", -1)]
)
def test_sides_that_share_plants_are_paired(published: Published, semester: str, kind: str, sign: int) -> None:
    """R: t.test(extra ~ group, data = sleep, paired = TRUE) gives t -4.0621, df 9, p .002833, interval -2.4598858 to -0.7001142."""
    row = _row(published, semester, kind)
    assert (row["method"], row["n_plants_a"], row["n_plants_b"]) == ("paired", 10, 10)
    assert row["difference_mpa"] / row["se_mpa"] == pytest.approx(-4.0621 * sign, abs=1e-4)
    assert (row["df"], row["p_value"]) == pytest.approx((9, 0.002833), abs=1e-6)
    assert sorted(abs(row[["ci_low_mpa", "ci_high_mpa"]].astype(float))) == pytest.approx([0.7001142, 2.4598858], abs=1e-6)


def test_many_readers_on_both_sides_make_a_mixed_model(published: Published) -> None:
    """The same leaves through statsmodels' MixedLM, plants and observers crossed."""
    import pandas as pd
    import statsmodels.formula.api as smf

    row = _row(published, "2020-fall")
    assert (row["method"], row["n_plants_a"], row["n_leaves_a"]) == ("mixed", 12, 36)
    leaves = [(r["plant"], r["observer"], r["water_potential_mpa"], r["site"] == "bottom") for r in _read_by_many()]
    table = pd.DataFrame(leaves, columns=["plant", "observer", "y", "low"]).assign(low=lambda t: t["low"].astype(float), everything=1)
    parts = {"plant": "0 + C(plant)", "observer": "0 + C(observer)"}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = smf.mixedlm("y ~ low", table, groups="everything", vc_formula=parts).fit(reml=True)
    assert theirs.converged
    assert row["difference_mpa"] == pytest.approx(theirs.fe_params["low"], abs=1e-3)
    assert row["se_mpa"] == pytest.approx(theirs.bse_fe["low"], rel=5e-3)
    variances = dict(zip(theirs.model.exog_vc.names, theirs.vcomp, strict=True))
    assert row["sd_plant_mpa"] ** 2 == pytest.approx(variances["plant"], rel=0.01)
    assert row["sd_observer_mpa"] ** 2 == pytest.approx(variances["observer"], rel=0.02)
    assert row["left_out"] == "section (1 of the 5 levels needed)"


def test_too_few_plants_give_the_readings_and_no_test(published: Published) -> None:
    row = _row(published, "2022-fall")
    assert row["reason_code"] == "few_plants"
    assert row[["difference_mpa", "p_value", "ci_low_mpa", "hedges_g", "bca_low_mpa"]].isna().all()
    assert (row["readings_a"], row["readings_b"]) == ("−0.80, −0.70 and −0.50 MPa", "−1.40 and −1.00 MPa")
    assert "Lowland: −0.80, −0.70 and −0.50 MPa; upland: −1.40 and −1.00 MPa." in row["sentence"]


def test_a_bound_makes_the_contrast_a_censored_one(published: Published) -> None:
    row = _row(published, "2023-fall")
    assert (row["method"], row["n_bounds_b"]) == ("censored", 1)
    assert row["difference_mpa"] > 0
    assert row["logrank_p_value"] < 0.05
    assert row[["hedges_g", "bca_low_mpa", "mean_b_mpa"]].isna().all()
    assert "1 plant was drier than the chamber could show and so a bound." in row["sentence"]


def test_across_groups_there_is_no_test(published: Published) -> None:
    rows = published.query("SELECT * FROM fair_contrasts WHERE kind = 'across_groups'")
    assert len(rows) == published.query("SELECT count(*) AS n FROM site_season")["n"].iloc[0]
    assert rows[["p_value", "difference_mpa", "p_holm"]].isna().all(axis=None)
    assert rows["sentence"].str.contains("are not tested against each other").all()


def test_no_p_value_stands_alone_and_no_reason_is_missing(published: Published) -> None:
    rows = published.query("SELECT * FROM fair_contrasts")
    tested = rows[rows["p_value"].notna()]
    assert not tested.empty
    assert tested[["difference_mpa", "ci_low_mpa", "ci_high_mpa", "p_holm", "n_plants_a", "n_leaves_b"]].notna().all(axis=None)
    assert rows.loc[rows["p_value"].isna(), "reason"].notna().all()
    assert rows.loc[rows["p_value"].isna(), "logrank_p_value"].isna().all()
    assert not rows["sentence"].str.contains("significant|nan|None|because", regex=True).any()


def test_holm_as_statsmodels_has_it(published: Published) -> None:
    from statsmodels.stats.multitest import multipletests

    rows = published.query("SELECT * FROM fair_contrasts WHERE p_value IS NOT NULL")
    families = {"p_holm": ["kind", "within", "semester"], "p_holm_over_years": ["kind", "within", "sampling_window"]}
    sizes = []
    for column, family in families.items():
        for _, part in rows.groupby(family):
            assert list(part[column]) == pytest.approx(list(multipletests(part["p_value"], method="holm")[1]), rel=1e-12)
            assert set(part[column.replace("p_holm", "n_tests")]) == {len(part)}
            sizes.append(len(part))
    assert max(sizes) > 3


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
