"""The desk: pages and their files, one change of the home at a time, and what is said when something goes wrong."""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from dashboards.receiving.delivery import Delivery
from dashboards.receiving.desk import MOST_OPEN, Desk
from dashboards.receiving.in_work import Item
from dashboards.receiving.process import answer_to
from dashboards.receiving.receipt_html import in_use_html, item_html, withdraw_html
from ingest.errors import BuildFailed, FileUnreadable, ReceivingFailed
from ingest.home import Home
from ingest.progress import Tell, nobody
from ingest.received.ledger import Received
from tests.ingest.small_lab import TRUE_ROWS, csv_bytes, small_lab

SECTION_A, SECTION_B = csv_bytes(TRUE_ROWS[:4]), csv_bytes(TRUE_ROWS[4:])


class _HereRead:
    """Stands for the process that reads a file: the same answers, in this process."""

    def __init__(self, home: Home) -> None:
        self.home, self.is_over = home, False
        self.delivery: Delivery | None = None

    def call(self, what: str, data: bytes | None = None, tell: Tell = nobody, **said: Any) -> dict[str, Any]:
        if what == "foresee":
            return {"is_foreseen": False}
        if what == "drop":
            if b"trip" in (data or b""):
                raise ValueError("the words of the file: Zabreth")
            self.delivery = Delivery(self.home, data or b"", said["name"])
        assert self.delivery is not None
        return answer_to(self.delivery, {"what": what, **said}, tell)

    def close(self) -> None:
        self.is_over = True


class _HereReady:
    """Stands for the processes that wait ready."""

    def __init__(self, home: Home) -> None:
        self.home = home
        self.taken: list[_HereRead] = []
        self.forgotten: list[str] = []

    def take_reader(self) -> _HereRead:
        self.taken.append(_HereRead(self.home))
        return self.taken[-1]

    def take_spare(self) -> None:
        return None

    def warm(self) -> None:
        """Nothing is warmed up here."""

    def foresee(self, owner: str, lay_aside: Callable[[Path], bool]) -> None:
        lay_aside(self.home.root)

    def forget(self, owner: str) -> None:
        self.forgotten.append(owner)

    def close(self) -> None:
        """Nothing waits here."""


@pytest.fixture
def ready(tmp_path: Path) -> _HereReady:
    return _HereReady(small_lab(tmp_path / "home"))


@pytest.fixture
def desk(ready: _HereReady, monkeypatch: pytest.MonkeyPatch) -> Any:
    # The suite takes its time, and is tested elsewhere.
    monkeypatch.setattr("ingest.readings.crosschecks.failing_rows", lambda kind, columns: iter(()))
    monkeypatch.setattr("warehouse.build.build", lambda home, spare: SimpleNamespace(build_id="b1", was_foreseen=False))
    desk = Desk(ready.home, ready)  # type: ignore[arg-type]  # it does what is asked of one
    yield desk
    desk.close()


def done(item: Item) -> Item:
    """The item when nothing is being done with it any more."""
    end = time.monotonic() + 60
    while item.doing and time.monotonic() < end:
        time.sleep(0.01)
    assert not item.doing
    return item


def test_an_accepted_file_is_built_shown_and_let_go(desk: Desk, ready: _HereReady) -> None:
    drawn: list[str] = []
    token = desk.enter(lambda: drawn.append("drawn"))
    item = done(desk.receive(token, "class.csv", SECTION_A))
    assert (item.seen["state"], item.alert) == ("checked", "")
    assert "Accept 4\u00a0readings" in item_html(item.seen, "")
    assert desk.page(item, "rows", status="", start=0)["total"] == 5
    desk.accept(item, (), adds=False)
    done(item)
    assert (item.seen["state"], item.seen["published"], drawn) == ("loaded", "b1", ["drawn"])
    assert ready.taken[0].is_over
    assert "class?semester=2024-fall" in item_html(item.seen, "")
    assert set(item.seconds) == {"check", "accept", "build", "redraw"}
    with pytest.raises(ReceivingFailed, match="no longer held"):
        desk.page(item, "rows", status="", start=0)


def test_a_change_by_another_command_is_said_and_the_file_stays(desk: Desk) -> None:
    item = done(desk.receive(desk.enter(lambda: None), "class.csv", SECTION_A))
    with desk.home.changing():
        desk.accept(item, (), adds=False)
        done(item)
    assert "is changing" in item.alert
    assert "Try again when it has ended" in item.alert
    assert "Accept 4\u00a0readings" in item_html(item.seen, item.alert)
    desk.accept(item, (), adds=False)
    assert done(item).seen["state"] == "loaded"


def test_two_pages_change_the_home_one_after_the_other(desk: Desk) -> None:
    pages = [desk.enter(lambda: None), desk.enter(lambda: None)]
    files = zip(pages, (SECTION_A, SECTION_B), strict=True)
    items = [done(desk.receive(token, "class.csv", data)) for token, data in files]
    for item in items:
        desk.accept(item, (), adds=False)
    assert [done(item).seen["state"] for item in items] == ["loaded", "loaded"]
    assert desk.find(pages[0], items[1].id) is None  # what lies on one page is not another's


