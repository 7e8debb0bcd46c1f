"""A dashboard to be measured: python -m tests.benchmarks.serving HOME PORT serves the instructor's views and forgets closed pages soon."""

from __future__ import annotations

import sys
from pathlib import Path

from dashboards.app import make_server
from dashboards.shelf import Shelf
from ingest.home import Home
from warehouse.published import current_build, open_published

LINGER_MS = 5000


def main(root: str, port: str) -> None:
    """Serve until ended; ready as soon as it listens."""
    home = Home(Path(root))
    shelf = Shelf(lambda: current_build(home), lambda: open_published(home, "instructor"))
    _ = shelf.store().holdings
    make_server(shelf, role="instructor", program="Measured", port=int(port), linger_ms=LINGER_MS).io_loop.start()


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
