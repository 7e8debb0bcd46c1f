"""Readers who open a page and choose, over the websocket as a browser does, but draw nothing: python -m tests.benchmarks.readers …

It runs in a process of its own and only times: a session fetches the page, pulls its document and says that it is ready; the page
counts as opened when its words and its figure have come and it is connected, and a choice as answered when all has come that it changes.
"""

from __future__ import annotations

import asyncio
import json
import random
import re
import sys
import time
import uuid
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tornado.httpclient import AsyncHTTPClient, HTTPRequest
from tornado.websocket import WebSocketClientConnection, websocket_connect

from tests.benchmarks.figures import resident_mb

THINKS_SECONDS = 5.0
"""A reader looks at what is drawn for five seconds, on average, before the next choice."""

_TOKEN = re.compile(r'"token":"([^"]+)"')
PATIENCE = 120.0
"""Seconds after which a reader gives up, and the benchmark with it."""


@dataclass
class Reader:
    """One reader of one view: seconds until the page was there, and of each choice until its answer had come.

    `pause` is how long the browser takes between the document and being ready, seconds.
    """

    address: str
    pause: float = 0.0
    socket: WebSocketClientConnection | None = None
    selects: dict[str, str] = field(default_factory=dict)
    offered: dict[str, list[str]] = field(default_factory=dict)
    chosen: dict[str, str] = field(default_factory=dict)
    opened: float = 0.0
    answered: list[float] = field(default_factory=list)
    changed: asyncio.Event = field(default_factory=asyncio.Event)
    latest: float = 0.0
    listening: asyncio.Task[None] | None = None

    async def open(self) -> None:
        """Fetch the page, connect, pull the document, and wait for the view where it did not come with the page."""
        started = time.perf_counter()
        page = await AsyncHTTPClient().fetch(HTTPRequest(self.address, connect_timeout=PATIENCE, request_timeout=PATIENCE))
        text = page.body.decode()
        found = _TOKEN.search(text)
        if found is None:
            raise SystemExit(f"no session in {self.address}")
        url = self.address.partition("?")[0].replace("http", "ws", 1) + "/ws"
        self.socket = await websocket_connect(
            HTTPRequest(url, connect_timeout=PATIENCE, request_timeout=PATIENCE), subprotocols=["bokeh", found[1]]
        )
        await self._fragments()
        await self._send("PULL-DOC-REQ", {})
        pulled = (await self._fragments())[2]
        self._find(json.loads(pulled))
        self.listening = asyncio.create_task(self._listen())
        await asyncio.sleep(self.pause)
        await self._send("PATCH-DOC", {"events": [_READY]})
        if '"figure":' not in text and '\\"figure\\":' not in pulled:
            await self._view()
        self.opened = time.perf_counter() - started

    async def choose(self, word: str, value: str) -> None:
        """Choose another value of a word, and wait for the view."""
        started = time.perf_counter()
        self.chosen[word] = value
        self.changed.clear()
        change = {"kind": "ModelChanged", "model": {"id": self.selects[word]}, "attr": "value", "new": value}
        await self._send("PATCH-DOC", {"events": [change]})
        await self._view()
        await asyncio.sleep(0.2)  # an answer may come in several messages: the last of them counts
        self.answered.append(self.latest - started)

    async def work(self, seconds: float, draw: random.Random) -> None:
        """Choose now and then, at random, for so many seconds."""
        until = time.perf_counter() + seconds
        await asyncio.sleep(draw.uniform(0, THINKS_SECONDS))
        while time.perf_counter() < until:
            words = [word for word in WORKED if len(self.offered.get(word, ())) > 1]
            word = draw.choice(words)
            await self.choose(word, draw.choice([each for each in self.offered[word] if each != self.chosen.get(word, "")]))
            await asyncio.sleep(draw.uniform(0.5, 1.5) * THINKS_SECONDS)

    def close(self) -> None:
        """Leave the page."""
        if self.listening is not None:
            self.listening.cancel()
        if self.socket is not None:
            self.socket.close()

    def _find(self, node: Any) -> None:
        """Remember the models of the words that can be chosen, by their labels."""
        if isinstance(node, list):
            for each in node:
                self._find(each)
        elif isinstance(node, dict):
            attributes = node.get("attributes", {})
            if str(node.get("name", "")).endswith("Select") and "title" in attributes:
                self.selects[attributes["title"]] = node["id"]
                self._take(attributes["title"], attributes)
            for each in node.values():
                self._find(each)

    async def _send(self, kind: str, content: dict[str, Any]) -> None:
        if self.socket is None:
            raise RuntimeError("not connected")
        for part in ({"msgid": uuid.uuid4().hex, "msgtype": kind}, {}, content):
            await self.socket.write_message(json.dumps(part))

    async def _fragments(self) -> list[str]:
        """The next message: its header, metadata and content, without the buffers that may follow."""
        if self.socket is None:
            raise RuntimeError("not connected")
        parts: list[str] = []
        while len(parts) < 3:
            part = await self.socket.read_message()
            if part is None:
                raise SystemExit("the server closed the connection")
            parts.append(str(part))
        for _ in range(2 * int(json.loads(parts[0]).get("num_buffers", 0))):
            await self.socket.read_message()
        return parts

    async def _listen(self) -> None:
        """Take in all that comes: what can be chosen now, and that the view or its notice has changed."""
        while True:
            header, _, content = await self._fragments()
            if '"PATCH-DOC"' in header:
                events = json.loads(content)["events"]
                self._learn(events)
                if any(event.get("attr") in ANSWERS for event in events):
                    self.latest = time.perf_counter()
                    self.changed.set()

    async def _view(self) -> None:
        """Wait until the page's words and figure, its notice or its address have changed."""
        await asyncio.wait_for(self.changed.wait(), PATIENCE)

    def _learn(self, events: list[dict[str, Any]]) -> None:
        names = {model: word for word, model in self.selects.items()}
        for event in events:
            word = names.get(event.get("model", {}).get("id", ""))
            if word is not None and event.get("attr") in ("value", "options"):
                self._take(word, {event["attr"]: event["new"]})

    def _take(self, word: str, attributes: dict[str, Any]) -> None:
        if "value" in attributes:
            self.chosen[word] = attributes["value"]
        if "options" in attributes:
            self.offered[word] = [option if isinstance(option, str) else option[0] for option in attributes["options"]]


