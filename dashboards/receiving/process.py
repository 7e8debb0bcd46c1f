"""The process that reads one dropped file: it warms up, takes the file, answers what is asked of it, and ends with it.

Checking takes libraries and memory that a server of many readers should not carry, and a process that ends gives all of it back.
Parent and child speak one line of JSON each way, and of a long file some lines on how far it is before the answer; the file's bytes
follow their line. Nothing of a file is written to any log: what the
child says on its standard error goes nowhere, and a failure is told by its place in the code alone.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import traceback
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

from ingest.errors import ReceivingFailed, TautleafError
from ingest.home import Home
from ingest.progress import Tell, nobody

if TYPE_CHECKING:
    from dashboards.receiving.delivery import Delivery


class ReadingProcess:
    """A process that will read one file; it is started now and warms up. Closing it ends it and frees all that it holds."""

    def __init__(self, home: Home) -> None:
        root = str(Path(__file__).parents[2])
        paths = os.pathsep.join(filter(None, [root, os.environ.get("PYTHONPATH", "")]))
        self._turn = Lock()
        self._process = subprocess.Popen(  # noqa: S603  # our own interpreter and module
            [sys.executable, "-m", "dashboards.receiving.process", str(home.root)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": paths, "OPENBLAS_NUM_THREADS": "1"},
        )

    @property
    def is_over(self) -> bool:
        """Whether the process has ended."""
        return self._process.poll() is not None

    def call(self, what: str, data: bytes | None = None, tell: Tell = nobody, **said: Any) -> dict[str, Any]:
        """Ask one thing of the process and wait for the answer: plain values, with `error` where it is a refusal in words.

        `tell` is told how far it is, meanwhile.

        Raises:
            ReceivingFailed: the process ended, or tripped over the file.
        """
        line = json.dumps({"what": what, "size": len(data or b""), **said}).encode() + b"\n"
        with self._turn:
            to, back = self._process.stdin, self._process.stdout
            try:
                if to is None or back is None:
                    raise BrokenPipeError
                to.write(line + (data or b""))
                to.flush()
                while "progress" in (answer := json.loads(back.readline())):
                    tell(answer["progress"])
            except (OSError, ValueError) as error:
                raise ReceivingFailed(
                    "The process that read the file ended before it was done, and nothing of the file was stored. Drop it again; "
                    "if it ends again, load it at the command line: tautleaf load FILE."
                ) from error
        if "failed" in answer:
            raise ReceivingFailed(
                f"The file could not be read through ({answer['failed']}); nothing of it was stored. Load it at the command line, "
                "tautleaf load FILE, and tell the program’s keeper this place."
            )
        return dict(answer)

    def close(self) -> None:
        """End the process, whatever it is doing."""
        self._process.kill()
        self._process.communicate()


def main(root: Path) -> None:
    """Warm up, then answer one line after the other until standard input ends."""
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # whatever libraries print must not mix with the answers
    home, questions = Home(root), sys.stdin.buffer
    from dashboards.receiving.delivery import Delivery

    def write(answer: dict[str, Any]) -> None:
        answers.write(json.dumps(answer).encode() + b"\n")
        answers.flush()

    def tell(words: str) -> None:
        write({"progress": words})

    _warm_up()
    delivery: Delivery | None = None
    while line := questions.readline():
        asked = json.loads(line)
        try:
            if asked["what"] == "drop":
                delivery = Delivery(home, questions.read(asked["size"]), asked["name"])
            answer = answer_to(delivery, asked, tell) if delivery else {"error": "Drop a file first.", "seen": {}}
        except Exception as error:  # noqa: BLE001  # a file may trip what nobody thought of; its text must not be told
            answer = {"failed": _place(error)}
        write(answer)


def answer_to(delivery: Delivery, asked: Mapping[str, Any], tell: Tell = nobody) -> dict[str, Any]:
    """What is answered to one line; a refusal in words is an answer too, and says how the file stands after it."""
    try:
        return _answer(delivery, asked, tell)
    except TautleafError as error:
        return {"error": str(error), "seen": delivery.seen()}


def _answer(delivery: Delivery, asked: Mapping[str, Any], tell: Tell) -> dict[str, Any]:
    what = asked["what"]
    if what == "rows":
        return asdict(delivery.rows(asked["status"], asked["start"]))
    if what == "problems":
        return asdict(delivery.problems(asked["start"]))
    if what == "changes":
        return asdict(delivery.changes(asked["upload"], asked["start"]))
    if what == "foresee":
        return {"is_foreseen": delivery.foresee(Path(asked["folder"]))}
    is_new = False
    if what in ("drop", "check"):
        delivery.check(asked.get("form"), tell)
    elif what == "accept":
        is_new = delivery.accept(tuple(asked["replaces"]), adds=asked["adds"])
    return {"seen": delivery.seen(), "is_new": is_new}


def _warm_up() -> None:
    """Load what a check needs, in the order of need: the suite takes the longest."""
    import duckdb  # noqa: F401  # loaded, not used here

    from ingest.checked.suites import failing_rows

    columns: dict[str, list[Any]] = {"row_number": [1], "balance_pressure_mpa": [1.0]}
    list(failing_rows("readings", columns))


def _place(error: Exception) -> str:
    """Where it happened, without what was said: the words of an error may hold the file's."""
    frames = [
        frame for frame in traceback.extract_tb(error.__traceback__) if Path(frame.filename).is_relative_to(Path(__file__).parents[2])
    ]
    last = frames[-1] if frames else None
    return f"{type(error).__name__} in {Path(last.filename).name}, line {last.lineno}" if last else type(error).__name__


if __name__ == "__main__":
    main(Path(sys.argv[1]))
