"""The summary of a group that holds bounds against published values and other libraries, asked in SQL as the models do."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from math import exp, log
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.references.survival_data import IN_REMISSION, TREATED, lung, no_bounds, turned
from warehouse.statistics.censored import group_estimate
from warehouse.statistics.kaplan_meier import curve, pressure_at, restricted_mean

Ask = Callable[..., dict[str, Any]]
PLACE = ("2024-fall", "midday", "big bluestem", "Ridge")


def summary(ask: Ask, potentials: list[float], bounds: list[bool]) -> dict[str, Any]:
    return ask("group_summary", potentials, bounds, 2 * len(potentials), False, *PLACE)


def test_kaplan_meier_of_gehan() -> None:
    """Textbooks and R: S falls to these shares at these weeks; 1e-4."""
    found = curve(np.array(TREATED, dtype=float), np.array(IN_REMISSION))
    assert list(found.pressures) == [6, 7, 10, 13, 16, 22, 23]
    assert found.shares_above == pytest.approx([0.8571, 0.8067, 0.7529, 0.6902, 0.6275, 0.5378, 0.4482], abs=1e-4)


def test_median_and_restricted_mean_of_gehan() -> None:
    """R: median 23; mean restricted to 35 weeks 23.287. (12 of 21 are bounds, so that the summary shows no median.)"""
    found = curve(np.array(TREATED, dtype=float), np.array(IN_REMISSION))
    assert pressure_at(found, 0.5) == 23
    assert restricted_mean(found, 35.0) == pytest.approx(23.287, abs=1e-3)


def test_summary_of_gehan(ask: Ask) -> None:
    """R survreg: normal 25.6871 and 15.3743; lognormal 3.20307 and 0.97872, hence median and mean of the law; restricted mean 23.287."""
    found = summary(ask, turned(TREATED), IN_REMISSION)
    assert (found["method"], found["reason_code"]) == ("censored_normal", "bounds_among_plants")
    assert (found["mle_normal_mean_mpa"], found["mle_normal_sd_mpa"]) == pytest.approx((-25.6871, 15.3743), abs=1e-3)
    assert found["estimate_mpa"] == found["mle_normal_mean_mpa"]
    assert found["mle_lognormal_median_mpa"] == pytest.approx(-exp(3.20307), rel=1e-4)
    assert found["mle_lognormal_mean_mpa"] == pytest.approx(-exp(3.20307 + 0.97872**2 / 2), rel=1e-4)
    assert (found["restricted_mean_mpa"], found["restricted_at_mpa"]) == pytest.approx((-23.287, -35.0), abs=1e-3)
    assert (found["mean_mpa"], found["sd_mpa"], found["ci_low_mpa"]) == (None, None, None)
    # More than half are bounds: half of the patients were still in remission at least until the middle of what was recorded.
    assert (found["median_mpa"], found["median_is_bound"]) == (-16, True)
    assert (found["q75_mpa"], found["q25_mpa"]) == (-13, None)


def test_median_of_lung_by_sex(ask: Ask) -> None:
    """R survfit(Surv(time, status) ~ sex, lung): medians 270 (men) and 426 (women), 310 together; quartiles of all 170 and 550."""
    frame = lung()
    for part, median in ((frame, 310), (frame[frame["sex"] == 1], 270), (frame[frame["sex"] == 2], 426)):
        found = summary(ask, turned(part["time"]), list(part["is_bound"]))
        assert (found["median_mpa"], found["median_is_bound"]) == (-median, False)


def test_a_flat_step_at_one_half_has_its_middle(ask: Ask) -> None:
    """R: events at 5, 8, 11, 14, 17 and one seen last at 20: median 12.5, the middle of 11 and 14. lifelines gives 14 (see below)."""
    found = summary(ask, turned([5, 8, 11, 14, 17, 20]), [False] * 5 + [True])
    assert found["median_mpa"] == -12.5


def test_the_curve_is_that_of_scipy_and_lifelines() -> None:
    """scipy.stats.ecdf of CensoredData and lifelines' KaplanMeierFitter, on lung: S(t) at each event, 1e-12.

    Of lifelines the curve alone is compared: its median takes 0.5000000000000001 for more than one half.
    """
    from lifelines import KaplanMeierFitter
    from scipy.stats import CensoredData, ecdf

    frame = lung()
    times, bounds = frame["time"].to_numpy(dtype=float), frame["is_bound"].to_numpy()
    found = curve(times, bounds)
    theirs = ecdf(CensoredData.right_censored(times, bounds)).sf
    at_events = np.isin(theirs.quantiles, found.pressures)
    assert found.shares_above == pytest.approx(theirs.probabilities[at_events], abs=1e-12)
    fitted = KaplanMeierFitter().fit(times, ~bounds).survival_function_at_times(found.pressures)
    assert found.shares_above == pytest.approx(fitted.to_numpy(), abs=1e-12)


def test_the_normal_fit_is_scipys(ask: Ask) -> None:
    """scipy.stats.norm.fit of CensoredData on the men of lung: mean and sd to 1e-5 of their size, its search's tolerance."""
    from scipy.stats import CensoredData, norm

    men = lung().query("sex == 1")
    times, bounds = men["time"].to_numpy(dtype=float), men["is_bound"].to_numpy()
    mean, sd = norm.fit(CensoredData.right_censored(times, bounds))
    found = summary(ask, turned(times), bounds.tolist())
    assert (found["mle_normal_mean_mpa"], found["mle_normal_sd_mpa"]) == pytest.approx((-mean, sd), rel=1e-5)


