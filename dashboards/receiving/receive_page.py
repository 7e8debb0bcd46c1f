"""The addresses at which an instructor's page drops a file and goes on with it, and the part of the page that does so.

Only a page of this very server may use them: the request's host and origin are this computer's own address, and it shows the token that
the page was given when it was opened. Nothing that is sent here is written to a log.
"""

from __future__ import annotations

import logging
from asyncio import get_running_loop
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote

from dashboards.receiving.delivery import MOST_MB, refuse_large
from dashboards.receiving.receipt_html import in_use_html, item_html, page_html, status_words, withdraw_html
from dashboards.receiving.row_pages import STATUSES
from dashboards.words import escape
from ingest.errors import TautleafError

if TYPE_CHECKING:
    from dashboards.receiving.desk import Desk
    from dashboards.receiving.in_work import Item

HERE = Path(__file__).parent
TOKEN, NAME = "X-Receive-Token", "X-File-Name"
PATIENCE_SECONDS = 20.0
"""How long a page's question for news is kept waiting before it is told that there are none."""
LONGEST_NAME = 255
_LOG = logging.getLogger(__name__)
_NOT_HERE = "Reload this page: it was opened before the dashboard was started anew, or is not one of it."
_GONE = "This file is no longer held here. Nothing of it was stored: drop it again."


def part_html(token: str) -> str:
    """The part of the page at which files are dropped, chosen and withdrawn; its script does the rest."""
    return f"""<h2 id="receive-title">Receive a file</h2>
<div id="receive" data-token="{escape(token)}" data-most="{MOST_MB}">
  <div class="drop">
    <label for="files">Choose a file, or drop it here</label><input type="file" id="files" multiple>
    <p class="quiet">A class’s readings (.xlsx, .xls, .ods, .csv, .tsv) or a gauge’s record, up to {MOST_MB} MB; several go one after the
    other. Nothing is stored before you accept it.</p>
  </div>
  <p id="receive-said" role="status"></p>
  <p id="receive-progress" class="quiet"></p>
  <p id="receive-waiting" class="quiet"></p>
  <section id="item" aria-label="File in work"></section>
  <details id="withdrawing"><summary>Withdraw a file that is in use</summary><div></div></details>
</div>"""


def style_and_script() -> tuple[str, str]:
    """The part's own CSS and JavaScript."""
    return (HERE / "receive.css").read_text("utf-8"), (HERE / "receive.js").read_text("utf-8")


