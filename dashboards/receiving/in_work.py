"""One thing in work at the desk: a dropped file or a withdrawal, and those who wait for it to change."""

from __future__ import annotations

import asyncio
import secrets
import time
from contextlib import suppress
from functools import partial
from threading import Lock
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dashboards.receiving.process import ReadingProcess


class Item:
    """What one page has in work. `seen` is what the page shows of it, `doing` what is being done now and `progress` how far it is,
    `alert` what went wrong.

    `seconds` tells how long each step took; `version` grows with every change.
    """

    def __init__(self, token: str, name: str) -> None:
        self.id = secrets.token_urlsafe(9)
        self.token, self.name = token, name
        self.version = 0
        self.doing = self.alert = self.progress = ""
        self.is_changing_home = False
        self.seen: dict[str, Any] = {"state": "dropped", "name": name}
        self.seconds: dict[str, float] = {}
        self.process: ReadingProcess | None = None
        self.touched = time.monotonic()
        self._lock = Lock()
        self._waiting: list[tuple[asyncio.AbstractEventLoop, asyncio.Future[None]]] = []

    def say(self, doing: str, alert: str = "", progress: str = "") -> None:
        """Say what is being done now ('' where nothing is) and how far it is, and tell those who wait for a change."""
        with self._lock:
            self.doing, self.alert, self.progress, self.touched = doing, alert, progress, time.monotonic()
            self.version += 1
            waiting, self._waiting = self._waiting, []
        for loop, future in waiting:
            loop.call_soon_threadsafe(partial(_settle, future))

    async def changed(self, version: int, seconds: float) -> None:
        """Wait until this is no longer that version, or the time is over."""
        loop = asyncio.get_running_loop()
        future: asyncio.Future[None] = loop.create_future()
        with self._lock:
            if self.version != version:
                return
            self._waiting.append((loop, future))
        with suppress(TimeoutError):
            await asyncio.wait_for(future, seconds)

    def close(self) -> None:
        """End the process that holds the file, and so let go of the file."""
        process, self.process = self.process, None
        if process is not None:
            process.close()


def _settle(future: asyncio.Future[None]) -> None:
    if not future.done():
        future.set_result(None)
