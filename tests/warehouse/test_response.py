"""What the slopes on rain and on predawn do with poor input, what must always hold of them, and their words."""

from __future__ import annotations

from dataclasses import fields
from math import isfinite
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from warehouse.statistics.hydroscape import Hydroscape, hydroscape, isohydry
from warehouse.statistics.response import RainResponse, rain_response
from warehouse.statistics.response_words import response_sentence
from warehouse.statistics_in_sql import guarded

_RNG = np.random.default_rng(2)
Row = tuple[float, bool, float | None, str, str]  # potential, bound, predictor, date, semester


def response(rows: list[Row], predictor: str = "days_since_rain") -> dict[str, Any]:
    values, bounds, x, dates, semesters = map(list, zip(*rows, strict=True)) if rows else ([],) * 5
    told = guarded(
        rain_response,
        values,
        bounds,
        [1] * len(rows),
        x,
        dates,
        semesters,
        ["site/taxon"] * len(rows),
        predictor,
        "tree",
        None,
        "upland",
        "midday",
    )
    assert isinstance(told, dict)
    assert set(told) == {field.name for field in fields(RainResponse)}
    assert all(isfinite(value) for value in told.values() if isinstance(value, float))
    return told


def days(n_dates: int, plants: int = 3, semester: str = "2024-fall", **changes: Any) -> list[Row]:
    """Dates each with a rain of its own, and plants that scatter about -1 - 0.05 per day."""
    rows: list[Row] = []
    for day in range(n_dates):
        for _ in range(plants):
            row = {"value": round(-1 - 0.05 * day + float(_RNG.normal(0, 0.1)), 3), "bound": False, "x": float(day), **changes}
            rows.append((row["value"], row["bound"], row["x"], f"day {day}", semester))
    return rows


@pytest.mark.parametrize(
    ("rows", "code"),
    [
        ([], "no_predictor"),
        (days(8, x=None), "no_predictor"),
        (days(4), "few_dates"),
        (days(1, 40), "few_dates"),
        (days(3) + days(3, semester="2024-spring"), "few_dates"),  # the same three dates' names
        (days(8, x=5.0), "predictor_alike"),
        (days(8, bound=True), "response_of_bounds"),
        (days(8, value=-1.0), "no_spread"),
        (days(8, value=-1e308), None),
        (days(8), None),
        (days(8, 1), None),
    ],
)
def test_a_slope_or_why_not(rows: list[Row], code: str | None) -> None:
    found = response(rows)
    if code is None and found["reason_code"] in ("not_finite", "not_computable", "no_spread"):
        assert rows[0][0] == -1e308
        return
    assert found["reason_code"] == code
    assert (found["slope"] is None) == (code is not None)
    assert found["sentence"]
    if code:
        assert found["reason"] in found["sentence"]


def test_a_predictor_that_follows_the_season_is_no_rain() -> None:
    """Dry falls and wet springs: the difference of the seasons is not taken for a response."""
    rows = [(-1.0 - 0.01 * n, False, 20.0, f"f{n}", "2024-fall") for n in range(6)]
    rows += [(-0.5 - 0.01 * n, False, 2.0, f"s{n}", "2024-spring") for n in range(6)]
    assert response([*rows])["reason_code"] == "predictor_alike"


def test_more_plants_of_the_same_dates_are_no_more_degrees_of_freedom() -> None:
    few, many = response(days(8, 3)), response(days(8, 60))
    assert few["slope_df"] <= 6
    assert many["slope_df"] <= 6


def test_bounds_count_and_do_not_flatten_the_slope() -> None:
    """The driest readings are cut off at a limit: left in as values, they would flatten the line."""
    rows: list[Row] = [(-1 - 0.1 * day + float(_RNG.normal(0, 0.1)), False, float(day), f"{day}", "2024-fall") for day in range(20)]
    cut: list[Row] = [(max(value, -2.5), value < -2.5, x, date, semester) for value, _, x, date, semester in rows]
    as_values: list[Row] = [(value, False, x, date, semester) for value, _, x, date, semester in cut]
    whole, kept, wrong = response(rows), response(cut), response(as_values)
    assert kept["method"] == "censored_by_date"
    assert kept["slope"] == pytest.approx(whole["slope"], abs=0.02)
    assert wrong["slope"] > whole["slope"] + 0.01
    assert "counted as such" in kept["sentence"]


def test_a_plant_without_a_predictor_is_counted() -> None:
    rows: list[Row] = [*days(8), (-1.0, False, None, "day 9", "2024-fall")]
    assert response(rows)["n_without_predictor"] == 1


@given(st.floats(0.1, 20), st.floats(-2, 2), st.integers(0, 5))
@settings(max_examples=30)
def test_the_slope_scales_with_the_unit(factor: float, shift: float, seed: int) -> None:
    rng = np.random.default_rng(seed)
    rows: list[Row] = [(float(rng.normal(-1, 0.3)), False, float(day), f"{day}", "2024-fall") for day in range(8) for _ in range(3)]
    moved: list[Row] = [(row[0] * factor + shift, *row[1:]) for row in rows]
    before, after = response(rows), response(moved)
    assert after["slope"] == pytest.approx(before["slope"] * factor, rel=1e-3, abs=1e-6)
    assert after["slope_se"] == pytest.approx(before["slope_se"] * factor, rel=1e-2)


