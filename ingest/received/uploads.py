"""An upload as it stands: what the events of the ledger add up to."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import MISSING, dataclass, field, fields, replace
from typing import Any

from ingest.errors import UploadUnknown


@dataclass(frozen=True)
class LedgerEvent:
    """One line of the ledger: what was decided about which upload, when (UTC) and by which account."""

    sequence: int
    at: str
    by: str
    event: str
    upload: str
    facts: Mapping[str, Any]
    chain: str


@dataclass(frozen=True)
class Upload:
    """One file as received and what became of it.

    Lists are text joined by ';'. `rows_in_file` is the sum of the three counts that follow it. `file_name` is
    scrubbed, `original_name` is as received and never leaves the ledger. `facts` holds all that was recorded
    when the file was accepted.
    """

    program: str
    upload_id: str
    kind: str
    file_name: str
    original_name: str
    sha256: str
    rows_in_file: int
    rows_accepted: int
    rows_flagged: int
    rows_set_aside: int
    recipe: str = ""
    recipe_text: str = ""
    semesters: str = ""
    sections: str = ""
    gauges: str = ""
    covers: str = ""
    date_first: dt.date | None = None
    date_last: dt.date | None = None
    received_at: str = ""
    status: str = "active"
    replaced_by: str | None = None
    sequence: int = 0
    facts: Mapping[str, Any] = field(default_factory=dict)

    def snapshot(self) -> dict[str, Any]:
        """The upload as a row for the models: without the name as received, the recipe's text and the raw facts."""
        return {name: value for name, value in vars(self).items() if name not in ("original_name", "recipe_text", "facts")}


_FROM_LEDGER = ("upload_id", "received_at", "status", "replaced_by", "sequence", "facts")
_FACTS = [entry for entry in fields(Upload) if entry.name not in _FROM_LEDGER]
_COUNTS = ("rows_accepted", "rows_flagged", "rows_set_aside")


def check_facts(event: str, upload: str, facts: Mapping[str, Any], uploads: Mapping[str, Upload]) -> None:
    """See that an event makes sense after all that came before.

    Raises:
        UploadUnknown: it is about an upload that is not there.
        ValueError: an acceptance lacks a fact, counts wrongly or repeats an id.
    """
    if event not in ("accepted", "rechecked"):
        for name in [upload, *([str(facts.get("by"))] if event == "replaced" else [])]:
            if name not in uploads:
                raise UploadUnknown(f"No upload is called {name}. 'tautleaf status' lists them.")
        return
    missing = [entry.name for entry in _FACTS if entry.default is MISSING and entry.name not in facts]
    if missing or (upload in uploads) != (event == "rechecked"):
        why = f"missing {', '.join(missing)}" if missing else "it is there already" if upload in uploads else "it is not there"
        raise ValueError(f"upload {upload} cannot be {event}: {why}")
    if facts["rows_in_file"] != sum(facts[name] for name in _COUNTS):
        raise ValueError(f"upload {upload} does not account for every row: {[facts['rows_in_file'], *(facts[name] for name in _COUNTS)]}")
    _accepted(LedgerEvent(0, "", "", event, upload, facts, ""))


def fold_events(events: Iterable[LedgerEvent]) -> dict[str, Upload]:
    """Every upload by id, as the events leave it."""
    uploads: dict[str, Upload] = {}
    for event in events:
        if event.event == "accepted":
            last = max((upload.sequence for upload in uploads.values()), default=0)
            uploads[event.upload] = _accepted(event, last)
            continue
        if event.event == "rechecked":
            before = uploads[event.upload]
            kept = {name: getattr(before, name) for name in ("received_at", "status", "replaced_by", "sequence")}
            uploads[event.upload] = replace(_accepted(event), **kept)
            continue
        status = {"replaced": "replaced", "withdrawn": "withdrawn", "restored": "active"}[event.event]
        by = str(event.facts["by"]) if event.event == "replaced" else None
        uploads[event.upload] = replace(uploads[event.upload], status=status, replaced_by=by)
    return uploads


def _accepted(event: LedgerEvent, last: int = 0) -> Upload:
    """The upload of an acceptance, later than the `last`; what was imported says itself when it was received, and where in their order."""
    known: dict[str, Any] = {entry.name: event.facts[entry.name] for entry in _FACTS if entry.name in event.facts}
    for name in ("date_first", "date_last"):
        known[name] = dt.date.fromisoformat(known[name]) if known.get(name) else None
    received = event.facts.get("imported", {})
    at, sequence = received.get("received_at", event.at), received.get("sequence", max(event.sequence, last + 1))
    return Upload(upload_id=event.upload, received_at=at, sequence=sequence, facts=event.facts, **known)
