"""The received store: original bytes for ever, and an append-only ledger of what was decided about them.

Everything else in a home is derived from these two. Nothing here is ever changed or removed: an upload is
replaced, withdrawn or restored by a further event. Each event carries a hash over itself and the one before,
so that a ledger edited or damaged on disk is noticed when it is read.
"""

from __future__ import annotations

import datetime as dt
import getpass
import hashlib
import json
import os
import re
import sqlite3
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Literal, get_args

from ingest.errors import HomeBusy, ReceivedDamaged, UploadUnknown
from ingest.home import Home
from ingest.received.uploads import LedgerEvent, Upload, check_facts, fold_events

Event = Literal["accepted", "rechecked", "replaced", "withdrawn", "restored"]
Events = Sequence[tuple[Event, str, Mapping[str, Any]]]
"""Events to be recorded: what happened, to which upload, and its facts."""

_SCHEMA = """
CREATE TABLE IF NOT EXISTS events (
    sequence INTEGER PRIMARY KEY, at TEXT NOT NULL, by TEXT NOT NULL, event TEXT NOT NULL, upload TEXT NOT NULL,
    facts TEXT NOT NULL, chain TEXT NOT NULL
);
CREATE TRIGGER IF NOT EXISTS no_update BEFORE UPDATE ON events BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
CREATE TRIGGER IF NOT EXISTS no_delete BEFORE DELETE ON events BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
CREATE TRIGGER IF NOT EXISTS no_replace BEFORE INSERT ON events WHEN EXISTS (SELECT 1 FROM events WHERE sequence = NEW.sequence)
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
"""
_BUSY_SECONDS = 10.0


