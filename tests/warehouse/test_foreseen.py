"""Tables that are made while a receipt is read: published when it came as foreseen, and thrown away when it did not."""

from __future__ import annotations

from pathlib import Path

import pytest

from ingest.checking import Checked
from ingest.errors import ReplacementUnclear
from ingest.home import Home
from ingest.received.accepting import Disposal, accept
from tests.ingest.small_lab import TRUE_ROWS, check, csv_bytes, small_lab
from tests.parsed import with_parse_cache
from warehouse.build import Spare, build
from warehouse.published import open_published

SECTION_A, SECTION_B = csv_bytes(TRUE_ROWS[:4]), csv_bytes(TRUE_ROWS[4:])
CORRECTED = csv_bytes([*TRUE_ROWS[:3], (*TRUE_ROWS[3][:8], "13", "")])


def load(home: Home, data: bytes) -> Checked:
    checked = check(home, data)
    accept(home, checked)
    return checked


def tables(home: Home) -> dict[str, str]:
    """Every table of the instructor's file as text, without what differs from build to build."""
    published = open_published(home, "instructor")
    names = published.query("SELECT table_name FROM duckdb_tables() WHERE table_name <> 'build_info' ORDER BY 1")["table_name"]
    found = {str(name): published.query(f"SELECT * FROM {name}").drop(columns="received_at", errors="ignore") for name in names}  # noqa: S608
    published.close()
    return {name: frame.to_csv() for name, frame in found.items()}


@pytest.mark.usefixtures("started_anew")
def test_a_correction_as_foreseen_publishes_what_a_build_made_afterwards_would(tmp_path: Path) -> None:
    home = with_parse_cache(small_lab(tmp_path / "home"))
    first = load(home, SECTION_A)
    checked, disposal = check(home, CORRECTED), Disposal((str(first.receipt.upload_id),))
    with Spare(home) as spare:
        spare.foresee(checked, disposal)
        spare.wait_until_foreseen()
        accept(home, checked, disposal)
        made = build(home, spare)
    assert made.was_foreseen
    foreseen = tables(home)
    assert not build(home).was_foreseen
    assert tables(home) == foreseen
    assert not list(home.modelled.glob(".workplace/ahead*"))


def test_what_came_otherwise_is_built_afresh(tmp_path: Path) -> None:
    home = with_parse_cache(small_lab(tmp_path / "home"))
    checked = check(home, SECTION_A)
    with Spare(home) as spare:
        spare.foresee(checked, Disposal())
        spare.wait_until_foreseen()
        load(home, SECTION_B)
        accept(home, checked)
        made = build(home, spare)
    assert not made.was_foreseen
    assert made.tables["observations"] == len(TRUE_ROWS)


def test_what_is_not_accepted_leaves_nothing_behind(tmp_path: Path) -> None:
    home = with_parse_cache(small_lab(tmp_path / "home"))
    load(home, SECTION_A)
    with Spare(home) as spare, pytest.raises(ReplacementUnclear):
        spare.foresee(check(home, CORRECTED), Disposal())
    with Spare(home) as spare:
        spare.foresee(check(home, SECTION_B), Disposal())
        spare.wait_until_warm()
    assert [path.name for path in home.modelled.rglob("ahead*")] == []
    assert [path.name for path in home.checked.glob("readings/*")] == [f"{load(home, SECTION_A).receipt.upload_id}.parquet"]


def test_what_a_killed_process_made_ahead_is_cleared_away(tmp_path: Path) -> None:
    home = with_parse_cache(small_lab(tmp_path / "home"))
    left = home.modelled / ".workplace" / "ahead-4000000-x"  # no system gives so high a number to a process
    left.mkdir(parents=True)
    Spare(home).close()
    assert not left.exists()
