"""One file received as on the dashboard: python -m tests.benchmarks.received HOME FILE prints the seconds of each step as JSON.

The file is given time to be read, as a person takes, and replaces what covers the same.
"""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path

from dashboards.receiving.desk import Desk
from dashboards.receiving.in_work import Item
from ingest.front import say
from ingest.home import Home

LOOKING_SECONDS = 20.0
"""From opening the page to dropping a file, and again to accepting it."""


def main(root: str, file: str) -> None:
    """Drop a file, look at its receipt, accept it."""
    desk, path = Desk(Home(Path(root))), Path(file)
    page = desk.enter(lambda: None)
    time.sleep(LOOKING_SECONDS)
    item = desk.receive(page, path.name, path.read_bytes())
    _wait(item)
    time.sleep(LOOKING_SECONDS)
    started = time.perf_counter()
    desk.accept(item, tuple(upload["upload_id"] for upload in item.seen["covered"]), adds=False)
    _wait(item)
    item.seconds["accepted to published"] = time.perf_counter() - started
    if not item.seen.get("published"):
        raise SystemExit(f"the file was not published: {item.seen['state']} {item.alert}")
    desk.close()
    say(json.dumps(item.seconds | {"made ahead": item.seen["was_made_ahead"]}))


def _wait(item: Item) -> None:
    while item.doing:
        time.sleep(0.005)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
