"""Gain, attainment and items against values by hand, published tables, and scipy, statsmodels and pingouin, through the models' SQL."""

from __future__ import annotations

import logging
import warnings
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest
from scipy import stats

from tests.warehouse.tiny_home import levels, receive, scores, tiny_home, write_outcomes
from warehouse.build import build
from warehouse.published import Published, open_published
from warehouse.statistics.resampling import bca_of_ratio

Ask = Callable[..., Any]
_OUTCOMES = (
    {"outcome": "shown", "statement": "Shows it", "levels": 4, "target_level": 3, "target_share_percent": 70},
    {"outcome": "half", "statement": "Has half of two", "instrument": "quiz", "items": "q1; q2", "target_score_percent": 50},
    {"outcome": "later", "statement": "Comes later", "levels": 4, "target_level": 3, "from_semester": "2018-fall"},
)
# Newcombe 1998, Stat. Med. 17:857, table 1, method 3: r of n, and Wilson's interval.
WILSON = {"2016-fall": (81, 263, 0.2553, 0.3662), "2017-fall": (15, 148, 0.0624, 0.1605), "2018-fall": (0, 20, 0.0, 0.1611)}


def _class_of_24() -> tuple[dict[str, list[float]], dict[str, list[float]]]:
    """Invented: 24 students on six items of 0 to 5 points, better the second time."""
    draw = np.random.default_rng(24)
    able = draw.normal(2, 0.8, 24)

    def sitting(rise: float) -> dict[str, list[float]]:
        return {f"s{n:02}": [float(x) for x in np.clip(np.round(able[n] + rise + draw.normal(0, 1, 6)), 0, 5)] for n in range(24)}

    return sitting(0.0), sitting(1.2)


BEFORE, AFTER = _class_of_24()


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Published]:
    """Each check in a semester of its own."""
    home = tiny_home(tmp_path_factory.mktemp("learning") / "home")
    write_outcomes(home, _OUTCOMES)
    hand = {"semester": "2015-fall", "max_score": 100.0}
    rows = [{**row, "item": None} for row in scores("pre", {"a": [40.0], "b": [60.0], "c": [10.0]}, **hand)]
    rows += [{**row, "item": None} for row in scores("post", {"a": [70.0], "b": [70.0], "d": [90.0], "e": [None]}, **hand)]
    parts = {"semester": "2014-fall"}
    rows += scores("pre", {"whole": [1.0, 0.0], "part": [1.0, 1.0]}, **parts) + scores("pre", {"short": [0.0]}, section="b", **parts)
    rows += scores("post", {"whole": [1.0, 1.0], "part": [1.0, None]}, **parts) + scores("post", {"short": [1.0]}, section="b", **parts)
    for phase, points in (("pre", BEFORE), ("post", AFTER)):
        rows += scores(phase, points, semester="2019-fall", max_score=5.0)
    receive(home, "u-scores", "assessment", rows)
    judged = []
    for semester, (of, n, _, _) in WILSON.items():
        judged += levels("shown", {f"s{k}": 3.0 if k < of else 2.0 for k in range(n)} | {"absent": None}, semester=semester)
    receive(home, "u-levels", "rubric", judged)
    build(home)
    found = open_published(home, "instructor")
    yield found
    found.close()


def _row(published: Published, table: str, semester: str, more: str = "true") -> Any:
    return published.query(f"SELECT * FROM {table} WHERE semester = ? AND {more}", [semester]).iloc[0]  # noqa: S608  # our own names


def test_class_gain_and_mean_of_gains_by_hand(published: Published) -> None:
    """Pre 40, 60 and post 70, 70: class (70 - 50)/50 = 0.40, students (0.5 + 0.25)/2 = 0.375. Only matched students count."""
    row = _row(published, "learning_gains", "2015-fall")
    assert (row["class_gain"], row["gain_mean_of_students"]) == (pytest.approx(0.4, abs=1e-9), pytest.approx(0.375, abs=1e-9))
    assert (row["n_matched"], row["n_pre_only"], row["n_post_only"], row["n_absent"]) == (2, 1, 1, 1)
    assert row["reason_code"] == "few_matched"
    assert row[["class_gain_ci_low", "class_gain_band", "d_av", "difference_ci_low_percent"]].isna().all()


