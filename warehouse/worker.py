"""The child process of a build: it warms up, waits for a go, makes one build and ends.

Loading dbt and parsing the project take longer than the build. A command that will build starts a `Spare` early, so that
the warming up passes while the file is still being checked. A dashboard lets it model ahead, too, what accepting a file would
bring, while the receipt is read. Parent and child speak lines of JSON.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import subprocess
import sys
from dataclasses import asdict
from pathlib import Path
from select import select
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any, Self

from ingest.doubts.problems import Problem
from ingest.errors import BuildFailed, TautleafError
from ingest.home import Home
from warehouse.foreseen import lay_aside, taken_up

if TYPE_CHECKING:
    from types import TracebackType

    from ingest.checking import Checked
    from ingest.received.accepting import Disposal

# The statistics' matrices are small: threads of linear algebra only wait for each other (a hundred mixed models took ten times as long).
_SETTINGS = {"DBT_SEND_ANONYMOUS_USAGE_STATS": "false", "DO_NOT_TRACK": "1", "OPENBLAS_NUM_THREADS": "1"}

WORKPLACE = ".workplace"
_AHEAD = "ahead"
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
        _clear_left(workplace)
        self._aside = TemporaryDirectory(dir=workplace, prefix=f"{_AHEAD}-{os.getpid()}-")
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
        self._wait_for(_WARM)

    def wait_until_foreseen(self) -> None:
        """Wait until the tables that were begun with `foresee` are made, so that `go` has but to publish them."""
        self._wait_for(_AHEAD)

    def _wait_for(self, word: str) -> None:
        said = b""
        while self._process.stdout is not None and said.strip() != word.encode():
            said = self._process.stdout.readline()
            if not said:  # it died; `go` will tell
                return

    @property
    def aside(self) -> Path:
        """The folder into which `lay_aside` writes what is foreseen."""
        return Path(self._aside.name)

    def foresee(self, checked: Checked, disposal: Disposal) -> None:
        """Begin to model, once, what accepting this file would bring; `go` publishes that if it comes so, and else builds afresh.

        Raises:
            ReplacementUnclear, UploadUnknown: as `ingest.received.accepting.accept` says.
        """
        if lay_aside(self.home, checked, disposal, self.aside):
            self.model_ahead()

    def model_ahead(self) -> None:
        """Begin to model what was laid aside, as `foresee` does; for a file that another process holds."""
        if self._process.stdin is not None:
            with contextlib.suppress(BrokenPipeError):
                self._process.stdin.write(f"{json.dumps([_AHEAD, self._aside.name])}\n".encode())
                self._process.stdin.flush()

    def go(self) -> dict[str, Any]:
        """Make the build and wait for its report."""
        line = b""
        with contextlib.suppress(BrokenPipeError):  # it died before: its log tells why
            line, _ = self._process.communicate(f"{json.dumps([_GO])}\n".encode())
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
        with contextlib.suppress(BrokenPipeError):
            self._process.communicate()
        self._aside.cleanup()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.close()


def _clear_left(workplace: Path) -> None:
    """Remove what a killed process had modelled ahead and could not clear away."""
    for left in workplace.glob(f"{_AHEAD}-*"):
        try:
            os.kill(int(left.name.split("-")[1]), 0)
        except ProcessLookupError:
            shutil.rmtree(left, ignore_errors=True)
        except PermissionError:  # alive, and another user's
            continue


def _error(report: dict[str, Any]) -> TautleafError:
    classes = {kind.code: kind for kind in TautleafError.__subclasses__()}
    kind = classes.get(report["error"], BuildFailed)
    return kind(report["message"], [Problem(**found) for found in report["problems"]])


def main(root: Path) -> None:
    """Warm up, wait for the go on standard input, build, and answer on standard output."""
    answer = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)  # whatever libraries print must not mix with the answer
    home = Home(root)
    from warehouse.making import make_build, model
    from warehouse.modelling import Models

    models = Models(home.modelled / WORKPLACE)
    if not select([sys.stdin], [], [], 0)[0]:  # nobody waits for it yet
        models.rehearse()
    answer.write(f"{_WARM}\n")
    answer.flush()
    ahead = None
    word, *told = _heard()
    if word == _AHEAD:
        with contextlib.suppress(TautleafError):  # the build will meet it again, and say so
            ahead = model(home, models, Path(told[0]), taken_up(Path(told[0])))
        answer.write(f"{_AHEAD}\n")
        answer.flush()
        word, *_ = _heard()
    if word != _GO:
        return
    try:
        report = make_build(home, models, ahead)
    except TautleafError as error:
        report = {"error": error.code, "message": str(error), "problems": [asdict(found) for found in error.problems]}
    answer.write(json.dumps(report) + "\n")
    answer.close()


def _heard() -> list[str]:
    """What the parent says next; an empty word where it is gone."""
    words: list[str] = json.loads(sys.stdin.readline() or '[""]')
    return words


if __name__ == "__main__":
    main(Path(sys.argv[1]))
