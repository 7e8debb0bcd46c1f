"""A new home from an instructor's data package: the same registers, settings, uploads, checked rows and predictions, not the originals.

The originals hold names and are in no package. So the checked rows take their place in `received`: reading them again gives back
what the package held, and a file that is to be understood otherwise has to be loaded anew.
"""

from __future__ import annotations

import csv
import json
import re
import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ingest.checked.file_columns import PROBLEM_COLUMNS
from ingest.checked.kinds import KINDS_OF_UPLOAD
from ingest.contract import REGISTERS, contract
from ingest.digests import of_file
from ingest.errors import HomeExists, PackageUnusable
from ingest.home import Home, init_home, register_text
from ingest.received.checked_files import checked_path
from ingest.received.ledger import Events, Received
from ingest.registers.registers import read_registers
from ingest.settings import Settings, settings_text, settings_wrong

_DESCRIPTOR, _CHECKSUMS = "datapackage.json", "SHA256SUMS"
_ID = re.compile(r"[a-z0-9-]{1,40}")
_INSTEAD = {
    "student": (
        "Make a home of your own with 'tautleaf init', copy sites.csv, taxa.csv, chambers.csv, gauges.csv, semesters.csv and sections.csv "
        "from {package}/data into its registers, and load {package}/data/observations.csv there: only an instructor's package holds every "
        "upload with all of its rows, and this one is the student's."
    ),
    "reviewer": (
        "Open the tables in {package}/data, or its .duckdb file, as they are: only an instructor's package makes a home, and this one is "
        "the reviewer's, which holds summaries and no reading."
    ),
    "other": "Export the package with --role instructor: {package} is of another role.",
}
"""What to do with a package that makes no home, by its role."""
_OWN = ("received_at", "sequence", "status", "replaced_by", "upload_id")


def import_package(package: Path, root: Path) -> Home:
    """Make a new home that holds what the package of an instructor holds; it appears whole or not at all.

    Args:
        package: the folder that `tautleaf export --role instructor` wrote.
        root: a folder that does not exist yet, or is empty.

    Raises:
        PackageUnusable: the folder is no such package, or is not what was written.
        HomeExists: something is at `root`.
        RegisterInvalid, SettingsInvalid: the package's registers or settings cannot be used.
    """
    target = root.expanduser().absolute()
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise HomeExists(f"{target} is already in use. Choose a new folder.")
    aside = target.with_name(f".{target.name}.new")
    shutil.rmtree(aside, ignore_errors=True)
    try:
        _fill(package, _verified(package), aside)
        if target.exists():
            target.rmdir()
        aside.rename(target)
    except OSError as error:
        raise PackageUnusable(f"The package cannot be imported into {target}: {error.strerror}. Choose another folder.") from error
    finally:
        shutil.rmtree(aside, ignore_errors=True)
    return Home(target)


def _verified(package: Path) -> Settings:
    """The settings of a package whose every file is what was written."""
    try:
        descriptor = json.loads((package / _DESCRIPTOR).read_text("utf-8"))
        sums = [(line[:64], line[66:]) for line in (package / _CHECKSUMS).read_text("utf-8").splitlines()]
        is_ours, role, raw = descriptor["made_by"] == "tautleaf export", descriptor["role"], descriptor.get("settings", {})
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise PackageUnusable(f"Name the folder of a data package: {package} holds none that 'tautleaf export' wrote.") from error
    if not is_ours or role != "instructor":
        raise PackageUnusable(_INSTEAD.get(str(role), _INSTEAD["other"]).format(package=package))
    for sha256, name in sums:
        path = package / name
        if not path.resolve().is_relative_to(package.resolve()) or not path.is_file() or of_file(path) != sha256:
            raise PackageUnusable(f"Copy or export the package again: {name} is not what was written.")
    wrong = settings_wrong(raw)
    if wrong:
        raise PackageUnusable(f"Export the package again: its settings cannot be used. {' '.join(wrong)}")
    return Settings(**raw)


