"""The statistics of a home: python -m tests.benchmarks.statistics HOME WORKBOOK prints what was computed afresh, then after one load."""

from __future__ import annotations

import json
import sys
from pathlib import Path

from ingest.checking import check_path
from ingest.front import say
from ingest.home import Home
from ingest.received.accepting import Disposal, accept
from warehouse.build import build
from warehouse.worker import WORKPLACE


def main(root: str, workbook: str) -> None:
    """Forget every statistic and build; load one file and build; each build's counts and seconds as a line of JSON."""
    home = Home(Path(root))
    (home.modelled / WORKPLACE / "statistics.json").unlink(missing_ok=True)
    with home.changing():
        say(json.dumps(build(home).statistics))
        accept(home, check_path(home, Path(workbook)), Disposal(adds=True))
        say(json.dumps(build(home).statistics))


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
