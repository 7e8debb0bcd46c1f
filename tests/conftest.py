"""What holds for all tests: no example of a property fails because the machine is busy, and builds begin as forks."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator
from contextlib import suppress

import pytest
from hypothesis import HealthCheck, settings

from tests import forked

_PATIENT = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("the same each time", _PATIENT, derandomize=True)  # what a change did not touch does not refuse it
settings.register_profile("afresh", _PATIENT, max_examples=1000)  # make trust
settings.load_profile("the same each time")


@pytest.fixture(scope="session", autouse=True)
def forked_builds() -> Iterator[None]:
    """Builds begin as forks of a process that has dbt loaded, where the system can tell of one that is not our child that it ended."""
    with pytest.MonkeyPatch.context() as patch:
        with suppress(AttributeError, OSError):
            os.close(os.pidfd_open(os.getpid()))
            patch.setattr("warehouse.worker.subprocess", forked)
        yield


@pytest.fixture
def started_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """A build begins as it does for everybody: in an interpreter of its own."""
    monkeypatch.setattr("warehouse.worker.subprocess", subprocess)
