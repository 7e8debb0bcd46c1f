"""A home as it would be once a file is accepted: its tables can be made while the receipt is still being read.

Modelling takes seconds, publishing a moment. What is foreseen changes nothing; it is published only if, when the time comes, the
inputs of the build are what was foreseen to the byte. Else the build is made afresh.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ingest.checking import Checked
from ingest.home import Home
from ingest.received.accepting import Disposal, foresee
from ingest.received.ledger import Events, Received
from ingest.received.uploads import Upload

UPLOADS_FILE = "uploads.parquet"
_EVENTS = "events.json"
_CHECKED = "checked"


@dataclass(frozen=True)
class Foreseen:
    """Events that are to follow the first `since` of the ledger, and the folder with the checked rows that they would bring."""

    events: Events = ()
    since: int | None = None
    checked: Path | None = None


NOTHING = Foreseen()


def lay_aside(home: Home, checked: Checked, disposal: Disposal, folder: Path) -> bool:
    """Write what accepting a file would change into a folder, for another process; False where it would change nothing.

    Raises:
        ReplacementUnclear, UploadUnknown: as `ingest.received.accepting.accept` says.
    """
    since = len(Received(home).events())
    events = foresee(home, checked, disposal, folder / _CHECKED)
    (folder / _EVENTS).write_text(json.dumps([since, events], default=dt.date.isoformat), "utf-8")
    return bool(events)


def taken_up(folder: Path) -> Foreseen:
    """What `lay_aside` has written."""
    since, events = json.loads((folder / _EVENTS).read_text("utf-8"))
    return Foreseen([(event, upload, facts) for event, upload, facts in events], since, folder / _CHECKED)


def are_same(inputs: Path, uploads: Sequence[Upload], inputs_now: Path, uploads_now: Sequence[Upload]) -> bool:
    """Whether two snapshots hold the same, but for the moment at which an upload was received."""
    if [replace(upload, received_at="") for upload in uploads] != [replace(upload, received_at="") for upload in uploads_now]:
        return False
    files, files_now = _files(inputs), _files(inputs_now)
    return files.keys() == files_now.keys() and all(_is_same(files[name], files_now[name]) for name in files)


def _files(folder: Path) -> dict[str, Path]:
    return {str(path.relative_to(folder)): path for path in folder.rglob("*") if path.is_file() and path.name != UPLOADS_FILE}


def _is_same(one: Path, other: Path) -> bool:
    return one.samefile(other) or one.read_bytes() == other.read_bytes()
