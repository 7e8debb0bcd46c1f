"""The desk of a running dashboard at which files are received: which pages stand at it, and what each has in work.

Its work runs in threads and processes of its own, so that the server goes on drawing for everybody else.
"""

from __future__ import annotations

import logging
import secrets
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

from dashboards.receiving.delivery import refuse_large
from dashboards.receiving.in_work import Item
from dashboards.receiving.standby import Standby
from ingest.errors import BuildFailed, ReceivingFailed, TautleafError

if TYPE_CHECKING:
    from ingest.home import Home
    from ingest.received.uploads import Upload

MOST_OPEN = 4
"""Files that are held at once: each by a process."""
_WAITING = "Waiting for the change before this one"
_LOG = logging.getLogger(__name__)


class Desk:
    """One per server of an instructor's dashboard. Every method but `page` returns at once; what follows is told by the item."""

    def __init__(self, home: Home, standby: Standby | None = None) -> None:
        self.home = home
        self.pool = ThreadPoolExecutor(MOST_OPEN + 2, thread_name_prefix="desk")
        self._standby = standby or Standby(home)
        self._lock, self._changing = Lock(), Lock()
        self._pages: dict[str, Callable[[], None]] = {}
        self._items: dict[str, Item] = {}

    def enter(self, redraw: Callable[[], None]) -> str:
        """A page that may receive files was opened; `redraw` shows it a new build. Returns the token that it has to show."""
        token = secrets.token_urlsafe(24)
        self._pages[token] = redraw
        self.pool.submit(self._standby.warm)
        return token

    def leave(self, token: str) -> None:
        """The page was closed: what it had dropped and not accepted is let go."""
        self._pages.pop(token, None)
        for item in [item for item in self._items.values() if item.token == token]:
            self.let_go(item)

    def is_at(self, token: str) -> bool:
        """Whether the token is that of an open page."""
        return token in self._pages

    def find(self, token: str, item_id: str) -> Item | None:
        """A page's own item, or None."""
        item = self._items.get(item_id)
        return item if item is not None and item.token == token else None

    def receive(self, token: str, name: str, data: bytes) -> Item:
        """Take in a dropped file and begin to check it.

        Raises:
            FileUnreadable: it is too large.
            ReceivingFailed: too many files are being worked on.
        """
        refuse_large(name, len(data))
        self._make_room()
        return self._begin(Item(token, name), "Reading and checking the file", partial(self._drop, data=data), foresees=True)

    def check(self, item: Item, form: dict[str, str]) -> None:
        """Check a file again with the reader's answers; see `receive` for what is raised."""
        self._begin(item, "Checking the file again with your answers", partial(self._ask, what="check", form=form), foresees=True)

    def accept(self, item: Item, replaces: tuple[str, ...], *, adds: bool) -> None:
        """Accept a file, build and publish."""
        self._begin(item, _WAITING, partial(self._accept, replaces=replaces, adds=adds))

    def withdraw(self, token: str, upload_id: str) -> Item:
        """Take an upload out of use, build and publish."""
        return self._begin(Item(token, upload_id), _WAITING, partial(self._withdraw, upload_id=upload_id))

    def page(self, item: Item, what: str, **said: Any) -> dict[str, Any]:
        """A page of rows, problems or changes of a file that is held; this waits for the answer.

        Raises:
            ReceivingFailed: the file was let go.
            TautleafError: there is no such page.
        """
        if item.process is None:
            raise ReceivingFailed("The file is no longer held here: look in the tables below, or drop it again.")
        answer = item.process.call(what, **said)
        if "error" in answer:
            raise TautleafError(answer["error"])
        return answer

    def let_go(self, item: Item) -> None:
        """Forget an item and its file. A change of the home that has begun goes on to its end."""
        self._items.pop(item.id, None)
        if not item.is_changing_home:
            item.close()
            self._standby.forget(item.id)

    def in_use(self) -> list[Upload]:
        """The uploads in use, the latest first."""
        from ingest.received.ledger import Received

        return [upload for upload in reversed(Received(self.home).uploads()) if upload.status == "active"]

    def close(self) -> None:
        """End every process that waits or holds a file; of what was not accepted nothing is kept."""
        for item in list(self._items.values()):
            self.let_go(item)
        self._standby.close()
        self.pool.shutdown(wait=False, cancel_futures=True)

    def _begin(self, item: Item, doing: str, work: Callable[[Item], object], *, foresees: bool = False) -> Item:
        with self._lock:
            if item.doing:
                raise ReceivingFailed(f"Wait a moment, this file is in work: {item.doing}.")
            item.say(doing)
            self._items[item.id] = item
        self.pool.submit(self._do, item, work, foresees)
        return item

    def _do(self, item: Item, work: Callable[[Item], object], foresees: bool) -> None:
        """Do one piece of work; however it ends, the item says so, and the page need not wait for ever.

        Where it `foresees`, the tables that accepting the file would bring are begun afterwards, while its receipt is read.
        """
        try:
            work(item)
            item.say("", item.alert)
        except TautleafError as error:
            item.say("", str(error))
        except Exception as error:  # noqa: BLE001  # whatever it is, the page is told; the error's words may be the file's, and go nowhere
            _LOG.error("Receiving a file failed: %s", type(error).__name__)
            item.say("", "Something went wrong that nobody thought of. Reload the page and see in the tables whether the file is there.")
        if item.id not in self._items:
            item.close()
            self._standby.forget(item.id)
        elif foresees and item.seen["state"] == "checked":
            with suppress(TautleafError):
                self._standby.foresee(item.id, partial(self._lay_aside, item))
        self._standby.warm()

    def _lay_aside(self, item: Item, folder: Path) -> bool:
        process = item.process
        return process is not None and bool(process.call("foresee", folder=str(folder)).get("is_foreseen"))

    def _drop(self, item: Item, data: bytes) -> None:
        with _timed(item, "check"):
            item.process = self._standby.take_reader()
            self._ask(item, "drop", data, name=item.name)

    def _ask(self, item: Item, what: str, data: bytes | None = None, **said: Any) -> bool:
        """Ask the item's process; what it refuses becomes the item's alert. True where the home has to be built."""
        if item.process is None:
            raise ReceivingFailed("The file is no longer held here. Drop it again.")
        answer = item.process.call(what, data, lambda words: item.say(item.doing, progress=words), **said)
        item.seen, item.alert = answer["seen"] or item.seen, answer.get("error", "")
        return bool(answer.get("is_new"))

    def _accept(self, item: Item, replaces: tuple[str, ...], adds: bool) -> None:
        with self._held(item):
            item.say("Keeping the original and its rows")
            with _timed(item, "accept"):
                is_new = self._ask(item, "accept", replaces=replaces, adds=adds)
            if is_new:
                item.close()
                self._publish(item, "The file is loaded and kept")

    def _withdraw(self, item: Item, upload_id: str) -> None:
        from ingest.received.accepting import withdraw

        with self._held(item):
            taken = withdraw(self.home, upload_id)
            item.seen = {"state": "withdrawn", "name": taken.file_name, "upload_id": taken.upload_id}
            self._publish(item, "The file is withdrawn")

    @contextmanager
    def _held(self, item: Item) -> Iterator[None]:
        """Hold the home: pages of this server come in turn, another command is told of at once.

        Raises:
            HomeBusy: another command holds it.
        """
        with self._changing, self.home.changing():
            item.is_changing_home = True
            try:
                yield
            finally:
                item.is_changing_home = False

    def _publish(self, item: Item, done: str) -> None:
        """Build, publish, and show it at once on the page that asked for it."""
        from warehouse.build import build

        item.say("Building the tables and publishing them")
        try:
            with _timed(item, "build"):
                made = build(self.home, self._standby.take_spare())
        except BuildFailed as failed:
            item.seen["published"] = ""
            item.alert = f"{done}, but the tables could not be built. {failed} When the cause is mended, run: tautleaf build"
            return
        item.seen["published"], item.seen["was_made_ahead"] = made.build_id, made.was_foreseen
        try:
            with _timed(item, "redraw"):
                self._pages.get(item.token, lambda: None)()
        except Exception as error:  # noqa: BLE001  # a page that cannot be drawn must not undo that the file is in; it looks out by itself
            _LOG.warning("A page could not be drawn anew at once: %s", type(error).__name__)

    def _make_room(self) -> None:
        """See that one more file can be held; the one that was left alone for longest goes first.

        Raises:
            ReceivingFailed: all are in work.
        """
        held = sorted((item for item in self._items.values() if item.process is not None), key=lambda item: item.touched)
        if len(held) < MOST_OPEN:
            return
        idle = next((item for item in held if not item.doing), None)
        if idle is None:
            raise ReceivingFailed(f"{MOST_OPEN} files are being worked on. Drop this one again when one of them is done.")
        self.let_go(idle)


@contextmanager
def _timed(item: Item, step: str) -> Iterator[None]:
    began = time.perf_counter()
    yield
    item.seconds[step] = time.perf_counter() - began