class Received:
    """Originals and ledger of one home. Each call opens and closes the ledger, so an object may be shared by threads."""

    def __init__(self, home: Home) -> None:
        self.home = home

    def keep_original(self, data: bytes) -> str:
        """Keep the bytes on disk, flushed, readable by their owner alone; keeping the same bytes again changes nothing.

        Returns:
            Their SHA-256, lower-case hexadecimal.
        """
        with self._ledger():  # made before the first original, so that originals without a ledger mean damage
            pass
        sha256 = hashlib.sha256(data).hexdigest()
        path = self._path(sha256)
        if path.exists() and path.read_bytes() == data:
            return sha256
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as file:  # made with mode 0600
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(file.name).replace(path)
        for folder in (path.parent, path.parent.parent):
            _flush_folder(folder)
        return sha256

    def original(self, sha256: str) -> bytes:
        """The bytes as received.

        Raises:
            ReceivedDamaged: they are missing or no longer have this SHA-256.
        """
        path = self._path(sha256)
        try:
            data = path.read_bytes()
        except FileNotFoundError as error:
            raise ReceivedDamaged(f"The original {path} is missing. Restore it from a backup.") from error
        if hashlib.sha256(data).hexdigest() != sha256:
            raise ReceivedDamaged(f"The original {path} is not what was received. Restore it from a backup.")
        return data

    def record(self, event: Event, upload: str, facts: Mapping[str, Any] | None = None) -> None:
        """Append one event; see `record_all`."""
        self.record_all([(event, upload, facts or {})])

    def record_all(self, events: Events) -> None:
        """Append events that belong together, all or none, flushed to disk before this returns.

        Args:
            events: (event, upload's id, facts) in order. The events are accepted (a new upload), rechecked (read again from
                its original), replaced (`facts["by"]` names the upload that takes its place), withdrawn and restored. For
                accepted and rechecked the facts are the fields of `Upload` and whatever else must be known to read the
                file again; dates as dates or ISO text, everything else as JSON has it.

        Raises:
            UploadUnknown: an event is about an upload that the ledger does not hold.
            ValueError: the facts do not make an upload, or the upload is there already (a mistake of ours).
        """
        with self._ledger() as ledger:
            ledger.execute("BEGIN IMMEDIATE")
            for made in _following(_read(ledger, self.home.ledger), events):
                row = (made.sequence, made.at, made.by, made.event, made.upload, _text(made.facts), made.chain)
                ledger.execute("INSERT INTO events VALUES (?, ?, ?, ?, ?, ?, ?)", row)
            ledger.execute("COMMIT")

    def events(self) -> list[LedgerEvent]:
        """All events in order.

        Raises:
            ReceivedDamaged: the ledger is missing or is not what was written.
        """
        if not self.home.ledger.exists() and not self._has_originals():
            return []
        with self._ledger() as ledger:
            return _read(ledger, self.home.ledger)

    def uploads(self, ahead: Events = (), since: int | None = None) -> list[Upload]:
        """Every upload as it stands now, in the order of acceptance; or as it would stand if the events `ahead` were recorded.

        Args:
            ahead: events that are not recorded.
            since: how many events the ledger must hold for these to follow; where it holds others, they are left out.

        Raises:
            ReceivedDamaged: the ledger is missing or is not what was written.
        """
        events = self.events()
        if since in (None, len(events)):
            events += _following(events, ahead)
        return list(fold_events(events).values())

    def find(self, prefix: str) -> Upload:
        """The one upload whose id is, or begins with, `prefix`.

        Raises:
            UploadUnknown: there is none, or more than one.
        """
        uploads = self.uploads()
        wanted = prefix.strip().casefold()
        found = [upload for upload in uploads if wanted and upload.upload_id.casefold().startswith(wanted)]
        exact = [upload for upload in found if upload.upload_id.casefold() == wanted]
        if len(exact or found) == 1:
            return (exact or found)[0]
        if found:
            raise UploadUnknown(f"{prefix} could be {', '.join(upload.upload_id for upload in found)}. Write more of it.")
        raise UploadUnknown(f"No upload is called {prefix}. 'tautleaf status' lists them.")

    def _path(self, sha256: str) -> Path:
        if not re.fullmatch(r"[0-9a-f]{64}", sha256):
            raise ReceivedDamaged(f"{sha256!r} is no SHA-256.")
        return self.home.originals / sha256[:2] / sha256

    def _has_originals(self) -> bool:
        return self.home.originals.exists() and any(self.home.originals.iterdir())

    @contextmanager
    def _ledger(self) -> Iterator[sqlite3.Connection]:
        path = self.home.ledger
        if not path.exists() or path.stat().st_size == 0:
            if self._has_originals():
                raise ReceivedDamaged(f"The ledger {path} is missing though originals are there. Restore it from a backup.")
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
        ledger = sqlite3.connect(path, timeout=_BUSY_SECONDS, isolation_level=None)
        try:
            ledger.execute("PRAGMA journal_mode = DELETE")
            ledger.execute("PRAGMA synchronous = FULL")
            if not ledger.execute("SELECT 1 FROM sqlite_master WHERE name = 'events'").fetchone():
                ledger.executescript(f"BEGIN; {_SCHEMA} COMMIT;")
            yield ledger
        except sqlite3.DatabaseError as error:
            if getattr(error, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_BUSY:
                raise HomeBusy(f"Another command is writing to {path}. Try again when it has ended.") from error
            advice = "Look at the disk's space and rights; if they are in order, restore it from a backup"
            raise ReceivedDamaged(f"The ledger {path} cannot be used: {error}. {advice}.") from error
        finally:
            ledger.close()


def _read(ledger: sqlite3.Connection, path: Path) -> list[LedgerEvent]:
    events = []
    chain = ""
    for number, row in enumerate(ledger.execute("SELECT * FROM events ORDER BY sequence"), start=1):
        if row[0] != number or row[6] != _chain(chain, row[:6]):
            raise ReceivedDamaged(f"The ledger {path} is not what was written, from event {number} on. Restore it from a backup.")
        sequence, at, by, event, upload, facts, chain = row
        events.append(LedgerEvent(sequence, at, by, event, upload, json.loads(facts), chain))
    return events


def _following(before: Sequence[LedgerEvent], events: Events) -> list[LedgerEvent]:
    """The events as the ledger would hold them after those before.

    Raises:
        UploadUnknown, ValueError: as `record_all` says.
    """
    made: list[LedgerEvent] = []
    at, account = dt.datetime.now(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ"), _account()
    for event, upload, facts in events:
        if event not in get_args(Event):
            raise ValueError(f"{event} is no event of the ledger")
        ledger, text = [*before, *made], _text(facts)
        check_facts(event, upload, json.loads(text), fold_events(ledger))
        row = (len(ledger) + 1, at, account, event, upload, text)
        made.append(LedgerEvent(*row[:5], json.loads(text), _chain(ledger[-1].chain if ledger else "", row)))
    return made


def _text(facts: Mapping[str, Any]) -> str:
    return json.dumps(dict(facts), ensure_ascii=False, sort_keys=True, default=_iso)


def _chain(before: str, row: tuple[Any, ...]) -> str:
    return hashlib.sha256(json.dumps([before, *row], ensure_ascii=False).encode("utf-8", "surrogatepass")).hexdigest()


def _iso(value: Any) -> str:
    if isinstance(value, dt.date):
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} has no place in the ledger")


def _account() -> str:
    """Who runs the command, as the system calls them."""
    try:
        return getpass.getuser()
    except (KeyError, OSError):  # a process whose user has no name
        return f"user {os.getuid()}"


def _flush_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
