"""A mean is of plants, an interval is Student's, and a plant that is a bound has no place in a mean."""

from __future__ import annotations

import math

import pandas as pd
import pytest

from dashboards.views.summaries import position_means


def _plants(values: list[tuple[float, bool]]) -> pd.DataFrame:
    rows = [
        {"functional_group": "shrub", "topographic_position": "upland", "water_potential_mpa": v, "below_limit": b, "n_leaves": 3}
        for v, b in values
    ]
    return pd.DataFrame(rows)


def test_the_interval_is_students() -> None:
    # n 3, mean −2, s 1: t(0.975, 2) = 4.302653 (any table of t, e.g. NIST/SEMATECH e-Handbook 1.3.6.7.2: 4.303), half 4.302653/√3.
    row = position_means(_plants([(-1.0, False), (-2.0, False), (-3.0, False)])).iloc[0]
    assert row["kind"] == "mean"
    assert (row["n_plants"], row["n_leaves"]) == (3, 9)
    assert row["value_mpa"] == pytest.approx(-2.0)
    assert row["ci_low_mpa"] == pytest.approx(-2.0 - 2.484138, abs=1e-5)
    assert row["ci_high_mpa"] == pytest.approx(-2.0 + 2.484138, abs=1e-5)


def test_two_plants_have_a_mean_and_no_interval() -> None:
    row = position_means(_plants([(-1.0, False), (-2.0, False)])).iloc[0]
    assert row["value_mpa"] == pytest.approx(-1.5)
    assert math.isnan(row["ci_low_mpa"])
    assert "no interval" in row["reason"]


@pytest.mark.parametrize(
    ("values", "kind", "value"),
    [
        ([(-1.0, False), (-2.0, False), (-3.8, True)], "median", -2.0),
        ([(-1.0, False), (-2.0, False), (-2.4, False), (-3.8, True)], "median", -2.2),
        ([(-1.0, False), (-3.8, True), (-3.8, True)], "none", math.nan),
        ([(-1.0, False), (-2.0, True), (-3.0, False)], "none", math.nan),
        ([(-3.8, True)], "none", math.nan),
    ],
)
def test_bounds_leave_the_middle_plant_or_nothing(values: list[tuple[float, bool]], kind: str, value: float) -> None:
    row = position_means(_plants(values)).iloc[0]
    assert row["kind"] == kind
    assert row["value_mpa"] == pytest.approx(value, nan_ok=True)
    assert math.isnan(row["ci_low_mpa"])
    assert "bounds" in row["reason"]
