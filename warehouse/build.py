"""`build`: everything that is checked becomes tables, tested and published, or nothing changes."""

from __future__ import annotations

from dataclasses import dataclass

from ingest.home import Home
from warehouse.worker import Spare

__all__ = ["BuildReport", "Spare", "build"]


@dataclass(frozen=True)
class BuildReport:
    """A finished build: its id, the seconds from go to published, the rows of each table of the instructor's file, how many
    statistics were `computed`, in how many `seconds`, and how many `remembered` from the build before, and whether its tables were
    made ahead."""

    build_id: str
    seconds: float
    tables: dict[str, int]
    statistics: dict[str, float]
    was_foreseen: bool


def build(home: Home, spare: Spare | None = None) -> BuildReport:
    """Build the models of a home afresh from its ledger, registers and checked files, test and publish them.

    The work is done in one child process. The caller holds `home.changing()`.

    Args:
        home: the home.
        spare: a process started earlier with `Spare(home)`, so that its warming up is over; it is used up.

    Raises:
        BuildFailed: a model or a test failed, or a checked file is missing; what was published stays.
        RegisterInvalid, SettingsInvalid, ReceivedDamaged: the home cannot be read.
    """
    with spare or Spare(home) as process:
        report = process.go()
    return BuildReport(report["build_id"], report["seconds"], report["tables"], report["statistics"], report["was_foreseen"])
