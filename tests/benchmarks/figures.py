"""What a benchmark says: one measurement against its limit."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Figure:
    """One measurement: seconds (and peak memory, MB), against its limit and against the yardstick of the same run."""

    what: str
    seconds: float
    limit_seconds: float
    peak_mb: float | None = None
    limit_mb: float | None = None


def resident_mb(statm: Path) -> float:
    """Resident memory of a process, MB, by the kernel's count of its pages of 4 KiB."""
    return int(statm.read_text("ascii").split()[1]) * 4096 / 1e6
