"""Spoilt bytes of real files, through every reader and the whole reading path: an error by name or a receipt that adds up."""

from __future__ import annotations

import time
import traceback
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from ingest.errors import FileUnreadable
from ingest.files import limited
from ingest.files.containers import Container, Sheet
from ingest.home import Home
from tests.ingest.fuzzing import SLOWEST_SECONDS, Suite, complaints, read, save
from tests.ingest.mutations import KINDS, spoilt, whole
from tests.ingest.open_many import open_many

CASES, PER_TEST, TOGETHER = 600, 120, 20


def opened(files: list[bytes]) -> list[tuple[str, Any]]:
    """What comes of opening each file; where one of them takes the process down, the others are opened without it."""
    try:
        return open_many([(file, "class") for file in files])
    except FileUnreadable as error:
        half = len(files) // 2
        return [*opened(files[:half]), *opened(files[half:])] if half else [("refused", str(error))]


def failures(home: Home, seeds: range, folder: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[list[str], Counter[tuple[str, str]]]:
    """What is wrong with the answers to a range of cases, how to find each, and how many of each kind of file came to what."""
    told, outcomes = [], Counter[tuple[str, str]]()
    for start in range(seeds.start, seeds.stop, TOGETHER):
        cases = [(seed, *spoilt(seed)) for seed in range(start, min(start + TOGETHER, seeds.stop))]
        for (seed, kind, data), (outcome, found) in zip(cases, opened([data for _, _, data in cases]), strict=True):
            outcomes[kind, outcome] += 1
            if outcome == "opened":
                said = _read(home, found, data, monkeypatch)
            else:
                said = [] if outcome == "damaged" or len(found) > 30 else [f"an error that says too little: {found}"]
            if said:
                told.append(save(folder, f"class.{kind}", data, seed, said))
    return told, outcomes


def _read(home: Home, found: Any, data: bytes, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    kind, sheets, notes = found
    container = Container(kind, [Sheet(*sheet) for sheet in sheets], notes)
    started = time.process_time()
    try:
        # Spoilt bytes may move a person's name under the header of another column: `never` holds nothing.
        said = list(complaints(read(home, container, data, "class", monkeypatch), container, never=()))
    except Exception as crash:  # noqa: BLE001  # a crash is what the fuzzer is there to find
        return [f"{type(crash).__name__}: {crash} at {traceback.extract_tb(crash.__traceback__)[-1]}"]
    took = time.process_time() - started
    return [*said, f"it took {took:.1f} s"] if took > SLOWEST_SECONDS else said


@pytest.mark.parametrize("start", range(0, CASES, PER_TEST))
def test_spoilt_bytes_give_an_error_by_name_or_a_receipt_that_adds_up(start: int, lab: Home, tmp_path: Path) -> None:
    with pytest.MonkeyPatch.context() as monkeypatch:
        Suite(monkeypatch)
        monkeypatch.setattr(limited, "MEMORY_MB", 500)  # filling more takes most of the time
        told, outcomes = failures(lab, range(start, start + PER_TEST), tmp_path, monkeypatch)
    assert not told, "\n".join(told)
    assert {kind for kind, outcome in outcomes if outcome == "opened"} == set(KINDS), outcomes  # else nothing was tried behind the opening


def test_the_files_that_are_spoilt_can_be_read_before() -> None:
    assert [outcome for outcome, _ in opened([whole(kind) for kind in KINDS])] == ["opened"] * len(KINDS)