def test_the_profile_interval_is_where_the_likelihood_says(ask: Ask) -> None:
    """Gehan's 6-MP: the profile of the mean, by scipy over a plain likelihood, drops at both ends by n / 2 log(1 + t^2 / (n - 1))."""
    from scipy.optimize import minimize_scalar
    from scipy.stats import norm, t

    weeks, bounds = np.array(TREATED, dtype=float), np.array(IN_REMISSION)

    def profile(mean: float) -> float:
        def lost(log_sd: float) -> float:
            values = norm.logpdf(weeks[~bounds], mean, exp(log_sd)).sum()
            return -float(values + norm.logsf(weeks[bounds], mean, exp(log_sd)).sum())

        return -float(minimize_scalar(lost, bounds=(0, 6), method="bounded", options={"xatol": 1e-9}).fun)

    found = summary(ask, turned(TREATED), IN_REMISSION)
    cut = 21 / 2 * log(1 + t.ppf(0.975, 20) ** 2 / 20)
    for end in ("low", "high"):
        drop = profile(-found["mle_normal_mean_mpa"]) - profile(-found[f"estimate_ci_{end}_mpa"])
        assert drop == pytest.approx(cut, abs=1e-6)
    assert profile(-found["mle_normal_mean_mpa"]) == pytest.approx(-44.28974, abs=1e-4)  # R survreg


def test_the_lognormal_interval_is_that_of_lifelines_covariance(ask: Ask) -> None:
    """Wald's on the log scale of the mean exp(mu + sd^2 / 2), by lifelines' LogNormalFitter and its covariance; 1e-3 of their optimum."""
    from lifelines import LogNormalFitter

    theirs = LogNormalFitter().fit(TREATED, [not bound for bound in IN_REMISSION])
    by = np.array([1.0, theirs.sigma_])
    half = 1.959964 * float(np.sqrt(by @ theirs.variance_matrix_.to_numpy() @ by))
    middle = theirs.mu_ + theirs.sigma_**2 / 2
    found = summary(ask, turned(TREATED), IN_REMISSION)
    ends = (found["mle_lognormal_ci_low_mpa"], found["mle_lognormal_ci_high_mpa"])
    assert ends == pytest.approx((-exp(middle + half), -exp(middle - half)), rel=1e-3)


DRY = [-4.0] * 9


@pytest.mark.parametrize(
    ("potentials", "bounds", "method", "estimate", "is_bound", "code"),
    [
        ([-1.5], [False], "single_plant", -1.5, False, "one_plant"),
        ([-1.5] * 4, [False] * 4, "t_interval", -1.5, False, "identical_plants"),
        ([-1.5, -1.5 + 1e-15], [False] * 2, "t_interval", -1.5, False, "identical_plants"),
        ([0.0, -0.2], [False] * 2, "t_interval", -0.1, False, None),
        ([-4.0], [True], "rank", -4.0, True, "all_bounds"),
        ([-4.0, -3.5, -3.0], [True] * 3, "rank", -3.5, True, "all_bounds"),
        ([-1.0, -4.0], [False, True], "rank", -2.5, True, "few_values_with_bounds"),
        ([-1.0, -2.0, -3.0, -4.0, -4.0], [False] * 3 + [True] * 2, "rank", -3.0, False, "few_values_with_bounds"),
        ([-1.0, -1.5, -2.0, -3.0, -4.0], [False, True] + [False] * 3, "rank", None, False, "few_values_undecided"),
        ([-1.0, -1.2, -1.4, -1.6, -1.8, *DRY], [False] * 5 + [True] * 9, "censored_normal", None, False, "bounds_among_plants"),
        ([-1.0, -1.2, -1.4, -1.6, -1.8, *DRY * 3], [False] * 5 + [True] * 27, "rank", -4.0, True, "mostly_bounds"),
        ([-1.5] * 5 + [-1.0], [False] * 5 + [True], "rank", -1.5, False, "no_variance_in_groups"),
        ([-1.5] * 5 + [-4.0], [False] * 5 + [True], "censored_normal", None, False, "bounds_among_plants"),
        ([0.0, -1.2, -1.4, -1.6, -1.8, -4.0], [False] * 5 + [True], "censored_normal", None, False, "bounds_among_plants"),
        ([float("nan"), -1.0], [False] * 2, None, None, None, "not_computable"),
        ([float("-inf"), -1.0], [False] * 2, None, None, None, "not_computable"),
        ([-1e300, -1e300, -1.0, -2.0, -3.0, -4.0], [False] * 5 + [True], None, None, None, "not_computable"),
        ([], [], None, None, None, "not_computable"),
        ([None, -1.0], [False] * 2, None, None, None, "not_computable"),
    ],
)
@pytest.mark.filterwarnings("error")
def test_what_is_said_of_a_group_and_why(
    ask: Ask,
    potentials: list[float],
    bounds: list[bool],
    method: str | None,
    estimate: float | None,
    is_bound: bool | None,
    code: str | None,
) -> None:
    found = summary(ask, potentials, bounds)
    assert (found["method"], found["reason_code"]) == (method, code)
    assert (found["reason"] is None) == (code is None)
    if method != "censored_normal":
        assert found["estimate_mpa"] == (None if estimate is None else pytest.approx(estimate, abs=1e-12))
        assert found["estimate_ci_low_mpa"] is None or method == "t_interval"
    else:
        assert found["estimate_ci_low_mpa"] < found["estimate_mpa"] < found["estimate_ci_high_mpa"]
    assert found["estimate_is_bound"] is is_bound
    assert (found["mle_lognormal_mean_mpa"] is None) or method == "censored_normal"


