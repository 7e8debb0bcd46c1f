"""What was received stays: originals verified, a ledger that only grows, and uploads that follow from it."""

from __future__ import annotations

import datetime as dt
import hashlib
import sqlite3
import stat
from pathlib import Path
from typing import Any

import pytest

from ingest.errors import HomeBusy, ReceivedDamaged, UploadUnknown
from ingest.home import Home, init_home
from ingest.received.ledger import Received

FACTS: dict[str, Any] = {
    "program": "plant-lab",
    "kind": "readings",
    "file_name": "fall […].csv",
    "original_name": "fall Pat Doe.csv",
    "sha256": "0" * 64,
    "rows_in_file": 10,
    "rows_accepted": 7,
    "rows_flagged": 2,
    "rows_set_aside": 1,
    "recipe": "fall",
    "recipe_text": "[file]\n",
    "semesters": "2024-fall",
    "sections": "2024-fall/a;2024-fall/b",
    "date_first": dt.date(2024, 9, 17),
    "date_last": "2024-10-01",
}


@pytest.fixture
def home(tmp_path: Path) -> Home:
    return init_home(tmp_path / "lab")


@pytest.fixture
def received(home: Home) -> Received:
    return Received(home)


@pytest.mark.parametrize("data", [b"", b"site,reading\nhill,12\n", bytes(range(256)) * 1000])
def test_an_original_comes_back_byte_for_byte(received: Received, data: bytes) -> None:
    sha256 = received.keep_original(data)
    assert sha256 == received.keep_original(data) == hashlib.sha256(data).hexdigest()
    assert received.original(sha256) == data
    kept = [path for path in received.home.originals.rglob("*") if path.is_file()]
    assert kept == [received.home.originals / sha256[:2] / sha256]
    assert stat.S_IMODE(kept[0].stat().st_mode) == 0o600
    assert stat.S_IMODE(received.home.ledger.stat().st_mode) == 0o600


def test_a_damaged_original_is_noticed_and_mended_by_receiving_it_again(received: Received) -> None:
    sha256 = received.keep_original(b"twelve bar")
    path = received.home.originals / sha256[:2] / sha256
    path.write_bytes(b"twelve baz")
    with pytest.raises(ReceivedDamaged, match="not what was received"):
        received.original(sha256)
    received.keep_original(b"twelve bar")
    assert received.original(sha256) == b"twelve bar"
    path.unlink()
    with pytest.raises(ReceivedDamaged, match="missing"):
        received.original(sha256)


def test_no_path_outside_the_store_is_read(received: Received) -> None:
    with pytest.raises(ReceivedDamaged):
        received.original("../ledger.sqlite")


def test_a_new_home_has_no_uploads(received: Received) -> None:
    assert received.uploads() == []


def test_an_accepted_upload_reads_back_from_another_object(home: Home, received: Received) -> None:
    received.record("accepted", "u1", {**FACTS, "gauge_given": "ranch"})
    (upload,) = Received(home).uploads()
    assert (upload.upload_id, upload.status, upload.sequence, upload.replaced_by) == ("u1", "active", 1, None)
    assert (upload.date_first, upload.date_last) == (dt.date(2024, 9, 17), dt.date(2024, 10, 1))
    assert upload.facts["gauge_given"] == "ranch"
    age = dt.datetime.now(dt.UTC) - dt.datetime.fromisoformat(upload.received_at)
    assert dt.timedelta(seconds=-1) <= age < dt.timedelta(minutes=1)


def test_the_snapshot_for_the_models_leaves_out_the_name_as_received(received: Received) -> None:
    received.record("accepted", "u1", FACTS)
    row = received.uploads()[0].snapshot()
    assert not {"original_name", "recipe_text", "facts"} & set(row)
    assert "Pat" not in repr(row)
    assert row["rows_in_file"] == 10


STEPS: list[tuple[list[tuple[str, str, dict[str, str]]], dict[str, tuple[str, str | None]]]] = [
    ([("withdrawn", "u1", {})], {"u1": ("withdrawn", None), "u2": ("active", None)}),
    ([("withdrawn", "u1", {}), ("restored", "u1", {})], {"u1": ("active", None), "u2": ("active", None)}),
    ([("replaced", "u1", {"by": "u2"})], {"u1": ("replaced", "u2"), "u2": ("active", None)}),
    ([("replaced", "u1", {"by": "u2"}), ("restored", "u1", {})], {"u1": ("active", None), "u2": ("active", None)}),
    ([("replaced", "u1", {"by": "u2"}), ("withdrawn", "u2", {})], {"u1": ("replaced", "u2"), "u2": ("withdrawn", None)}),
]


