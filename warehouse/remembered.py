"""Results of statistics that were computed in the build before: only a group whose values changed is computed again.

A result is found by what it was computed from: the statistic's name and its arguments. A change of the statistics' code or of
the libraries under them forgets everything. What a build did not use is forgotten after it. The file may be deleted at any time.
"""

from __future__ import annotations

import hashlib
import json
import marshal
import os
import sys
import time
from functools import cache
from importlib.metadata import version
from pathlib import Path
from threading import Lock
from typing import Any

_CODE = Path(__file__).parent / "statistics"
_LIBRARIES = ("numpy", "scipy", "statsmodels")


class Remembered:
    """The results of one home's last build, and those that this build has used or computed so far, in so many
    `seconds` of work."""

    def __init__(self, path: Path) -> None:
        """Read what is remembered; a file that is missing, damaged or of other code is as if empty."""
        self.path = path
        self.computed = 0
        self.seconds = 0.0
        self._lock = Lock()
        self._used: dict[str, Any] = {}
        self._before: dict[str, Any] = {}
        try:
            kept = json.loads(path.read_text("utf-8"))
            if kept["code"] == _fingerprint():
                self._before = kept["results"]
        except (OSError, ValueError, KeyError, TypeError):
            self._before = {}

    @property
    def reused(self) -> int:
        """How many results of the last build served again."""
        return len(self._used) - self.computed

    def recall(self, name: str, arguments: tuple[Any, ...], compute: Any) -> Any:
        """The result of `compute(*arguments)` as plain values (dicts, lists, numbers, text), computed at most once."""
        key = hashlib.sha256(name.encode() + b"\0" + marshal.dumps(arguments, 2)).hexdigest()
        if key not in self._used:
            if key in self._before:
                self._used[key] = self._before[key]
            else:
                # The engine asks from several threads: their own time counts, and no result twice.
                started = time.thread_time()
                result = compute(*arguments)
                with self._lock:
                    self.computed += key not in self._used
                    self.seconds += time.thread_time() - started
                    self._used[key] = result
        return self._used[key]

    def save(self) -> None:
        """Keep what this build used, for the next one."""
        aside = self.path.with_suffix(".new")
        aside.write_text(json.dumps({"code": _fingerprint(), "results": self._used}, allow_nan=False), "utf-8")
        os.replace(aside, self.path)


@cache
def _fingerprint() -> str:
    """What the results depend on beside their arguments: the code and its libraries."""
    code = hashlib.sha256()
    for path in sorted(_CODE.glob("*.py")):
        code.update(path.name.encode() + path.read_bytes())
    code.update(" ".join([sys.version, *(version(name) for name in _LIBRARIES)]).encode())
    return code.hexdigest()
