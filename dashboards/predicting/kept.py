"""What classes predicted in earlier lessons: counts per question, one JSON line each, appended to a file of the home."""

from __future__ import annotations

import json
import logging
import os
from pathlib import Path
from typing import Any

from dashboards.predicting.predictions import Counted, Question
from ingest.errors import PredictionsNotKept

_LOG = logging.getLogger(__name__)


class KeptPredictions:
    """The file of counts: it holds no names, no addresses, no tokens, and no time but that at which a question was opened."""

    def __init__(self, path: Path, program: str) -> None:
        self._path, self._program = path, program

    def add(self, counted: Counted) -> None:
        """Append the counts of a question that was closed.

        Raises:
            PredictionsNotKept: the file cannot be written.
        """
        asked = counted.question
        line: dict[str, Any] = {
            "program": self._program,
            "semester": asked.semester,
            "window": asked.window,
            "plants": asked.plants,
            "who": asked.who,
        }
        counts = {f"{difference:g}": n for difference, n in counted.by_difference.items()}
        line |= {"opened_at": counted.opened_at, "n_answered": counted.n_answered, "lowland_minus_upland_mpa": counts}
        try:
            file = os.open(self._path, os.O_RDWR | os.O_APPEND | os.O_CREAT, 0o600)
            try:
                os.write(file, self._mend(file) + json.dumps(line, ensure_ascii=False).encode() + b"\n")
                os.fsync(file)
            finally:
                os.close(file)
        except OSError as error:
            why = f"The predictions cannot be written to {self._path}: {error.strerror}."
            raise PredictionsNotKept(f"{why} Make the file writable or make room on the disk, and close the question again.") from error

    @staticmethod
    def _mend(file: int) -> bytes:
        """An end for a line that was cut short by a crash, so that the next one is not lost with it."""
        size = os.fstat(file).st_size
        return b"\n" if size and os.pread(file, 1, size - 1) != b"\n" else b""

    def of(self, question: Question) -> list[Counted]:
        """Every time that this question was put to a class, the latest first; lines that cannot be read are left out, with a warning."""
        key = (question.semester, question.window, question.plants)
        return [each for each in reversed(self._all()) if (each.question.semester, each.question.window, each.question.plants) == key]

    def one(self, question: Question, opened_at: str) -> Counted | None:
        """What was predicted when the question was opened at that time."""
        return next((each for each in self.of(question) if each.opened_at == opened_at), None)

    def _all(self) -> list[Counted]:
        try:
            lines = self._path.read_text("utf-8", errors="replace").splitlines()
        except FileNotFoundError:
            return []
        except OSError as error:
            _LOG.warning("%s cannot be read: %s", self._path, error)
            return []
        return [counted for number, line in enumerate(lines, 1) if (counted := self._read(number, line)) is not None]

    def _read(self, number: int, line: str) -> Counted | None:
        try:
            kept: dict[str, Any] = json.loads(line)
            if kept["program"] != self._program:
                return None
            question = Question(*(str(kept[name]) for name in ("semester", "window", "plants", "who")))
            counts = {float(difference): int(n) for difference, n in kept["lowland_minus_upland_mpa"].items()}
            return Counted(question, str(kept["opened_at"]), int(kept["n_answered"]), counts)
        except (ValueError, KeyError, TypeError, AttributeError):
            _LOG.warning("Line %d of %s cannot be read and is left out.", number, self._path)
            return None
