"""One warm load: python -m tests.benchmarks.warm HOME WORKBOOK prints the seconds from check to published."""

from __future__ import annotations

import sys
import time
from pathlib import Path

from ingest.accepting import Disposal, accept
from ingest.checking import check_path
from ingest.front import say
from ingest.home import Home
from warehouse.build import Spare, build


def main(root: str, workbook: str) -> None:
    """Load once to warm up everything that a running dashboard has warm, then load another file and time it."""
    home, path = Home(Path(root)), Path(workbook)
    with home.changing():
        check_path(home, path)
        with Spare(home) as spare:
            spare.wait_until_warm()
            started = time.perf_counter()
            checked = check_path(home, path)
            accept(home, checked, Disposal(adds=True))
            build(home, spare)
    say(f"{time.perf_counter() - started:.3f}")


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
