"""One warm load: python -m tests.benchmarks.warm HOME WORKBOOK [read] prints the seconds from check to published.

With `read`, those from accepting to published where the receipt was read first for as long as its tables take to be made.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from ingest.checking import check_path
from ingest.front import say
from ingest.home import Home
from ingest.received.accepting import Disposal, accept
from warehouse.build import Spare, build


def main(root: str, workbook: str, is_read: bool) -> None:
    """Load once to warm up everything that a running dashboard has warm, then load another file and time it."""
    home, path, disposal = Home(Path(root)), Path(workbook), Disposal(adds=True)
    with home.changing():
        check_path(home, path)
        with Spare(home) as spare:
            spare.wait_until_warm()
            started = time.perf_counter()
            checked = check_path(home, path)
            if is_read:
                spare.foresee(checked, disposal)
                spare.wait_until_foreseen()
                started = time.perf_counter()
            accept(home, checked, disposal)
            if build(home, spare).was_foreseen != is_read:
                raise SystemExit("what was made ahead was not used")
    say(f"{time.perf_counter() - started:.3f}")


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], "read" in sys.argv[3:])
