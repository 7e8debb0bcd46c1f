"""Fair contrasts through the models against published values and general libraries, and what they must never do.

Values enter as one leaf per plant with the sign turned where the source's are positive, since a potential is never above 0.
"""

from __future__ import annotations

import datetime as dt
import warnings
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import pytest

from tests.references.contrast_data import DRUG_1, DRUG_2, MISSISSIPPI, QUEBEC
from tests.references.test_mixed_models import CO2
from tests.warehouse.tiny_home import days_from, rain, reading, receive, tiny_home
from warehouse.build import build
from warehouse.published import Published, open_published

if TYPE_CHECKING:
    import pandas as pd


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
