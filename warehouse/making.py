"""One build from start to pointer, as the child process makes it."""

from __future__ import annotations

import datetime as dt
import secrets
import shutil
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ingest.errors import BuildFailed
from ingest.home import Home
from warehouse.publish import BuildFacts, publish
from warehouse.snapshot import take_snapshot

if TYPE_CHECKING:
    from warehouse.modelling import Models

KEPT_BUILDS = 2
_UNFINISHED = ".building"
_NAMED_FAILURES = 8


def make_build(home: Home, models: Models) -> dict[str, Any]:
    """Snapshot, model, test and publish; returns the report as plain values.

    Raises:
        BuildFailed: a model or a test failed; nothing was published, the earlier build stays.
    """
    from warehouse.modelling import DATABASE

    started = time.perf_counter()
    now = dt.datetime.now(dt.UTC)
    build_id = f"{now:%Y%m%dt%H%M%S}{now.microsecond // 1000:03d}-{secrets.token_hex(2)}"
    for left in home.modelled.glob(f"*{_UNFINISHED}"):  # of a build that was killed: the caller holds the home
        shutil.rmtree(left)
    folder = home.modelled / f"{build_id}{_UNFINISHED}"
    try:
        take_snapshot(home, folder / "inputs")
        failures = models.build(folder / "inputs", folder / DATABASE)
        if failures:
            named = "; ".join(f"{found.words} ({found.name})" for found in failures[:_NAMED_FAILURES])
            raise BuildFailed(f"The models do not hold: {named}. What was published before stays in use.")
        settings = home.settings()
        facts = BuildFacts(
            build_id=build_id,
            program=settings.program_code,
            program_name=settings.program_name,
            built_at=f"{now:%Y-%m-%dT%H:%M:%SZ}",
            timezone=settings.timezone,
            suppression_threshold=settings.suppression_threshold,
        )
        tables = publish(home, folder / DATABASE, folder / "inputs", facts, models.descriptions())
        (folder / DATABASE).rename(home.modelled / f"{build_id}.duckdb")
        models.statistics.save()
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    _remove_old(home.modelled)
    return {
        "build_id": build_id,
        "seconds": time.perf_counter() - started,
        "tables": tables,
        "statistics": {
            "computed": models.statistics.computed,
            "remembered": models.statistics.reused,
            "seconds": models.statistics.seconds,
        },
    }


def _remove_old(folder: Path) -> None:
    builds = sorted(folder.glob("*.duckdb"))
    for path in builds[:-KEPT_BUILDS]:
        path.unlink()