@pytest.mark.parametrize(
    ("potentials", "bounds", "said"),
    [
        ([-1.0, -1.2, -1.4], [False] * 3, "3 plants (6 leaves) {} had a mean water potential of −1.20 MPa (95 % interval −1.70 to −0.70)."),
        ([-1.2], [False], "1 plant (2 leaves) {} had a water potential of −1.20 MPa; one plant shows no spread, so there is no interval."),
        ([-4.0] * 2, [True] * 2, "2 of 2 plants (4 leaves) {} were {}: there is no mean; the median lies below −4.00 MPa."),
        (
            [-1.0, -2.0, -3.0, -4.0, -4.0],
            [False] * 3 + [True] * 2,
            "2 of 5 plants (10 leaves) {} were {} and the others read −1.00, −2.00 and −3.00 MPa: there is no mean; "
            "the median is −3.00 MPa.",
        ),
        (
            [-1.0, -1.5, -2.0, -3.0, -4.0],
            [False, True, False, False, False],
            "1 of 5 plants (10 leaves) {} was {} and the others read −1.00, −2.00, −3.00 and −4.00 MPa: there is no mean, "
            "and the median cannot be told.",
        ),
    ],
)
def test_what_is_said_in_a_sentence(ask: Ask, potentials: list[float], bounds: list[bool], said: str) -> None:
    said = said.format("of big bluestem at Ridge", "drier than the chamber could show")
    assert summary(ask, potentials, bounds)["sentence"] == f"At midday in Fall 2024, {said}"


PLANTS = st.lists(st.tuples(st.floats(0.05, 8.0), st.booleans()), min_size=1, max_size=25)


@given(PLANTS)
@settings(max_examples=200)
def test_what_always_holds_of_a_summary(plants: list[tuple[float, bool]]) -> None:
    potentials, bounds = [-pressure for pressure, _ in plants], [bound for _, bound in plants]
    found = group_estimate(potentials, bounds)
    values = [value for value, bound in zip(potentials, bounds, strict=True) if not bound]
    assert (found.mean_mpa is None) == any(bounds)
    assert (found.reason_code is None) == (found.reason is None)
    if any(bounds):
        assert found.reason_code is not None
    if found.estimate_mpa is not None and found.estimate_ci_low_mpa is not None:
        assert found.estimate_ci_low_mpa <= found.estimate_mpa <= (found.estimate_ci_high_mpa or 0)
    if not any(bounds):
        assert found.median_mpa == pytest.approx(float(np.median(values)), abs=1e-12)
    if found.median_mpa is not None and found.median_is_bound:
        # Whatever the bounds hide, at least half of the plants are at least as dry.
        assert sum(value <= found.median_mpa + 1e-9 for value in potentials) >= len(potentials) / 2
    if found.restricted_mean_mpa is not None:
        assert found.restricted_mean_mpa >= (found.restricted_at_mpa or 0)


@given(PLANTS, st.randoms())
@settings(max_examples=50)
def test_the_order_of_plants_does_not_matter(plants: list[tuple[float, bool]], chance: Any) -> None:
    shuffled = list(plants)
    chance.shuffle(shuffled)
    one, other = (group_estimate([-pressure for pressure, _ in group], [bound for _, bound in group]) for group in (plants, shuffled))
    assert one.method == other.method
    if one.estimate_mpa is not None:
        assert one.estimate_mpa == pytest.approx(other.estimate_mpa, abs=1e-8)


def test_the_deeper_the_bound_the_drier_the_estimate() -> None:
    values = [-1.0, -1.2, -1.4, -1.6, -1.8]
    estimates = [group_estimate([*values, limit], [*no_bounds(values), True]).estimate_mpa or 0 for limit in (-1.5, -2.0, -3.0, -4.0)]
    assert all(wetter > drier for wetter, drier in pairwise(estimates))