def handlers(desk: Desk, hosts: list[str]) -> list[tuple[str, type[Any]]]:
    """The request handlers for the addresses below `/receive`; `hosts` are the names and ports by which this server is called."""
    from tornado.web import HTTPError, RequestHandler, stream_request_body

    class Guarded(RequestHandler):
        """Lets through what a page of this server asks; everything else is refused with a sentence."""

        def prepare(self) -> None:
            host, origin = self.request.host, self.request.headers.get("Origin")
            is_own = host in hosts and (origin == f"http://{host}" or (origin is None and self.request.method == "GET"))
            if not is_own or self.request.headers.get("Sec-Fetch-Site", "same-origin") != "same-origin":
                raise HTTPError(403, reason="Another page asks")
            if not desk.is_at(self.token):
                raise HTTPError(403, reason="Unknown page")

        @property
        def token(self) -> str:
            return str(self.request.headers.get(TOKEN, ""))

        def check_xsrf_cookie(self) -> None:
            """The origin and the token are checked instead."""

        def write_error(self, status_code: int, **_: Any) -> None:
            self.finish({"error": {403: _NOT_HERE, 404: _GONE}.get(status_code, "This cannot be done.")})

        def log_exception(self, kind: Any, *_: Any) -> None:
            """What is said of it may hold a file's words: the log takes its kind alone."""
            if kind is not HTTPError:
                _LOG.error("A request of the page that receives files failed: %s", kind.__name__)

        def tell(self, item: Item) -> None:
            """The item as it stands."""
            self.set_header("Cache-Control", "no-store")
            html = "" if item.doing else item_html(item.seen, item.alert)
            said = {"id": item.id, "version": item.version, "html": html, "seconds": item.seconds}
            said |= {"doing": item.doing, "progress": item.progress}
            self.finish(said | {"state": item.seen["state"], "said": item.doing or status_words(item.seen, item.alert)})

        def item(self, item_id: str) -> Item:
            found = desk.find(self.token, item_id)
            if found is None:
                raise HTTPError(404)
            return found

        def try_to(self, work: Callable[[], Item | None], item: Item | None = None) -> None:
            """Do what returns at once; a refusal is a sentence."""
            try:
                done = work() or item
            except TautleafError as error:
                self.set_status(409)
                self.finish({"error": str(error)})
                return
            if done is not None:
                self.tell(done)

        async def answer_html(self, work: Callable[[], str]) -> None:
            """HTML that takes a moment to make, made beside the server's loop."""
            try:
                html = await get_running_loop().run_in_executor(desk.pool, work)
            except TautleafError as error:
                html = f'<p class="alert">{escape(str(error))}</p>'
            self.set_header("Cache-Control", "no-store")
            self.finish({"html": html})

    @stream_request_body
    class Drop(Guarded):
        """Takes a file's bytes as they come, and no more of them than are taken."""

        def prepare(self) -> None:
            super().prepare()
            self.chunks: list[bytes] = []
            self.size = 0
            most = MOST_MB * 1_000_000
            connection: Any = self.request.connection
            connection.set_max_body_size(most + 1)
            if int(self.request.headers.get("Content-Length") or 0) > most:
                self.set_status(413)
                try:
                    refuse_large(self.name, int(self.request.headers["Content-Length"]))
                except TautleafError as error:
                    self.finish({"error": str(error)})

        def data_received(self, chunk: bytes) -> None:
            self.chunks.append(chunk)

        @property
        def name(self) -> str:
            """The file's name, without the folders that some browsers tell."""
            told = unquote(self.request.headers.get(NAME, "")).replace("\\", "/").rpartition("/")[2]
            return "".join(sign for sign in told if sign.isprintable())[:LONGEST_NAME] or "file"

        def post(self) -> None:
            data = b"".join(self.chunks)
            self.chunks.clear()
            self.try_to(partial(desk.receive, self.token, self.name, data))

    class InWork(Guarded):
        """Tells what becomes of an item, and takes the next step with it."""

        async def get(self, item_id: str, _: str) -> None:
            item = self.item(item_id)
            await item.changed(int(self.get_query_argument("version", "-1")), PATIENCE_SECONDS)
            self.tell(item)

        def post(self, item_id: str, what: str) -> None:
            item = self.item(item_id)
            form = {name: self.get_body_argument(name, strip=False) for name in self.request.body_arguments}
            if what == "check":
                self.try_to(partial(desk.check, item, form), item)
            elif what == "accept":
                replaces = tuple(form.get("replaces", "").split())
                self.try_to(partial(desk.accept, item, replaces, adds=bool(form.get("adds"))), item)
            elif what == "leave":
                desk.let_go(item)
                self.finish({})
            else:
                raise HTTPError(404)

    class Pages(Guarded):
        """A page of an item's rows, problems or changes."""

        async def get(self, item_id: str, what: str) -> None:
            item, start = self.item(item_id), max(0, int(self.get_query_argument("start", "0")))
            said: dict[str, Any] = {"start": start}
            if what == "rows":
                status = self.get_query_argument("status", "")
                said["status"] = status if status in STATUSES else ""
            if what == "changes":
                said["upload"] = self.get_query_argument("upload", "")
            await self.answer_html(lambda: page_html(desk.page(item, what, **said), what))

    class InUse(Guarded):
        """The uploads in use, the question before one is withdrawn, and the withdrawal."""

        async def get(self) -> None:
            asked = self.get_query_argument("upload", "")

            def made() -> str:
                uploads = desk.in_use()
                one = next((upload for upload in uploads if upload.upload_id == asked), None)
                return withdraw_html(one) if one else in_use_html(uploads)

            await self.answer_html(made)

        def post(self) -> None:
            self.try_to(partial(desk.withdraw, self.token, self.get_body_argument("upload")))

    return [
        (r"/receive", Drop),
        (r"/receive/in-use", InUse),
        (r"/receive/([\w-]+)/(rows|problems|changes)", Pages),
        (r"/receive/([\w-]+)/(\w*)", InWork),
    ]
