"""How far a long file is: told in words and rows, a few times a second at most, and nothing of a short one."""

from __future__ import annotations

import io
import sys
from itertools import count
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingest import progress
from ingest.checking import Asked, check_bytes
from ingest.front import working
from ingest.home import Home
from ingest.progress import EVERY_ROWS, LONG_ROWS, begun, counted, nobody
from tests.ingest.small_class import csv_of, small_class, wide
from tests.ingest.small_lab import TRUE_ROWS, csv_bytes

PRE = "wp_quiz pre 2024-fall section A.csv"
STEPS = [
    "Finding the tables: 8 rows",
    "Reading dates and times: 7 rows",
    "Reading sites, plants and remarks: 7 rows",
    "Reading the pressures: 0 of 7 rows",
    "Setting the clock beside the sun: 0 of 7 rows",
    "Checking each column: 7 rows",
    "Checking each reading: 0 of 7 rows",
]


@given(st.sampled_from([0, 1, LONG_ROWS - 1, LONG_ROWS, LONG_ROWS + 1, 3 * LONG_ROWS + 7]), st.booleans())
def test_every_row_is_gone_through_once_whoever_is_told(rows: int, is_told: bool) -> None:
    told: list[str] = []
    assert list(counted(told.append if is_told else nobody, "Reading", range(rows))) == list(range(rows))
    assert bool(told) == (is_told and rows >= LONG_ROWS)


def test_rows_are_told_as_they_are_done_and_no_oftener_than_they_can_be_read(monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[str] = []
    clock = count(1.0, 0.1)  # each look at the clock is a tenth of a second later
    monkeypatch.setattr("ingest.progress.time.monotonic", lambda: next(clock))
    list(counted(told.append, "Reading", range(10 * EVERY_ROWS + LONG_ROWS)))
    done = [int(words.split(": ")[1].split(" of ")[0].replace(",", "")) for words in told]
    assert told[0] == "Reading: 0 of 15,000 rows"
    assert done == list(range(0, 15_000, 3 * EVERY_ROWS))


@pytest.mark.parametrize(("rows", "told"), [(LONG_ROWS - 1, []), (200_000, ["Checking: 200,000 rows"])])
def test_a_step_that_takes_all_rows_at_once_is_told_of_a_long_file(rows: int, told: list[str]) -> None:
    said: list[str] = []
    begun(said.append, "Checking", rows)
    assert said == told


def test_a_long_file_tells_its_steps_and_is_read_the_same(lab: Home, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[str] = []
    short = check_bytes(lab, csv_bytes(TRUE_ROWS), "class.csv", tell=told.append)
    assert told == []
    monkeypatch.setattr(progress, "LONG_ROWS", 5)
    long = check_bytes(lab, csv_bytes(TRUE_ROWS), "class.csv", tell=told.append)
    assert told == STEPS
    assert (long.receipt.as_dict(), long.columns) == (short.receipt.as_dict(), short.columns)


OF_RUBRIC = csv_of([["Student", "Semester", "Section", "wp_reading", "fair_contrast"], ["Zabreth Imm", "2024-fall", "a", 3, 2]])


@pytest.mark.usefixtures("opened_here")
@pytest.mark.parametrize(("name", "data", "what"), [(PRE, csv_of(wide("pre")), "scores"), ("skills.csv", OF_RUBRIC, "levels")])
def test_a_long_file_of_scores_or_levels_tells_its_steps(
    name: str, data: bytes, what: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    monkeypatch.setattr(progress, "LONG_ROWS", 1)
    checked = check_bytes(small_class(tmp_path / "home"), data, name, tell=told.append)
    n = sum(student is not None for student in checked.columns["student"])
    assert told[1:] == [
        f"Reading the {what}: {n} rows",
        f"Giving students their pseudonyms: 0 of {n} rows",
        f"Checking the {what}: {n} rows",
    ]


@pytest.mark.usefixtures("opened_here")
def test_a_long_weather_record_tells_that_it_is_checked(lab: Home, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[str] = []
    monkeypatch.setattr(progress, "LONG_ROWS", 3)
    check_bytes(lab, b"Date,Rain (mm)\n2024-09-01,0\n2024-09-02,4.5\n", "rain.csv", Asked(gauge="hut"), tell=told.append)
    assert told == ["Checking the days: 3 rows"]  # with the header


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize("is_terminal", [True, False])
def test_progress_is_shown_on_a_terminal_alone(monkeypatch: pytest.MonkeyPatch, is_terminal: bool) -> None:
    shown = _Terminal() if is_terminal else io.StringIO()
    monkeypatch.setattr(sys, "stderr", shown)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "200")
    with working("Checking [bold]\x1b[31m.csv") as tell:
        tell("Reading the pressures: 12,000 of 200,000 rows")
    assert ("Checking [bold]" in shown.getvalue()) == is_terminal
    assert ("… Reading the pressures: 12,000 of 200,000 rows" in shown.getvalue()) == is_terminal
    assert "\x1b[31m" not in shown.getvalue()
