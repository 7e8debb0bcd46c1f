"""A dashboard to be measured: python -m tests.benchmarks.serving HOME PORT [LINGER_MS] serves the instructor's views.

After LINGER_MS it forgets a closed page; without it, after as long as any dashboard.
"""

from __future__ import annotations

import sys
from pathlib import Path

from dashboards.app import LINGER_MS, make_server
from dashboards.shelf import Shelf
from ingest.home import Home
from warehouse.published import current_build, open_published


def main(root: str, port: str, linger_ms: str = str(LINGER_MS)) -> None:
    """Serve until ended; ready as soon as it listens."""
    home = Home(Path(root))
    shelf = Shelf(lambda: current_build(home), lambda: open_published(home, "instructor"))
    _ = shelf.store().holdings
    make_server(shelf, role="instructor", program="Measured", port=int(port), linger_ms=int(linger_ms)).io_loop.start()


if __name__ == "__main__":
    main(*sys.argv[1:])