@pytest.mark.parametrize(("steps", "expected"), STEPS)
def test_uploads_follow_from_the_events(received: Received, steps: list[tuple[Any, str, dict[str, str]]], expected: dict[str, Any]) -> None:
    received.record("accepted", "u1", FACTS)
    received.record("accepted", "u2", FACTS)
    for event, upload, facts in steps:
        received.record(event, upload, facts)
    assert {upload.upload_id: (upload.status, upload.replaced_by) for upload in received.uploads()} == expected
    assert [event.sequence for event in received.events()] == list(range(1, len(steps) + 3))


def test_events_about_unknown_uploads_are_refused_and_leave_no_trace(received: Received) -> None:
    received.record("accepted", "u1", FACTS)
    with pytest.raises(UploadUnknown):
        received.record("withdrawn", "u9")
    with pytest.raises(UploadUnknown):
        received.record("replaced", "u1", {"by": "u9"})
    with pytest.raises(ValueError, match="already"):
        received.record("accepted", "u1", FACTS)
    with pytest.raises(ValueError, match="missing sha256"):
        received.record("accepted", "u2", {name: value for name, value in FACTS.items() if name != "sha256"})
    with pytest.raises(ValueError, match="every row"):
        received.record("accepted", "u2", {**FACTS, "rows_flagged": 3})
    assert len(received.events()) == 1


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE events SET upload = 'other'",
        "DELETE FROM events",
        "INSERT OR REPLACE INTO events SELECT sequence, at, by, event, 'other', facts, chain FROM events",
    ],
)
def test_the_ledger_forbids_change(received: Received, sql: str) -> None:
    received.record("accepted", "u1", FACTS)
    ledger = sqlite3.connect(received.home.ledger)
    with pytest.raises(sqlite3.IntegrityError, match="append-only"):
        ledger.execute(sql)
    ledger.close()
    assert [upload.upload_id for upload in received.uploads()] == ["u1"]


@pytest.mark.parametrize(
    "sql", ["UPDATE events SET facts = replace(facts, '7', '8')", "DELETE FROM events WHERE sequence = 1", "UPDATE events SET at = '1999'"]
)
def test_a_ledger_changed_behind_its_triggers_is_noticed(received: Received, sql: str) -> None:
    received.record("accepted", "u1", FACTS)
    received.record("accepted", "u2", FACTS)
    with sqlite3.connect(received.home.ledger) as ledger:
        ledger.executescript(f"DROP TRIGGER no_update; DROP TRIGGER no_delete; {sql};")
    with pytest.raises(ReceivedDamaged, match="not what was written"):
        received.uploads()
    with pytest.raises(ReceivedDamaged):
        received.record("withdrawn", "u2")


@pytest.mark.parametrize("damage", ["missing", "empty", "garbage"])
def test_a_lost_ledger_is_not_taken_for_a_new_one(received: Received, damage: str) -> None:
    received.keep_original(b"readings")
    received.record("accepted", "u1", FACTS)
    ledger = received.home.ledger
    if damage == "missing":
        ledger.unlink()
    else:
        ledger.write_bytes(b"" if damage == "empty" else b"no database " * 1000)
    with pytest.raises(ReceivedDamaged):
        received.uploads()


@pytest.mark.parametrize(
    ("prefix", "found"), [("ab1", "ab1"), ("AB12", "ab12"), ("b", "b7"), ("ab", None), ("x", None), ("", None), (" ", None)]
)
def test_an_upload_is_found_by_the_beginning_of_its_id(received: Received, prefix: str, found: str | None) -> None:
    for upload in ("ab1", "ab12", "b7"):
        received.record("accepted", upload, FACTS)
    if found is None:
        with pytest.raises(UploadUnknown):
            received.find(prefix)
    else:
        assert received.find(prefix).upload_id == found


def test_the_ledger_is_flushed_in_full(received: Received) -> None:
    received.record("accepted", "u1", FACTS)
    with received._ledger() as ledger:
        assert ledger.execute("PRAGMA synchronous").fetchone() == (2,)
        assert ledger.execute("PRAGMA journal_mode").fetchone() == ("delete",)


def test_a_ledger_that_another_command_is_writing_is_busy_not_damaged(received: Received, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ingest.received.ledger._BUSY_SECONDS", 0.05)
    received.record("accepted", "u1", FACTS)
    other = sqlite3.connect(received.home.ledger, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    with pytest.raises(HomeBusy):
        received.record("withdrawn", "u1")
    other.close()