def test_a_score_is_whole_where_every_item_of_the_section_is_scored(published: Published) -> None:
    """One of two items was not scored: no whole score; the other section was asked one item alone."""
    row = _row(published, "learning_gains", "2014-fall")
    assert (row["n_matched"], row["n_pre_only"], row["n_post_only"], row["n_absent"]) == (2, 1, 0, 1)
    assert (row["pre_mean_percent"], row["post_mean_percent"]) == (25.0, 100.0)
    attained = _row(published, "learning_outcomes", "2014-fall", "outcome = 'half'")
    assert (attained["n_scored"], attained["n_unscored"], attained["n_attained"]) == (1, 2, 1)


@pytest.mark.parametrize("semester", WILSON)
def test_wilson_as_newcombe_prints_it(published: Published, semester: str) -> None:
    of, n, low, high = WILSON[semester]
    row = _row(published, "learning_outcomes", semester, "outcome = 'shown'")
    assert (row["n_attained"], row["n_scored"], row["n_unscored"]) == (of, n, 1)
    assert (row["share_ci_low"], row["share_ci_high"]) == (pytest.approx(low, abs=5e-5), pytest.approx(high, abs=5e-5))
    assert not row["is_target_met"]


def _percents() -> tuple[Any, Any]:
    one, two = (np.array([sum(points) / 0.3 for points in who.values()]) for who in (BEFORE, AFTER))
    return one, two


def test_the_paired_difference_is_scipy_s(published: Published) -> None:
    row = _row(published, "learning_gains", "2019-fall")
    pre, post = _percents()
    wanted = stats.ttest_rel(post, pre).confidence_interval(0.95)
    assert (row["pre_mean_percent"], row["post_mean_percent"]) == (pytest.approx(pre.mean()), pytest.approx(post.mean()))
    assert row["difference_ci_low_percent"] == pytest.approx(wanted.low, abs=1e-9)
    assert row["difference_ci_high_percent"] == pytest.approx(wanted.high, abs=1e-9)


def test_the_interval_of_the_class_gain_is_scipy_s_bca(published: Published) -> None:
    """scipy.stats.bootstrap, BCa with ten times the resamples; 0.006 is some three standard errors of an end of 9999 resamples."""
    row = _row(published, "learning_gains", "2019-fall")
    pre, post = _percents()

    def gain(one: Any, two: Any, axis: int = -1) -> Any:
        return (two.mean(axis) - one.mean(axis)) / (100 - one.mean(axis))

    options = {"paired": True, "n_resamples": 99_999, "method": "BCa", "rng": np.random.default_rng(1)}
    wanted = stats.bootstrap((pre, post), gain, **options).confidence_interval
    assert row["class_gain"] == pytest.approx(gain(pre, post), abs=1e-9)
    assert row["class_gain_ci_low"] == pytest.approx(wanted.low, abs=6e-3)
    assert row["class_gain_ci_high"] == pytest.approx(wanted.high, abs=6e-3)
    assert row["class_gain_band"] == "medium"


def test_the_interval_of_a_skewed_ratio_is_accelerated_as_scipy_s() -> None:
    """Without acceleration the ends would lie lower by 0.025 and 0.055; the bootstrap's standard errors are 0.003 and 0.010."""
    draw = np.random.default_rng(12)
    change, room = draw.exponential(20, 15) ** 1.5 / 5, draw.uniform(30, 70, 15)

    def ratio(above: Any, below: Any, axis: int = -1) -> Any:
        return above.mean(axis) / below.mean(axis)

    options = {"paired": True, "n_resamples": 99_999, "rng": np.random.default_rng(1)}
    wanted = stats.bootstrap((change, room), ratio, method="BCa", **options).confidence_interval
    ends = bca_of_ratio(change, room)
    assert ends is not None
    assert ends[0] == pytest.approx(wanted.low, abs=0.01)
    assert ends[1] == pytest.approx(wanted.high, abs=0.03)


