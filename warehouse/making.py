"""One build from start to pointer, as the child process makes it."""

from __future__ import annotations

import datetime as dt
import secrets
import shutil
import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ingest.errors import BuildFailed
from ingest.home import Home
from ingest.received.uploads import Upload
from warehouse.foreseen import NOTHING, Foreseen, are_same
from warehouse.publish import BuildFacts, publish
from warehouse.snapshot import take_snapshot

if TYPE_CHECKING:
    from warehouse.modelling import Models

KEPT_BUILDS = 2
_UNFINISHED = ".building"
_NAMED_FAILURES = 8


@dataclass(frozen=True)
class Modelled:
    """A folder with the inputs of a build and the tables made of them, tested but not published; and the uploads it stands on."""

    folder: Path
    uploads: list[Upload]

    @property
    def inputs(self) -> Path:
        """Folder of the snapshot."""
        return self.folder / "inputs"


def model(home: Home, models: Models, folder: Path, foreseen: Foreseen = NOTHING) -> Modelled:
    """Snapshot, model and test, in a folder of its own.

    Raises:
        BuildFailed: a model or a test failed.
    """
    from warehouse.modelling import DATABASE

    made = Modelled(folder, take_snapshot(home, folder / "inputs", foreseen))
    failures = models.build(made.inputs, folder / DATABASE)
    if failures:
        named = "; ".join(f"{found.words} ({found.name})" for found in failures[:_NAMED_FAILURES])
        raise BuildFailed(f"The models do not hold: {named}. What was published before stays in use.")
    models.statistics.save()
    return made


def make_build(home: Home, models: Models, ahead: Modelled | None = None) -> dict[str, Any]:
    """Snapshot, model, test and publish; returns the report as plain values. The caller holds the home.

    Args:
        home: the home.
        models: the parsed project.
        ahead: what was modelled before it was decided; used if it came as foreseen.

    Raises:
        BuildFailed: a model or a test failed; nothing was published, the earlier build stays.
    """
    started = time.perf_counter()
    now = dt.datetime.now(dt.UTC)
    build_id = f"{now:%Y%m%dt%H%M%S}{now.microsecond // 1000:03d}-{secrets.token_hex(2)}"
    for left in home.modelled.glob(f"*{_UNFINISHED}"):  # of a build that was killed
        shutil.rmtree(left)
    folder = home.modelled / f"{build_id}{_UNFINISHED}"
    try:
        foreseen = _as_foreseen(home, ahead, folder)
        made = foreseen or model(home, models, folder)
        tables = _publish(home, models, made, build_id, f"{now:%Y-%m-%dT%H:%M:%SZ}")
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    _remove_old(home.modelled)
    return {
        "build_id": build_id,
        "seconds": time.perf_counter() - started,
        "tables": tables,
        "was_foreseen": foreseen is not None,
        "statistics": {
            "computed": models.statistics.computed,
            "remembered": models.statistics.reused,
            "seconds": models.statistics.seconds,
        },
    }


def _as_foreseen(home: Home, ahead: Modelled | None, folder: Path) -> Modelled | None:
    """The tables modelled ahead, with the inputs of this moment; None where these are not what was foreseen."""
    from warehouse.modelling import DATABASE

    if ahead is None:
        return None
    made = Modelled(folder, take_snapshot(home, folder / "inputs"))
    if not are_same(ahead.inputs, ahead.uploads, made.inputs, made.uploads):
        shutil.rmtree(folder)
        return None
    (ahead.folder / DATABASE).rename(folder / DATABASE)
    return made


def _publish(home: Home, models: Models, made: Modelled, build_id: str, built_at: str) -> dict[str, int]:
    """Publish for every role and keep the tables; returns the rows of each table of the instructor's file."""
    from warehouse.modelling import DATABASE

    settings = home.settings()
    facts = BuildFacts(
        build_id=build_id,
        program=settings.program_code,
        program_name=settings.program_name,
        built_at=built_at,
        timezone=settings.timezone,
        suppression_threshold=settings.suppression_threshold,
    )
    tables = publish(home, made.folder / DATABASE, made.inputs, facts, models.descriptions())
    (made.folder / DATABASE).rename(home.modelled / f"{build_id}.duckdb")
    return tables


def _remove_old(folder: Path) -> None:
    builds = sorted(folder.glob("*.duckdb"))
    for path in builds[:-KEPT_BUILDS]:
        path.unlink()
