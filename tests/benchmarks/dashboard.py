"""The dashboard against its goals: first paint, redraws at one and ten million readings, many readers at once, and memory.

Readers over websockets and Chromium run in processes of their own beside the server's, so that what they take shows in the times (both
share the two cores) but not in the server's memory. All is measured on the Class view of the instructor, where most readers are:
at one million with all of a semester's sections at once (4,000 leaves), at ten within one section, for a network's semester is no class.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ingest.home import Home
from tests.benchmarks import many_readings
from tests.benchmarks.figures import Figure, resident_mb

PORT = 5098
ADDRESS = f"http://127.0.0.1:{PORT}/class"
SECONDS_OF_WORK = 60
SESSIONS, AT_ONCE = 500, 25
SOON_MS = 5000
SETTLE_SECONDS = 9.0
"""Where memory is measured closed pages are forgotten soon, and well within the seconds that are waited."""


def first_paint(folder: Path, demo: Path) -> list[Figure]:
    """From the start of a navigation to a reading and drawn marks, on the demo, in a browser that has been here before."""
    with _served(demo):
        found = _run("pages", ADDRESS, "12")
    n = len(found["redraws"])
    return [
        Figure("dashboard: first useful paint, warm, on the demo (median of 5)", _share(found["paints"], 0.5), 1.0),
        Figure(f"dashboard: choice to redrawn figure in Chromium, on the demo (p95 of {n})", _share(found["redraws"], 0.95), 0.15),
    ]


def large(folder: Path, demo: Path) -> list[Figure]:
    """From a choice to the redrawn figure in Chromium, at one and at ten million readings."""
    figures = []
    for millions, limit, query, where in ((1, 0.15, "", "all sections"), (10, 0.2, "?section=a", "a section")):
        home = Home(folder / f"many{millions}")
        n = many_readings.make(Home(demo), home, millions)
        with _served(home.root):
            found = _run("pages", ADDRESS + query, "36")["redraws"]
        what = f"dashboard: choice to redrawn figure in Chromium, {n:,} readings, {where} (p95 of {len(found)})"
        figures.append(Figure(what, _share(found, 0.95), limit))
    return figures


def many_readers(folder: Path, demo: Path) -> list[Figure]:
    """Readers who each make a choice every five seconds, and a class that opens the view in the same moment."""
    figures = []
    with _served(demo):
        _run("readers", ADDRESS, "5", "10")
        opened = _run("readers", ADDRESS, "30", "0")["opened"]
        figures.append(Figure("dashboard: thirty readers open the Class view at once, until the last has it", max(opened), 10.0))
        for n, limit in ((50, 0.25), (100, 0.5)):
            found = _run("readers", ADDRESS, str(n), str(SECONDS_OF_WORK))["answered"]
            what = f"dashboard: choice to answer with {n} readers at work, each every five seconds (p95 of {len(found)})"
            figures.append(Figure(what, _share(found, 0.95), limit))
    return figures


def memory(folder: Path, demo: Path) -> list[Figure]:
    """Memory of open sessions, and what is left of five hundred that were opened and closed."""
    with _served(demo, str(SOON_MS)) as process:
        _run("readers", ADDRESS, "2", "0")  # not fifty: what they leave would be taken again, and not be seen
        time.sleep(SETTLE_SECONDS)
        before = _resident_mb(process)
        opened = _run("readers", ADDRESS, "50", "0", f"/proc/{process.pid}/statm")
        per_session = (opened["resident_mb"][0] - before) / 50
        started, after = time.perf_counter(), []
        for _ in range(SESSIONS // AT_ONCE):
            _run("readers", ADDRESS, str(AT_ONCE), "0")
            time.sleep(SETTLE_SECONDS)
            after.append(_resident_mb(process))
        seconds = time.perf_counter() - started
    half = len(after) // 2
    grown = _share(after[half:], 0.5) - _share(after[:half], 0.5)
    what = f"dashboard: {SESSIONS} sessions opened and closed; memory in MB, limit: the second half of them adds no more than ten sessions"
    return [
        Figure("dashboard: memory of a session, MB, fifty being open", seconds, 600.0, per_session, 2.0),
        Figure(what, seconds, 600.0, max(grown, 0.0), 20.0),
    ]


MEASURES = (first_paint, large, many_readers, memory)


@contextmanager
def _served(root: Path, *linger_ms: str) -> Iterator[subprocess.Popen[bytes]]:
    """Serve a home in a process of its own, until it answers."""
    command = [sys.executable, "-m", "tests.benchmarks.serving", str(root), str(PORT), *linger_ms]
    with subprocess.Popen(command, stderr=subprocess.DEVNULL) as process:  # noqa: S603  # our own module
        try:
            until = time.monotonic() + 120
            while True:
                try:
                    urllib.request.urlopen(ADDRESS, timeout=60).read()  # our own address
                    break
                except OSError:
                    if process.poll() is not None or time.monotonic() > until:
                        raise SystemExit("the dashboard does not answer") from None
                    time.sleep(0.2)
            yield process
        finally:
            process.terminate()
            process.wait()


def _run(module: str, *arguments: str) -> dict[str, list[float]]:
    command = [sys.executable, "-m", f"tests.benchmarks.{module}", *arguments]
    said = subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True).stdout  # noqa: S603  # our own modules
    found: dict[str, list[float]] = json.loads(said)
    return found


def _share(values: list[float], share: float) -> float:
    """The value that this share of them does not exceed."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def _resident_mb(process: subprocess.Popen[bytes]) -> float:
    return resident_mb(Path(f"/proc/{process.pid}/statm"))


def main(demo: str) -> None:
    """Measure the dashboard alone: python -m tests.benchmarks.dashboard DEMO_HOME."""
    from tests.benchmarks.__main__ import report, yardstick

    unit = yardstick()
    with tempfile.TemporaryDirectory() as folder:
        report([figure for measure in MEASURES for figure in measure(Path(folder), Path(demo))], unit)


if __name__ == "__main__":
    main(sys.argv[1])
