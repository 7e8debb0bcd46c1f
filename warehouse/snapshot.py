"""What a build reads: the ledger, the registers and the settings at one moment, and the checked files of the uploads in use."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

from ingest.contract import REGISTERS
from ingest.errors import BuildFailed
from ingest.home import Home
from ingest.received import Received
from ingest.registers import read_registers
from warehouse.inputs import CHECKED, SETTINGS, UPLOADS, register_schema
from warehouse.parquet import write_parquet


def take_snapshot(home: Home, folder: Path) -> None:
    """Lay the inputs of one build into an empty folder.

    uploads, settings and each register become one Parquet file. The checked files of the uploads in use are linked (copied
    where the disk cannot link), so that the build sees these and no others even if the home changes meanwhile; beside them
    lies an empty file with the same columns, so that a home without a single upload builds as well.

    Raises:
        BuildFailed: the checked file of an upload in use is missing.
        RegisterInvalid, SettingsInvalid, ReceivedDamaged: as their readers say.
    """
    import duckdb

    settings = home.settings()
    registers = read_registers(home)
    uploads = Received(home).uploads()
    of_settings = {
        "program": settings.program_code,
        "effective_rain_mm": settings.effective_rain_mm,
        "antecedent_k": settings.antecedent_k,
    }
    with duckdb.connect() as memory:
        write_parquet(folder / "uploads.parquet", UPLOADS, [upload.snapshot() for upload in uploads], memory)
        write_parquet(folder / "settings.parquet", SETTINGS, [of_settings], memory)
        for name in REGISTERS:
            write_parquet(folder / f"{name}.parquet", register_schema(name), registers.rows(name), memory)
        for kind, schema in CHECKED.items():
            write_parquet(folder / kind / "none.parquet", schema, [], memory)
    for upload in uploads:
        if upload.status == "active":
            _link(home.checked / upload.kind / f"{upload.upload_id}.parquet", folder / upload.kind, upload.upload_id)
            _link(home.checked / "problems" / f"{upload.upload_id}.parquet", folder / "problems", upload.upload_id)


def _link(source: Path, folder: Path, upload_id: str) -> None:
    target = folder / source.name
    if not source.is_file():
        raise BuildFailed(f"The checked rows of upload {upload_id} are missing ({source}). Run 'tautleaf build --from-received'.")
    try:
        os.link(source, target)
    except OSError:  # another file system, or one without links
        shutil.copyfile(source, target)