Pair = tuple[float, bool, float, bool, str]


def pairs(rows: list[Pair]) -> dict[str, Any]:
    columns = map(list, zip(*rows, strict=True)) if rows else ([],) * 5
    told = guarded(hydroscape, *columns, "tree", None, "all")
    assert isinstance(told, dict)
    assert set(told) == {field.name for field in fields(Hydroscape)}
    assert all(isfinite(value) for value in told.values() if isinstance(value, float))
    return told


def drying(n: int = 10, intercept: float = -1.0, slope: float = 0.5, reach: float = 2.0, noise: float = 0.0, dates: int = 10) -> list[Pair]:
    x = [-reach * k / (n - 1) for k in range(n)]
    return [(value, False, intercept + slope * value + noise * (-1) ** k, False, f"{k % dates}") for k, value in enumerate(x)]


@pytest.mark.parametrize(
    ("rows", "code", "area_code"),
    [
        ([], "few_pairs", "few_pairs"),
        (drying(7), "few_pairs", "few_pairs"),
        (drying(10, dates=4), "few_dates", "few_dates"),
        (drying(reach=0.9), "not_enough_drying", "not_enough_drying"),
        (drying(reach=1.0), None, None),
        (drying(slope=1.0), None, "no_closing"),
        (drying(slope=1.3), None, "no_closing"),
        (drying(slope=0.7, noise=0.4), None, "area_open"),
        (drying(), None, None),
        ([(x, True, y, False, day) for x, _, y, _, day in drying()], "few_pairs", "few_pairs"),
        ([(x, False, y, True, day) for x, _, y, _, day in drying()], "response_of_bounds", "response_of_bounds"),
        ([(0.0, False, 0.0, False, f"{n}") for n in range(10)], "not_enough_drying", "not_enough_drying"),
    ],
)
def test_a_line_and_an_area_or_why_not(rows: list[Pair], code: str | None, area_code: str | None) -> None:
    found = pairs(rows)
    assert (found["reason_code"], found["area_reason_code"]) == (code, area_code)
    assert (found["slope"] is None, found["hydroscape_mpa2"] is None) == (code is not None, area_code is not None)
    assert found["sentence"]


def test_absurd_values_give_a_reason_and_no_infinity() -> None:
    found = pairs([(-1e200 * n, False, -1e200, False, f"{n}") for n in range(10)])
    assert found["hydroscape_mpa2"] is None
    assert found["reason_code"] or found["area_reason_code"]


@given(st.floats(-3, -0.2), st.floats(-0.5, 0.9))
@settings(max_examples=50)
def test_the_area_is_that_of_the_triangle(intercept: float, slope: float) -> None:
    """Half of base times height, from the corners (0, 0), (0, L) and (x, x)."""
    found = pairs(drying(intercept=intercept, slope=slope))
    corner = found["closing_mpa"]
    assert corner == pytest.approx(intercept + slope * corner, abs=1e-6)
    assert found["hydroscape_mpa2"] == pytest.approx(abs(intercept) * abs(corner) / 2, rel=1e-6)


@pytest.mark.parametrize(
    ("low", "high", "word"),
    [
        (-0.2, 0.3, "isohydric"),
        (0.1, 0.9, "partly_isohydric"),
        (0.8, 1.1, "anisohydric"),
        (1.1, 1.5, "extremely_anisohydric"),
        (-0.5, -0.1, "reversed"),
        (-0.1, 1.2, "undecided"),
    ],
)
def test_a_word_for_a_slope_goes_by_its_interval(low: float, high: float, word: str) -> None:
    assert isohydry(low, high) == word


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        (
            response_sentence("days_since_rain", "C4 grasses on the upland", "midday", 164, 317, 41, 19, 0, -0.04, -0.055, -0.025, None),
            "At midday, C4 grasses on the upland read 0.040 MPa drier for each further day since rain "
            "(95 % interval 0.025 to 0.055 drier), on 41 dates in 19 semesters with 164 plants (317 leaves). "
            "Plants of a date share its weather, so dates are the unit.",
        ),
        (
            response_sentence("antecedent_index_mm", "bur oak on the slope", "predawn", 9, 9, 9, 1, 1, 0.002, -0.001, 0.005, None),
            "Before dawn, bur oak on the slope read 0.020 MPa wetter for each further 10 mm of the antecedent rain index "
            "(95 % interval 0.010 drier to 0.050 wetter), on 9 dates in 1 semester with 9 plants (9 leaves), 1 of them drier than the "
            "chamber could show and counted as such. Plants of a date share its weather, so dates are the unit, and they do not tell drier "
            "from wetter.",
        ),
        (
            response_sentence(
                "days_since_rain", "shrubs on the upland", "midday", 4, 4, 1, 1, 0, None, None, None, "Dates with readings: 1."
            ),
            "At midday, shrubs on the upland: no slope on the days since rain. Dates with readings: 1.",
        ),
    ],
)
def test_sentences_on_rain(said: str, wanted: str) -> None:
    assert said == wanted


def test_a_sentence_on_a_hydroscape() -> None:
    assert pairs(drying(noise=0.01))["sentence"].startswith(
        "Trees at all positions, 10 pairs of predawn and midday on 10 dates: midday was 0.50 MPa drier for each MPa by which predawn "
        "was drier (95 % interval 0.4"
    )