def test_d_av_is_pingouin_s_and_its_ends_are_scipy_s_noncentral_t(published: Published) -> None:
    """pingouin's paired Cohen d divides by the root of the mean variance, which is d_av (its documentation: d_avg, Cumming 2012)."""
    row = _row(published, "learning_gains", "2019-fall")
    pre, post = _percents()
    assert row["d_av"] == pytest.approx(_pingouin().compute_effsize(post, pre, paired=True, eftype="cohen"), abs=1e-9)
    t, n = stats.ttest_rel(post, pre).statistic, len(pre)
    scale = row["d_av"] / t
    assert stats.nct.sf(t, n - 1, row["d_av_ci_low"] / scale) == pytest.approx(0.025, abs=1e-6)
    assert stats.nct.cdf(t, n - 1, row["d_av_ci_high"] / scale) == pytest.approx(0.025, abs=1e-6)


def test_items_are_pingouin_s_alpha_and_scipy_s_correlations(published: Published) -> None:
    import pandas as pd

    wide = pd.DataFrame.from_dict(AFTER, orient="index")
    items = published.query("SELECT * FROM learning_items WHERE semester = '2019-fall' AND phase = 'post' ORDER BY item")
    assert set(items["alpha"].round(9)) == {round(float(_pingouin().cronbach_alpha(data=wide)[0]), 9)}
    for place, row in enumerate(items.itertuples()):
        rest = wide.drop(columns=place).sum(axis=1)
        assert row.discrimination == pytest.approx(stats.pearsonr(wide[place], rest).statistic, abs=1e-9)
        assert row.difficulty == pytest.approx(wide[place].mean() / 5, abs=1e-9)
        assert (row.n_scored, row.n_complete, row.n_absent) == (24, 24, 0)


def test_attainment_by_items_counts_who_reached_the_share_of_points(published: Published) -> None:
    row = _row(published, "learning_outcomes", "2019-fall", "outcome = 'half'")
    assert (row["evidence"], row["n_scored"]) == ("assessment", 24)
    assert row["n_attained"] == sum(points[0] + points[1] >= 5 for points in AFTER.values())


def test_gaps_are_rows(published: Published) -> None:
    row = _row(published, "learning_outcomes", "2019-fall", "outcome = 'shown'")
    assert (row["evidence"], row["n_scored"], row["reason_code"]) == ("none", 0, "no_evidence")
    since = published.query("SELECT semester FROM learning_outcomes WHERE outcome = 'later' ORDER BY semester")
    assert list(since["semester"]) == ["2018-fall", "2019-fall"]


def test_alpha_of_a_questionnaire(ask: Ask) -> None:
    """15 persons, 10 items: 0.59172, as pingouin's documentation prints it for the data set that it carries (0.5917188)."""
    data = _pingouin().read_dataset("cronbach_alpha")
    who, items = [str(x) for x in data["Subj"]], [str(x) for x in data["Items"]]
    found = ask("item_analysis", who, items, [float(x) for x in data["Scores"]], [5.0] * len(data), "2020-fall", "quiz", "pre")
    assert {round(item["alpha"], 6) for item in found} == {0.591719}


def test_few_complete_students_have_no_alpha(ask: Ask) -> None:
    """pingouin's questionnaire with holes: 9 of 12 persons are complete."""
    data = _pingouin().read_dataset("cronbach_wide_missing")
    cells = [(str(who), item, None if np.isnan(score) else float(score)) for who, row in data.iterrows() for item, score in row.items()]
    found = ask("item_analysis", *map(list, zip(*cells, strict=True)), [1.0] * len(cells), "2020-fall", "quiz", "pre")
    assert {(item["alpha"], item["n_complete"], item["reason_code"]) for item in found} == {(None, 9, "few_whole")}


def test_wilson_is_statsmodels(ask: Ask) -> None:
    from statsmodels.stats.proportion import proportion_confint

    for n in (1, 2, 7, 30, 1000):
        for of in {0, 1, n // 2, n}:
            found = ask("attainment", n, 0, of, 0.5, "rubric", "Does it", "2024-fall")
            wanted = proportion_confint(of, n, method="wilson")
            assert (found["share_ci_low"], found["share_ci_high"]) == (
                pytest.approx(wanted[0], abs=1e-12),
                pytest.approx(wanted[1], abs=1e-12),
            )


def _pingouin() -> Any:
    """The library, without the handlers that its import leaves on the root logger."""
    root = logging.getLogger()
    level, handlers = root.level, list(root.handlers)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import pingouin
    root.setLevel(level)
    root.handlers[:] = handlers
    return pingouin