def test_a_failed_build_keeps_the_file_and_says_what_is_shown(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(home: Home, spare: None) -> None:
        raise BuildFailed("The models do not hold. What was published before stays in use.")

    monkeypatch.setattr("warehouse.build.build", fail)
    item = done(desk.receive(desk.enter(lambda: None), "class.csv", SECTION_A))
    desk.accept(item, (), adds=False)
    done(item)
    assert "loaded and kept, but the tables could not be built" in item.alert
    assert "stays in use" in item.alert
    assert "not yet in the figures" in item_html(item.seen, item.alert)
    assert "class?semester" not in item_html(item.seen, item.alert)
    assert len(Received(desk.home).uploads()) == 1


def test_withdrawing_asks_in_words_and_takes_the_upload_out_of_use(desk: Desk) -> None:
    token = desk.enter(lambda: None)
    item = done(desk.receive(token, "class <b>.csv", SECTION_A))
    desk.accept(item, (), adds=False)
    done(item)
    (upload,) = desk.in_use()
    assert "Withdraw class &lt;b&gt;.csv, received" in withdraw_html(upload)
    assert "Its 4\u00a0rows leave every figure" in withdraw_html(upload)
    taken = done(desk.withdraw(token, upload.upload_id))
    assert (taken.seen["state"], taken.alert, desk.in_use()) == ("withdrawn", "", [])
    assert "No file is in use" in in_use_html(desk.in_use())
    assert "withdrawn already" in done(desk.withdraw(token, upload.upload_id)).alert


def test_what_is_put_away_or_left_behind_is_let_go(desk: Desk, ready: _HereReady) -> None:
    token = desk.enter(lambda: None)
    items = [done(desk.receive(token, "class.csv", data)) for data in (SECTION_A, SECTION_B)]
    desk.let_go(items[0])
    assert [process.is_over for process in ready.taken] == [True, False]
    desk.leave(token)
    assert [process.is_over for process in ready.taken] == [True, True]
    assert ready.forgotten == [item.id for item in items]
    assert not desk.is_at(token)
    assert Received(desk.home).uploads() == []


def test_only_so_many_files_are_held_and_the_oldest_makes_room(desk: Desk, ready: _HereReady) -> None:
    token = desk.enter(lambda: None)
    items = [done(desk.receive(token, "class.csv", b"nothing")) for _ in range(MOST_OPEN + 1)]
    assert [process.is_over for process in ready.taken] == [True, *[False] * MOST_OPEN]
    assert desk.find(token, items[0].id) is None
    with pytest.raises(FileUnreadable, match="tautleaf load FILE"):
        desk.receive(token, "all.csv", b"0" * 26_000_000)


def test_what_nobody_thought_of_is_said_without_the_files_words(desk: Desk, caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.DEBUG):
        item = done(desk.receive(desk.enter(lambda: None), "Zabreth.csv", b"trip"))
    assert item.alert.startswith("Something went wrong")
    assert "ValueError" in caplog.text
    assert "Zabreth" not in caplog.text


def test_a_page_hears_at_once_of_a_change_and_is_not_kept_waiting_without_one() -> None:
    item = Item("token", "class.csv")

    async def wait() -> tuple[float, float]:
        began = time.perf_counter()
        await item.changed(item.version, 0.05)
        without = time.perf_counter() - began
        asyncio.get_running_loop().call_later(0.05, item.say, "Checking")
        await item.changed(item.version, 60)
        return without, time.perf_counter() - began - without

    with ThreadPoolExecutor(1) as apart:  # a browser that is open for other tests has a loop in this thread
        without, heard = apart.submit(asyncio.run, wait()).result()
    assert without < 20
    assert heard < 20
    assert item.version == 1


def test_one_thing_is_done_with_a_file_at_a_time(desk: Desk) -> None:
    item = done(desk.receive(desk.enter(lambda: None), "class.csv", SECTION_A))
    item.doing = "Checking"
    with pytest.raises(ReceivingFailed, match="Wait a moment"):
        desk.check(item, {})
    item.doing = ""


def test_a_long_file_says_how_far_it_is_until_it_is_done(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ingest.progress.LONG_ROWS", 4)
    shown: list[tuple[str, str]] = []
    say = Item.say

    def noted(item: Item, doing: str, alert: str = "", progress: str = "") -> None:
        shown.append((doing, progress))
        say(item, doing, alert, progress)

    monkeypatch.setattr(Item, "say", noted)
    item = done(desk.receive(desk.enter(lambda: None), "class.csv", SECTION_A))
    doing = "Reading and checking the file"
    assert shown[0] == (doing, "")
    assert (doing, "Reading the pressures: 0 of 4 rows") in shown
    desk.accept(item, (), adds=False)
    done(item)
    corrected = done(desk.receive(item.token, "class corrected.csv", SECTION_A.replace(b"18.5", b"19.5")))
    assert (doing, "Comparing with class.csv: 5 rows") in shown
    assert corrected.seen["covered"][0]["changes"] == 1
    assert shown[-1] == (item.doing, item.progress) == ("", "")


def test_what_a_reading_process_tells_of_its_progress_comes_before_its_answer(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    import subprocess
    import sys

    from dashboards.receiving import process

    lines = 'input(); print(\'{"progress": "1 of 2"}\\n{"progress": "2 of 2"}\\n{"seen": {}}\', flush=True); input()'
    start = subprocess.Popen
    monkeypatch.setattr("dashboards.receiving.process.subprocess.Popen", lambda _, **how: start([sys.executable, "-c", lines], **how))
    reading, told = process.ReadingProcess(Home(tmp_path)), list[str]()
    assert reading.call("rows", tell=told.append) == {"seen": {}}
    assert told == ["1 of 2", "2 of 2"]
    reading.close()
