"""What a build reads: the ledger, the registers and the settings at one moment, and the checked files of the uploads in use."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

from ingest.contract import REGISTERS
from ingest.errors import BuildFailed
from ingest.home import Home
from ingest.received.checked_files import checked_path
from ingest.received.ledger import Received
from ingest.received.uploads import Upload
from ingest.registers.registers import read_registers
from warehouse.foreseen import NOTHING, UPLOADS_FILE, Foreseen
from warehouse.inputs import CHECKED, SETTINGS, UPLOADS, register_schema
from warehouse.parquet import write_parquet


def take_snapshot(home: Home, folder: Path, foreseen: Foreseen = NOTHING) -> list[Upload]:
    """Lay the inputs of one build into an empty folder.

    uploads, settings and each register become one Parquet file. The checked files of the uploads in use are linked (copied
    where the disk cannot link), so that the build sees these and no others even if the home changes meanwhile; beside them
    lies an empty file with the same columns, so that a home without a single upload builds as well.

    Args:
        home: the home.
        folder: where the inputs are laid.
        foreseen: what is taken for recorded already.

    Returns:
        The uploads as they stand, or would stand.

    Raises:
        BuildFailed: the checked file of an upload in use is missing.
        RegisterInvalid, SettingsInvalid, ReceivedDamaged: as their readers say.
    """
    import duckdb

    settings = home.settings()
    registers = read_registers(home)
    uploads = Received(home).uploads(foreseen.events, foreseen.since)
    of_settings = {
        "program": settings.program_code,
        "effective_rain_mm": settings.effective_rain_mm,
        "antecedent_k": settings.antecedent_k,
    }
    with duckdb.connect() as memory:
        write_parquet(folder / UPLOADS_FILE, UPLOADS, [upload.snapshot() for upload in uploads], memory)
        write_parquet(folder / "settings.parquet", SETTINGS, [of_settings], memory)
        for name in REGISTERS:
            write_parquet(folder / f"{name}.parquet", register_schema(name), registers.rows(name), memory)
        for kind, schema in CHECKED.items():
            write_parquet(folder / kind / "none.parquet", schema, [], memory)
    for upload in uploads:
        if upload.status == "active":
            for kind in (upload.kind, "problems"):
                source = checked_path(home.checked, kind, upload.upload_id)
                ahead = checked_path(foreseen.checked, kind, upload.upload_id) if foreseen.checked else source
                _link(ahead if ahead.is_file() else source, folder / kind, upload.upload_id)
    return uploads


def _link(source: Path, folder: Path, upload_id: str) -> None:
    target = folder / source.name
    if not source.is_file():
        raise BuildFailed(f"The checked rows of upload {upload_id} are missing ({source}). Run 'tautleaf build --from-received'.")
    try:
        os.link(source, target)
    except OSError:  # another file system, or one without links
        shutil.copyfile(source, target)
