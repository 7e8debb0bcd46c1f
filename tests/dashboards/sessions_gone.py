"""Open pages in a server of this process, the first slowly, close them, and print how many of their sessions are still there.

For test_sessions.py.
"""

from __future__ import annotations

import asyncio
import gc
import sys
import weakref
from pathlib import Path
from typing import Any

from dashboards import session
from dashboards.app import make_server
from dashboards.shelf import Shelf
from ingest.home import Home
from tests.benchmarks.readers import PATIENCE, Reader
from warehouse.published import current_build, open_published

SLOW_SECONDS, POLL_SECONDS = 1.0, 0.1
"""So slow a browser is ready long after the page first looked out for a new build."""

made: list[weakref.ref[Any]] = []


class Seen(session.Session):
    """A session that is counted."""

    def __init__(self, *arguments: Any) -> None:
        made.append(weakref.ref(self))
        super().__init__(*arguments)


async def visit(port: int, pages: int) -> None:
    """Open pages one after the other and close each; then wait until the server has looked for closed ones."""
    for page in range(pages):
        reader = Reader(f"http://127.0.0.1:{port}/class?group=shrub", pause=0.0 if page else SLOW_SECONDS)
        await asyncio.wait_for(reader.open(), PATIENCE)
        reader.close()
    for _ in range(600):
        await asyncio.sleep(0.1)
        gc.collect()
        if sum(each() is not None for each in made) <= 1:
            break


if __name__ == "__main__":
    setattr(session, "Session", Seen)  # noqa: B010  # a class is not assigned to for a type checker, and is for a test
    home, port, pages = Home(Path(sys.argv[1])), int(sys.argv[2]), int(sys.argv[3])
    shelf = Shelf(lambda: current_build(home), lambda: open_published(home, "instructor"))
    loop = make_server(shelf, role="instructor", program="Counted", port=port, poll_seconds=POLL_SECONDS, linger_ms=200).io_loop
    loop.run_sync(lambda: visit(port, pages), timeout=6 * PATIENCE)
    sys.stdout.write(f"{len(made)} {sum(each() is not None for each in made)}\n")
