"""Homes for the tests of reading and checking."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from ingest.files import containers, opening
from ingest.home import Home
from ingest.learning import checks as learning_checks
from ingest.weather import records
from ingest.weather.opening import work
from tests.ingest.small_class import small_class
from tests.ingest.small_lab import small_lab


@pytest.fixture
def home(tmp_path: Path) -> Home:
    """A small lab of its own for one test."""
    return small_lab(tmp_path / "home")


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """A small lab that the tests of one module share, to check files with and to load nothing into."""
    return small_lab(tmp_path_factory.mktemp("lab") / "home")


@pytest.fixture(scope="module")
def class_lab(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """A small lab with learning outcomes that the tests of one module share, to check files with and to load nothing into."""
    return small_class(tmp_path_factory.mktemp("class") / "home")


@pytest.fixture
def without_suite(monkeypatch: pytest.MonkeyPatch) -> None:
    """Files of scores and levels pass no suite, which takes longer than all else of a small file and has tests of its own."""
    monkeypatch.setattr(learning_checks, "failing_rows", lambda *_: iter(()))


@pytest.fixture(scope="module")
def opened_here() -> Iterator[None]:
    """Opens files in this process, for what is made of their cells: a process for each takes longer; opening has tests of its own."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(containers, "in_limits", lambda _, data, name: opening.work(data, name))
        yield


@pytest.fixture(scope="module")
def records_opened_here() -> Iterator[None]:
    """Opens weather records in this process: one for each takes most of the time, and its answers are the same (`test_fuzz_weather`)."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(records, "in_limits", lambda _, data, name: work(data, name))
        yield
