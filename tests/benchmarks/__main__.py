"""Measure what the project promises: `make bench`. Each figure stands beside a yardstick timed in the same run."""

from __future__ import annotations

import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Callable
from pathlib import Path

from demo_years.big import write_big_csv, write_class_workbook
from ingest.checking import check_path
from ingest.front import say
from ingest.home import Home
from ingest.received.accepting import overlapping
from ingest.received.changes import changes
from ingest.received.ledger import Received
from tests.benchmarks import dashboard
from tests.benchmarks.figures import Figure

COMMAND = [sys.executable, "-m", "tautleaf"]
PORT = 5097
ROOT = Path(__file__).parents[2]


def yardstick() -> float:
    """Seconds of a fixed piece of interpreter work: what this machine takes right now."""
    started = time.perf_counter()
    total = 0
    for number in range(12_000_000):
        total += number * number % 7
    return time.perf_counter() - started


def run(*arguments: str, home: Path) -> tuple[float, float]:
    """Run a command from a cold process; seconds and the peak memory of it or its children, MB."""
    before = time.perf_counter()
    process = subprocess.Popen([*COMMAND, *arguments, "--home", str(home)], stdout=subprocess.DEVNULL)  # noqa: S603  # our own command
    _, status, usage = os.wait4(process.pid, 0)
    if status:
        raise SystemExit(f"{' '.join(arguments)} ended with status {status}")
    return time.perf_counter() - before, usage.ru_maxrss / 1000


def demo_home(folder: Path) -> tuple[Path, Figure]:
    """Make the demo home and serve it: from an installed environment to a dashboard that answers."""
    home = folder / "demo"
    started = time.perf_counter()
    with subprocess.Popen([*COMMAND, "demo", "--home", str(home), "--port", str(PORT)], stdout=subprocess.DEVNULL) as process:  # noqa: S603
        while True:
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{PORT}/", timeout=5).read()  # our own address
                break
            except OSError:
                if process.poll() is not None:
                    raise SystemExit("the demo ended before it listened") from None
                time.sleep(0.1)
        seconds = time.perf_counter() - started
        process.terminate()
    return home, Figure("make demo: from an installed environment to a listening dashboard", seconds, 60.0)


def cold_load(folder: Path, demo: Path) -> Figure:
    """A class workbook of 400 rows, from a cold process to published."""
    workbook = folder / "class.xlsx"
    write_class_workbook(workbook)
    times = []
    for turn in range(3):
        home = folder / f"cold{turn}"
        shutil.copytree(demo, home)
        times.append(run("load", str(workbook), "--adds", home=home)[0])
    return Figure("tautleaf load: 400-row workbook, cold process to published (median of 3)", sorted(times)[1], 6.0)


def warm_load(folder: Path, demo: Path) -> Figure:
    """The same in a process that has loaded a file before, as the dashboard's, accepted without looking."""
    return Figure("load in a running process: 400-row workbook to published", _warm(folder, demo), 2.0)


def read_load(folder: Path, demo: Path) -> Figure:
    """The same where the receipt was read first."""
    return Figure("the same, from accepting to published, its receipt having been read", _warm(folder, demo, "read"), 2.0)


def _warm(folder: Path, demo: Path, *how: str) -> float:
    workbook, home = folder / "class.xlsx", folder / f"warm{len(how)}"
    shutil.copytree(demo, home)
    command = [sys.executable, "-m", "tests.benchmarks.warm", str(home), str(workbook), *how]
    return float(subprocess.run(command, check=True, capture_output=True, text=True).stdout)  # noqa: S603  # our own module


def dropped(folder: Path, demo: Path) -> Figure:
    """A class's file dropped on the dashboard, its receipt read, accepted in place of another."""
    home, path = folder / "dropped", ROOT / "demo_years" / "files" / "Fall 2021 Section B.xlsx"
    shutil.copytree(demo, home)
    command = [sys.executable, "-m", "tests.benchmarks.received", str(home), str(path)]
    steps = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)  # noqa: S603  # our own module
    told = ", ".join(f"{step} {seconds:.2f} s" for step, seconds in steps.items())
    return Figure(f"dashboard: a class's file from accepting to published ({told})", steps["accepted to published"], 2.0)


