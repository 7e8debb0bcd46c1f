"""The child process of a build: it warms up, waits for a go, makes one build and ends.

Loading dbt and parsing the project take longer than the build. A command that will build starts a `Spare` early, so that
the warming up passes while the file is still being checked. Parent and child speak one line of JSON each way.
"""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self

from ingest.errors import BuildFailed, TautleafError
from ingest.home import Home
from ingest.problems import Problem

if TYPE_CHECKING:
    from types import TracebackType

# The statistics' matrices are small: threads of linear algebra only wait for each other (a hundred mixed models took ten times as long).
_SETTINGS = {"DBT_SEND_ANONYMOUS_USAGE_STATS": "false", "DO_NOT_TRACK": "1", "OPENBLAS_NUM_THREADS": "1"}

WORKPLACE = ".workplace"
_GO = "go"
_WARM = "warm"


class Spare:
    """A build process that is started now and used, at most once, later. Closing an unused one ends it.

    Raises (from `go`):
        BuildFailed: the build failed, or the process died; what was published stays.
        TautleafError: any other named error that the child met, such as RegisterInvalid.
    """

    def __init__(self, home: Home) -> None:
        self.home = home
        workplace = home.modelled / WORKPLACE
        workplace.mkdir(parents=True, exist_ok=True)
        self._log = workplace / "worker.log"
        root = str(Path(__file__).parents[1])
        paths = os.pathsep.join(filter(None, [root, os.environ.get("PYTHONPATH", "")]))
        with self._log.open("wb") as log:
            self._process = subprocess.Popen(  # noqa: S603  # our own interpreter and module
                [sys.executable, "-m", "warehouse.worker", str(home.root.absolute())],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=log,
                cwd=workplace,
                env={**os.environ, "PYTHONPATH": paths, **_SETTINGS},
            )

    def wait_until_warm(self) -> None:
        """Wait until the process has loaded and rehearsed everything, as a dashboard that keeps one ready has long done."""
        if self._process.stdout is not None:
            self._process.stdout.readline()

    def go(self) -> dict[str, Any]:
        """Make the build and wait for its report."""
        line = b""
        with contextlib.suppress(BrokenPipeError):  # it died before: its log tells why
            line, _ = self._process.communicate(f"{_GO}\n".encode())
        try:
            report: dict[str, Any] = json.loads(line.splitlines()[-1])
        except (ValueError, IndexError) as error:
            last = self._log.read_text("utf-8", "replace").strip().splitlines()[-1:] or ["it said nothing"]
            raise BuildFailed(f"The build process ended before it was done: {last[0]} (see {self._log}).") from error
        if "error" in report:
            raise _error(report)
        return report

    @property
    def is_over(self) -> bool:
        """Whether the process has ended."""
        return self._process.poll() is not None

    def close(self) -> None:
        """End the process if it was not used."""
        if self._process.poll() is None:
            self._process.terminate()
        self._process.communicate()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.close()


def _error(report: dict[str, Any]) -> TautleafError:
    classes = {kind.code: kind for kind in TautleafError.__subclasses__()}
    kind = classes.get(report["error"], BuildFailed)
    return kind(report["message"], [Problem(**found) for found in report["problems"]])


def main(root: Path) -> None:
    """Warm up, wait for the go on standard input, build, and answer on standard output."""
    answer = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)  # whatever libraries print must not mix with the answer
    home = Home(root)
    from warehouse.making import make_build
    from warehouse.modelling import Models

    models = Models(home.modelled / WORKPLACE)
    models.rehearse()
    answer.write(f"{_WARM}\n")
    answer.flush()
    if sys.stdin.readline().strip() != _GO:
        return
    try:
        report = make_build(home, models)
    except TautleafError as error:
        report = {"error": error.code, "message": str(error), "problems": [asdict(found) for found in error.problems]}
    answer.write(json.dumps(report) + "\n")
    answer.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