WORKED = ("Semester", "Section", "Part of the day", "Plants", "Kind of plant", "Site")
"""The words that a reader changes here; the others change how it is drawn, or lead to another question."""
ANSWERS = ("page", "notice", "search")
"""What changes when a choice is answered: of a choice that finds as little as the one before, the address alone."""
_READY = {
    "kind": "MessageSent",
    "msg_type": "bokeh_event",
    "msg_data": {"type": "event", "name": "document_ready", "values": {"type": "map"}},
}


async def together(address: str, n: int, seconds: float, statm: str = "") -> dict[str, list[float]]:
    """So many readers open a page at once, then work for so many seconds, and leave; before that the server's memory is looked up."""
    readers = [Reader(address) for _ in range(n)]
    AsyncHTTPClient.configure(None, max_clients=n)
    await asyncio.gather(*(reader.open() for reader in readers))
    if seconds:
        draw = random.Random(n)  # noqa: S311  # no secret: the same choices in each run
        await asyncio.gather(*(reader.work(seconds, draw) for reader in readers))
    memory = [resident_mb(Path(statm))] if statm else []
    for reader in readers:
        reader.close()
    answered = [each for reader in readers for each in reader.answered]
    return {"opened": [reader.opened for reader in readers], "answered": answered, "resident_mb": memory}


if __name__ == "__main__":
    sys.stdout.write(json.dumps(asyncio.run(together(sys.argv[1], int(sys.argv[2]), float(sys.argv[3]), *sys.argv[4:]))) + "\n")