def statistics(folder: Path, demo: Path) -> Figure:
    """All statistics of the ten demo years, computed afresh within a build; and how many one further file makes anew."""
    workbook = folder / "class.xlsx"
    home = folder / "statistics"
    shutil.copytree(demo, home)
    said = subprocess.run(  # noqa: S603  # our own module
        [sys.executable, "-m", "tests.benchmarks.statistics", str(home), str(workbook)], check=True, capture_output=True, text=True
    ).stdout
    afresh, after = (json.loads(line) for line in said.splitlines())
    told = f"{afresh['computed']} afresh; after one more file {after['computed']} of {after['computed'] + after['remembered']} again"
    return Figure(f"all statistics of the ten demo years ({told}, in {after['seconds']:.2f} s)", afresh["seconds"], 5.0)


def long_check(folder: Path, demo: Path) -> Figure:
    """A CSV of 200,000 rows, checked in a home that holds the whole demo."""
    path = folder / "long.csv"
    write_big_csv(path)
    seconds, peak = run("check", str(path), home=demo)
    return Figure("tautleaf check: 200,000-row CSV", seconds, 20.0, peak, 1000.0)


def long_comparison(folder: Path, demo: Path) -> Figure:
    """50,000 rows of all semesters beside every upload of the demo that covers one of them."""
    path, home = folder / "compared.csv", Home(demo)
    write_big_csv(path, 50_000)
    checked = check_path(home, path)
    started = time.perf_counter()
    uploads = overlapping(checked, Received(home).uploads())
    n = sum(map(len, changes(home, checked, uploads)))
    what = f"a file of 50,000 rows compared with {len(uploads)} uploads in use ({n:,} changes)"
    return Figure(what, time.perf_counter() - started, 3.0)


def long_file(folder: Path, demo: Path) -> Figure:
    """The long CSV loaded: checked, accepted, built and published."""
    path = folder / "long.csv"
    home = folder / "long"
    shutil.copytree(demo, home)
    seconds, peak = run("load", str(path), "--adds", home=home)
    return Figure("tautleaf load: 200,000-row CSV to published", seconds, 20.0, peak, 1000.0)


def help_page(folder: Path, demo: Path) -> Figure:
    """The help page, best of five: start-up alone."""
    times = []
    for _ in range(5):
        started = time.perf_counter()
        subprocess.run([*COMMAND, "--help"], check=True, stdout=subprocess.DEVNULL)  # noqa: S603
        times.append(time.perf_counter() - started)
    return Figure("tautleaf --help (median of 5)", sorted(times)[2], 0.3)


def main() -> None:
    """Run all benchmarks and print a row each: kept or missed, the limit, and the ratio to the yardstick."""
    unit = yardstick()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        demo, first = demo_home(folder)
        measures: list[Callable[[Path, Path], Figure]] = [help_page, cold_load, warm_load, read_load, dropped, statistics]
        measures += [long_check, long_comparison, long_file]
        figures = [first, *(measure(folder, demo) for measure in measures)]
        figures += [figure for measure in dashboard.MEASURES for figure in measure(folder, demo)]
    say(f"yardstick: {unit:.2f} s; peak of this process {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000:.0f} MB")
    report(figures, unit)


def report(figures: list[Figure], unit: float) -> None:
    """Print a row each, then all as JSON."""
    for figure in figures:
        kept = figure.seconds <= figure.limit_seconds and (figure.peak_mb is None or figure.peak_mb <= (figure.limit_mb or 0))
        memory = "" if figure.peak_mb is None else f", {figure.peak_mb:.3g} MB of {figure.limit_mb:.3g}"
        words = f"{figure.seconds:6.2f} s of {figure.limit_seconds:.3g} ({figure.seconds / unit:.2f} yardsticks){memory}"
        say(f"{'kept  ' if kept else 'MISSED'} {words}  {figure.what}")
    say(json.dumps([vars(figure) for figure in figures]))


if __name__ == "__main__":
    main()
