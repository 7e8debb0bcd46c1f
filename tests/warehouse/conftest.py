"""Homes that are built once for all tests of this folder."""

from __future__ import annotations

import datetime as dt
import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from ingest.home import Home
from tests.warehouse.tiny_home import days_from, rain, reading, receive, tiny_home
from warehouse.build import BuildReport, build
from warehouse.published import Published, open_published

ROOT = Path(__file__).parents[2]


def lived_in(root: Path) -> Home:
    """A home of two semesters with bounds, a flagged row, rows set aside, a replaced and a withdrawn upload, and rain."""
    from ingest.received.ledger import Received

    home = tiny_home(root)
    first = [reading(-1.0 - 0.1 * n, plant=str(n), observer=f"obs_{n:012x}", site=site) for n in range(12) for site in ("ridge", "bottom")]
    first += [reading(-4.0, bound=True, taxon="corndru", plant=str(n), observer=f"obs_{n:012x}") for n in range(2)]
    first += [reading(-1.1, taxon="corndru", plant="9", remark="near the path", status="flagged", flags="late_reading")]
    first += [reading(None, status="set_aside", reasons="reading_unreadable", usable=False, taxon=None, semester=None, section=None)]
    first += [reading(None, status="set_aside", reasons="blank_row", usable=False, is_structural=True, date=None, site=None)]
    receive(home, "u-first", "readings", first)
    spring = {"semester": "2025-spring", "section": "b", "date": dt.date(2025, 3, 4)}
    receive(home, "u-second", "readings", [reading(-0.5, plant=str(n), **spring) for n in range(3)])
    receive(home, "u-old", "readings", [reading(-9.9, plant="1", **spring)])
    Received(home).record("replaced", "u-old", {"by": "u-second"})
    receive(home, "u-gone", "readings", [reading(-8.8, plant="1", **spring)])
    Received(home).record("withdrawn", "u-gone", {})
    receive(home, "w-early", "weather", rain(days_from(dt.date(2024, 5, 1), [1.0] * 200)))
    receive(home, "w-late", "weather", rain({dt.date(2024, 9, 9): 30.0, dt.date(2024, 9, 8): 0.0}))
    return home


@pytest.fixture(scope="session")
def home(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """The lived-in home, not built yet; tests do not change it."""
    return lived_in(tmp_path_factory.mktemp("homes") / "lived in")


@pytest.fixture(scope="session")
def report(home: Home) -> BuildReport:
    """The report of its one build."""
    return build(home)


@pytest.fixture(scope="session")
def instructor(home: Home, report: BuildReport) -> Iterator[Published]:
    """The instructor's file of that build."""
    published = open_published(home, "instructor")
    yield published
    published.close()


@pytest.fixture(scope="session")
def units(home: Home, report: BuildReport) -> dict[str, Any]:
    """What a process of its own found: failures of the models and of dbt's unit tests, stated and real column types, descriptions."""
    command = [sys.executable, str(Path(__file__).with_name("run_units.py")), str(home.root)]
    found = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, env={"PYTHONPATH": str(ROOT)}, check=True)  # noqa: S603
    result: dict[str, Any] = json.loads(found.stdout)
    return result
