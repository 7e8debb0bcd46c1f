"""A build accounts for every upload and row, publishes as a whole, and changes nothing where it fails."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from typing import Any

import pytest

from ingest.errors import BuildFailed, RegisterInvalid
from ingest.home import Home
from ingest.received.ledger import Received
from tests.warehouse.tiny_home import reading, receive, tiny_home
from warehouse.build import BuildReport, Spare, build
from warehouse.published import Published, current_build, open_published
from warehouse.roles import ROLES


def test_only_uploads_in_use_become_observations(instructor: Published) -> None:
    found = instructor.query("SELECT upload_id, count(*) AS n FROM observations GROUP BY 1 ORDER BY 1")
    assert dict(zip(found["upload_id"], found["n"], strict=True)) == {"u-first": 27, "u-second": 3}
    uploads = instructor.query("SELECT upload_id, status FROM uploads ORDER BY sequence")
    assert list(uploads["status"]) == ["active", "active", "replaced", "withdrawn", "active", "active"]


def test_rows_set_aside_are_kept_with_their_reason_and_titles_are_not_counted(instructor: Published) -> None:
    assert list(instructor.query("SELECT reasons FROM set_aside")["reasons"]) == ["reading_unreadable"]
    row = instructor.query("SELECT * FROM cohort_quality WHERE semester = '2024-fall'").iloc[0]
    # The row set aside names no semester: it counts where its upload has only one.
    assert (row["n_rows"], row["n_accepted"], row["n_flagged"], row["n_set_aside"]) == (28, 24, 3, 1)
    assert row["n_late"] == 1
    assert row["n_observers"] == 13
    assert row["share_set_aside"] == pytest.approx(1 / 28)


def test_rain_ends_with_the_gauges_last_day_before_the_reading_and_the_later_record_wins(instructor: Published) -> None:
    row = instructor.query("SELECT * FROM observations WHERE semester = '2024-fall' LIMIT 1").iloc[0]
    # Midday of 10 September, at a gauge whose day of that date ended at 07:00.
    assert (row["rain_own_day"], str(row["rain_window_end"])[:10]) == ("in", "2024-09-10")
    assert row["rain_1d_mm"] == 1.0
    assert row["rain_3d_mm"] == 31.0  # 8 September 0 mm and 9 September 30 mm, as the later upload has it
    assert row["rain_90d_mm"] == pytest.approx(88 + 30.0)
    assert row["days_since_rain"] == 1
    index = sum(0.9**lag * {1: 30.0, 2: 0.0}.get(lag, 1.0) for lag in range(90))
    assert row["antecedent_index_mm"] == pytest.approx(index, abs=1e-9)


def test_beyond_the_record_rain_is_unknown_and_says_for_how_long(instructor: Published) -> None:
    row = instructor.query("SELECT * FROM observations WHERE semester = '2025-spring' LIMIT 1").iloc[0]
    assert row[["rain_1d_mm", "rain_90d_mm", "days_since_rain", "antecedent_index_mm"]].isna().all()
    assert (row["rain_1d_missing_days"], row["rain_90d_missing_days"]) == (1, 90)


def test_season_rain_runs_from_the_first_day_to_the_day_before_the_last_reading(instructor: Published) -> None:
    rain = instructor.query("SELECT DISTINCT season_rain_mm FROM site_season WHERE semester = '2024-fall'")["season_rain_mm"]
    assert list(rain) == [19 + 0.0 + 30.0]  # 20 August to 7 September 1 mm each, then 0 and 30


def test_the_report_counts_what_the_file_holds(instructor: Published, report: BuildReport) -> None:
    assert report.build_id == instructor.build_id == current_build_of(instructor)
    for table, rows in report.tables.items():
        found = instructor.query(f'SELECT count(*) AS n FROM "{table}"')  # noqa: S608  # our own names
        assert found["n"][0] == rows


def current_build_of(published: Published) -> Any:
    return published.query("SELECT build_id FROM build_info")["build_id"][0]


def _broken_counts(home: Home) -> None:
    """A row that the ledger does not know of."""
    receive(home, "u-1", "readings", [reading(plant="1"), reading(plant="2")], rows_accepted=1, rows_in_file=1)


def _unknown_site(home: Home) -> None:
    receive(home, "u-1", "readings", [reading(site="elsewhere")])


def _positive_infinity(home: Home) -> None:
    receive(home, "u-1", "readings", [reading(float("-inf"))])


def _missing_file(home: Home) -> None:
    receive(home, "u-1", "readings", [reading()])
    (home.checked / "readings" / "u-1.parquet").unlink()


@pytest.mark.parametrize(
    ("broken", "says"),
    [
        (_broken_counts, "upload u-1: the ledger counts 1/0/0 rows accepted/flagged/set aside, the models hold 2/0/0 and 2 observations"),
        (_unknown_site, "elsewhere is used in 1 rows and is not in sites.csv"),
        (_positive_infinity, "1 rows have no finite water_potential_mpa"),
        (_missing_file, "The checked rows of upload u-1 are missing"),
    ],
)
def test_a_build_that_does_not_hold_says_why_and_publishes_nothing(tmp_path: Path, broken: Any, says: str) -> None:
    home = tiny_home(tmp_path / "home")
    broken(home)
    with pytest.raises(BuildFailed) as failed:
        build(home)
    assert says in str(failed.value)
    assert current_build(home) is None
    assert not list(home.published.glob("*.duckdb"))
    assert not list(home.modelled.glob("*.building"))


@pytest.mark.usefixtures("started_anew")
def test_an_empty_home_builds(tmp_path: Path) -> None:
    home = tiny_home(tmp_path / "home")
    assert build(home).tables["observations"] == 0
    for role in ROLES:
        open_published(home, role).close()


def test_a_later_build_takes_its_place_and_an_open_one_still_reads(tmp_path: Path) -> None:
    home = tiny_home(tmp_path / "home")
    receive(home, "u-1", "readings", [reading()])
    first = build(home)
    with Spare(home) as spare:
        before = open_published(home, "instructor")
        receive(home, "u-2", "readings", [reading(plant="2", date=dt.date(2024, 9, 11))])
        second = build(home, spare)
    assert second.build_id > first.build_id
    assert current_build(home) == second.build_id
    assert before.query("SELECT count(*) AS n FROM observations")["n"][0] == 1
    assert open_published(home, "instructor").query("SELECT count(*) AS n FROM observations")["n"][0] == 2
    Received(home).record("withdrawn", "u-2", {})
    third = build(home)
    kept = {path.name for path in home.published.glob("*.duckdb")}
    assert kept == {f"{role}-{made.build_id}.duckdb" for role in ("instructor", "student", "reviewer") for made in (second, third)}
    assert json.loads((home.published / "current.json").read_text("utf-8"))["build_id"] == third.build_id


def test_a_register_that_cannot_be_used_is_named_by_the_build(tmp_path: Path) -> None:
    home = tiny_home(tmp_path / "home")
    (home.registers / "sites.csv").write_text("site\nridge\n", "utf-8")
    with pytest.raises(RegisterInvalid) as failed:
        build(home)
    assert failed.value.problems


@pytest.mark.usefixtures("started_anew")
def test_a_spare_that_is_not_used_ends(tmp_path: Path) -> None:
    with Spare(tiny_home(tmp_path / "home")) as spare:
        pass
    assert spare.is_over


def test_a_build_computes_only_the_groups_that_an_upload_touched(tmp_path: Path) -> None:
    home = tiny_home(tmp_path / "home")
    for year in (2018, 2019, 2020, 2021):
        day = dt.date(year, 9, 10)
        rows = [
            reading(-1.0 - 0.1 * n - 0.01 * (year - 2018), plant=str(n), site=site, date=day, semester=f"{year}-fall")
            for n in range(6)
            for site in ("ridge", "bottom")
        ]
        receive(home, f"u-{year}", "readings", rows)
    first = build(home).statistics
    again = build(home).statistics
    assert first["computed"] > 40
    assert (again["computed"], again["remembered"]) == (0, first["computed"] + first["remembered"])
    # Shrubs of a spring touch no grass of a fall: their own groups alone are new.
    spring = {"semester": "2022-spring", "date": dt.date(2022, 3, 8), "taxon": "corndru"}
    receive(home, "u-spring", "readings", [reading(-0.5 - 0.1 * n, plant=str(n), **spring) for n in range(4)])
    after = build(home).statistics
    assert 0 < after["computed"] < first["computed"] / 2
    assert after["remembered"] >= 0.9 * (first["computed"] + first["remembered"])
