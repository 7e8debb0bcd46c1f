"""Accepting, replacing, withdrawing and restoring: nothing is lost, nothing doubles, and a crash leaves nothing half done."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import duckdb
import pytest

from ingest.checking import Asked, Checked, check_bytes
from ingest.errors import ReplacementUnclear, UploadUnknown
from ingest.home import Home
from ingest.received.accepting import Disposal, accept, foresee, recheck, withdraw
from ingest.received.checked_files import checked_path
from ingest.received.ledger import Received
from ingest.received.uploads import Upload
from tests.ingest.small_lab import TRUE_ROWS, check, csv_bytes, table_of, tree_hash

pytestmark = pytest.mark.usefixtures("opened_here")

SECTION_A = csv_bytes(TRUE_ROWS[:4])
SECTION_B = csv_bytes(TRUE_ROWS[4:])
BOTH = csv_bytes(TRUE_ROWS)
CORRECTED = csv_bytes([*TRUE_ROWS[:3], (*TRUE_ROWS[3][:8], "13", "")])


def load(home: Home, data: bytes, *replaces: str, name: str = "class.csv", adds: bool = False) -> Checked:
    checked = check(home, data, name)
    accept(home, checked, Disposal(replaces, adds))
    return checked


def uploads(home: Home) -> list[tuple[str | None, str]]:
    return [(upload.upload_id, upload.status) for upload in Received(home).uploads()]


def stored(home: Home, upload_id: str | None, kind: str = "readings") -> list[tuple[Any, ...]]:
    with duckdb.connect() as connection:
        path = str(checked_path(home.checked, kind, str(upload_id)))
        return connection.execute("SELECT * FROM read_parquet(?) ORDER BY ALL", [path]).fetchall()


def test_an_accepted_file_is_kept_checked_and_recorded(home: Home) -> None:
    checked = load(home, BOTH)
    (upload,) = Received(home).uploads()
    assert (upload.upload_id, upload.status, checked.receipt.verdict) == (checked.receipt.upload_id, "active", "loaded")
    assert Received(home).original(hashlib.sha256(BOTH).hexdigest()) == BOTH
    counts = (upload.rows_in_file, upload.rows_accepted, upload.rows_flagged, upload.rows_set_aside)
    assert counts == tuple(checked.receipt.rows.values()) == (8, 6, 1, 1)
    assert (upload.sections, upload.semesters) == ("2024-fall/a;2024-fall/b", "2024-fall")
    assert len(stored(home, upload.upload_id)) == 8
    assert len(stored(home, upload.upload_id, "problems")) == len(checked.receipt.problems) == 1


def test_the_same_bytes_twice_change_nothing(home: Home) -> None:
    load(home, BOTH)
    before = tree_hash(home.root)
    again = load(home, BOTH, name="other name.csv")
    assert again.receipt.verdict == "known already"
    assert tree_hash(home.root) == before


def test_a_corrected_file_needs_a_word_and_then_replaces(home: Home) -> None:
    first = load(home, SECTION_A).receipt.upload_id
    before = tree_hash(home.root)
    with pytest.raises(ReplacementUnclear) as caught:
        load(home, CORRECTED)
    for words in ("2024-fall/a", str(first), "--replaces", "--adds", "1 values differ"):
        assert words in str(caught.value)
    assert tree_hash(home.root) == before
    second = load(home, CORRECTED, str(first))
    assert uploads(home) == [(first, "replaced"), (second.receipt.upload_id, "active")]
    assert Received(home).uploads()[0].replaced_by == second.receipt.upload_id
    assert [(change["before"], change["after"]) for change in second.receipt.changes] == [("12", "13")]
    assert Received(home).original(hashlib.sha256(SECTION_A).hexdigest()) == SECTION_A


def test_the_beginning_of_an_id_names_an_upload_and_what_is_not_there_is_refused(home: Home) -> None:
    first = str(load(home, SECTION_A).receipt.upload_id)
    with pytest.raises(UploadUnknown):
        load(home, CORRECTED, "u0000000000")
    load(home, CORRECTED, first[:6])
    assert uploads(home)[0] == (first, "replaced")
    with pytest.raises(UploadUnknown, match="replaced already"):
        load(home, table_of(Section="a", Leaf="9"), first)


def test_a_replacement_that_would_lose_a_section_is_refused(home: Home) -> None:
    both = str(load(home, BOTH).receipt.upload_id)
    before = tree_hash(home.root)
    with pytest.raises(ReplacementUnclear, match="also covers 2024-fall/b"):
        load(home, CORRECTED, both)
    assert tree_hash(home.root) == before


def test_a_further_part_of_a_section_is_added_by_word(home: Home) -> None:
    first = load(home, SECTION_A).receipt.upload_id
    second = load(home, csv_bytes([(*TRUE_ROWS[0][:6], "7", *TRUE_ROWS[0][7:])]), adds=True).receipt.upload_id
    assert uploads(home) == [(first, "active"), (second, "active")]


def test_another_section_needs_no_word(home: Home) -> None:
    load(home, SECTION_A)
    load(home, SECTION_B)
    assert [status for _, status in uploads(home)] == ["active", "active"]


def test_a_withdrawn_file_is_restored_by_loading_it_again(home: Home) -> None:
    first = str(load(home, SECTION_A).receipt.upload_id)
    rows = stored(home, first)
    assert withdraw(home, first[:5]).status == "withdrawn"
    with pytest.raises(UploadUnknown, match="withdrawn already"):
        withdraw(home, first)
    with pytest.raises(UploadUnknown):
        withdraw(home, "u0000")
    again = load(home, SECTION_A)
    assert again.receipt.verdict == "loaded"
    assert uploads(home) == [(first, "active")]
    assert stored(home, first) == rows


def test_a_replaced_file_can_take_its_place_back(home: Home) -> None:
    first = str(load(home, SECTION_A).receipt.upload_id)
    second = str(load(home, CORRECTED, first).receipt.upload_id)
    with pytest.raises(ReplacementUnclear):
        load(home, SECTION_A)
    load(home, SECTION_A, second)
    assert uploads(home) == [(first, "active"), (second, "replaced")]


def add_alias(home: Home, before: str, after: str, register: str = "taxa") -> None:
    path = home.registers / f"{register}.csv"
    text = path.read_text("utf-8")
    assert before in text
    path.write_text(text.replace(before, after), "utf-8")


MISSPELT = csv_bytes([(*row[:4], row[4].replace("quma", "Quercus macrocarp"), *row[5:]) for row in TRUE_ROWS])


def test_a_recheck_reads_uploads_in_use_by_the_registers_of_today(home: Home) -> None:
    first = load(home, MISSPELT).receipt.upload_id
    assert recheck(home) == []
    assert uploads(home) == [(first, "active")]
    add_alias(home, "bur oak,,tree", "bur oak,Quercus macrocarp,tree")
    assert recheck(home) == [first]
    (upload,) = Received(home).uploads()
    assert (upload.status, upload.rows_flagged, upload.rows_accepted) == ("active", 1, 6)
    assert stored(home, first, "problems") != []
    assert recheck(home) == []


def test_a_restored_file_is_read_by_the_registers_of_today(home: Home) -> None:
    first = str(load(home, MISSPELT).receipt.upload_id)
    withdraw(home, first)
    add_alias(home, "bur oak,,tree", "bur oak,Quercus macrocarp,tree")
    again = load(home, MISSPELT)
    (upload,) = Received(home).uploads()
    assert (upload.status, upload.rows_flagged) == ("active", again.receipt.rows["flagged"])
    assert upload.rows_flagged == 1
    assert not any("taxon_alike" in map(str, row) for row in stored(home, first))


def test_answers_given_on_loading_are_heeded_on_a_recheck(home: Home) -> None:
    checked = check(home, table_of(Site="Dune"), "class.csv", "names.site.Dune=ridge")
    accept(home, checked)
    assert recheck(home) == []


def rain(days: Mapping[str, str]) -> bytes:
    return ("date,prcp (mm)\n" + "".join(f"{day},{amount}\n" for day, amount in days.items())).encode()


def load_rain(home: Home, days: Mapping[str, str], replaces: Sequence[str] = (), *, adds: bool = False) -> Upload:
    checked = check_bytes(home, rain(days), "rain.csv", Asked(gauge="hut"))
    assert not checked.receipt.is_refused, checked.receipt.as_text()
    accept(home, checked, Disposal(tuple(replaces), adds))
    return Received(home).find(str(checked.receipt.upload_id))


def test_weather_that_says_the_same_of_shared_days_needs_no_word_and_a_contradiction_does(home: Home) -> None:
    first = load_rain(home, {"2024-09-01": "0", "2024-09-02": "4.5"})
    longer = load_rain(home, {"2024-09-02": "4.5", "2024-09-03": "1"})
    assert {upload.status for upload in Received(home).uploads()} == {"active"}
    with pytest.raises(ReplacementUnclear, match="values differ"):
        load_rain(home, {"2024-09-02": "7"})
    after = load_rain(home, {"2024-10-01": "7"})
    assert (first.kind, longer.gauges, after.status) == ("weather", "hut", "active")


def test_readings_do_not_replace_weather(home: Home) -> None:
    weather = load_rain(home, {"2024-09-01": "0", "2024-09-02": "4.5"})
    with pytest.raises(ReplacementUnclear, match="holds weather"):
        load(home, SECTION_A, weather.upload_id)


class Broken(Exception):
    """A power cut, for the tests."""


@pytest.mark.parametrize("step", ["keep_original", "record_all"])
def test_a_crash_between_the_steps_leaves_no_upload_and_loading_again_mends_it(
    step: str, home: Home, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: Any, **__: Any) -> None:
        raise Broken

    with monkeypatch.context() as patched:
        patched.setattr(Received, step, fail)
        with pytest.raises(Broken):
            load(home, SECTION_A)
    assert uploads(home) == []
    load(home, SECTION_A)
    assert [status for _, status in uploads(home)] == ["active"]


def test_a_crash_while_replacing_leaves_the_old_upload_in_use(home: Home, monkeypatch: pytest.MonkeyPatch) -> None:
    first = str(load(home, SECTION_A).receipt.upload_id)

    def fail(*_: Any, **__: Any) -> None:
        raise Broken

    with monkeypatch.context() as patched:
        patched.setattr("ingest.received.accepting.write_checked", fail)
        with pytest.raises(Broken):
            load(home, CORRECTED, first)
    assert uploads(home) == [(first, "active")]


def test_what_accepting_would_record_is_foreseen_and_the_home_stays_as_it_is(home: Home, tmp_path: Path) -> None:
    first = str(load(home, SECTION_A).receipt.upload_id)
    before = tree_hash(home.root)
    checked, disposal, aside = check(home, CORRECTED, "class.csv"), Disposal((first,)), tmp_path / "aside"
    events = foresee(home, checked, disposal, aside)
    would_be = Received(home).uploads(ahead=events)
    assert tree_hash(home.root) == before
    accept(home, checked, disposal)
    assert [(replace(upload, received_at="")) for upload in Received(home).uploads()] == [replace(u, received_at="") for u in would_be]
    for kind in ("readings", "problems"):
        path = checked_path(aside, kind, str(checked.receipt.upload_id))
        assert path.read_bytes() == checked_path(home.checked, kind, str(checked.receipt.upload_id)).read_bytes()
    assert foresee(home, checked, disposal, tmp_path / "again") == []