def _fill(package: Path, settings: Settings, root: Path) -> None:
    import duckdb

    home = init_home(root, code=settings.program_code, name=settings.program_name, timezone=settings.timezone)
    home.settings_file.write_text(settings_text(settings), "utf-8")
    with duckdb.connect() as connection:

        def rows(path: Path) -> list[dict[str, Any]]:
            found = connection.execute("SELECT * FROM read_parquet(?)", [str(path)])
            names = [column[0] for column in found.description or ()]
            return [dict(zip(names, row, strict=True)) for row in found.fetchall()]

        for register in REGISTERS:
            path = package / "data" / f"{register}.parquet"
            _write_register(home, register, rows(path) if path.exists() else [])
        read_registers(home)
        uploads = sorted(rows(package / "data" / "uploads.parquet"), key=lambda upload: upload["sequence"])
        for upload in uploads:
            for which, types in _files_of(upload).items():
                _check_columns(connection.execute("DESCRIBE SELECT * FROM read_parquet(?)", [str(_in(package, which, upload))]), types)
    _record(home, package, uploads)
    predicted = package / home.predictions.name
    if predicted.is_file():
        home.predictions.touch(mode=0o600)
        shutil.copyfile(predicted, home.predictions)


def _write_register(home: Home, register: str, rows: list[dict[str, Any]]) -> None:
    columns = list(contract()[register].columns)
    with (home.registers / f"{register}.csv").open("w", encoding="utf-8", newline="") as file:
        file.write(register_text(register))
        writer = csv.writer(file, lineterminator="\n")
        writer.writerows(["" if row.get(name) is None else row[name] for name in columns] for row in rows)


def _files_of(upload: Mapping[str, Any]) -> dict[str, dict[str, str]]:
    """The checked files of an upload in use: which, and its columns with their types; none of one that is not in use.

    Raises:
        PackageUnusable: the upload's id or kind is none of ours.
    """
    if not _ID.fullmatch(str(upload["upload_id"])) or upload["kind"] not in KINDS_OF_UPLOAD:
        raise PackageUnusable(f"Export the package again: {upload['upload_id']!r} is no upload of a kind that is known here.")
    if upload["status"] != "active":
        return {}
    own = {"program": "VARCHAR", "upload_id": "VARCHAR"}
    return {upload["kind"]: {**own, **KINDS_OF_UPLOAD[upload["kind"]].columns}, "problems": own | PROBLEM_COLUMNS}


def _in(package: Path, which: str, upload: Mapping[str, Any]) -> Path:
    path = checked_path(package / "checked", which, upload["upload_id"])
    if not path.is_file():
        raise PackageUnusable(f"Export the package again: the checked rows of upload {upload['upload_id']} are missing.")
    return path


def _check_columns(described: Any, types: Mapping[str, str]) -> None:
    found = {name: kind for name, kind, *_ in described.fetchall()}
    if found != dict(types):
        different = sorted(set(found.items()) ^ set(types.items()))[0][0]
        raise PackageUnusable(f"Export the package again with this version: its checked rows have other columns ({different}).")


def _record(home: Home, package: Path, uploads: list[dict[str, Any]]) -> None:
    received = Received(home)
    accepted: list[Any] = []
    after: list[Any] = []
    for upload in uploads:
        name, kept = upload["upload_id"], {}
        for which in _files_of(upload):
            path = checked_path(home.checked, which, name)
            shutil.copyfile(_in(package, which, upload), path)
            kept[which] = received.keep_original(path.read_bytes())
        facts = {key: value for key, value in upload.items() if key not in _OWN} | {"original_name": upload["file_name"]}
        imported = {"received_at": upload["received_at"], "sequence": upload["sequence"], "checked": kept}
        accepted.append(("accepted", name, {**facts, "imported": imported}))
        if upload["status"] == "replaced":
            after.append(("replaced", name, {"by": upload["replaced_by"]}))
        elif upload["status"] == "withdrawn":
            after.append(("withdrawn", name, {}))
    events: Events = [*accepted, *after]
    received.record_all(events)
