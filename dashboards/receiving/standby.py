"""Two processes that wait ready: one that will read the next file, one that will make the next build. Both take seconds to warm up."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from dashboards.receiving.process import ReadingProcess

if TYPE_CHECKING:
    from ingest.home import Home
    from warehouse.worker import Spare


class Standby:
    """The processes of one home. Each is used once; `warm` starts those that are not there."""

    def __init__(self, home: Home) -> None:
        self._home = home
        self._lock = Lock()
        self._reader: ReadingProcess | None = None
        self._spare: Spare | None = None
        self._ahead_for = ""
        self._is_closed = False

    def warm(self) -> None:
        """Start what is not there; it warms up by itself, and this does not wait for it."""
        from warehouse.build import Spare

        with self._lock:
            if self._is_closed:
                return
            if self._reader is None or self._reader.is_over:
                self._reader = ReadingProcess(self._home)
            if self._spare is None or self._spare.is_over:
                self._spare = Spare(self._home)

    def take_reader(self) -> ReadingProcess:
        """A process to read a file, the caller's from now on."""
        with self._lock:
            process, self._reader = self._reader, None
        return process if process is not None and not process.is_over else ReadingProcess(self._home)

    def take_spare(self) -> Spare:
        """A process to make a build, the caller's from now on."""
        from warehouse.build import Spare

        with self._lock:
            spare, self._spare, self._ahead_for = self._spare, None, ""
        return spare if spare is not None and not spare.is_over else Spare(self._home)

    def foresee(self, owner: str, lay_aside: Callable[[Path], bool]) -> None:
        """Let the build process make the tables of one file ahead; what it has made ahead of another is thrown away.

        Args:
            owner: for which file.
            lay_aside: writes what is foreseen into a folder; returns False where nothing is.
        """
        self._forget(bool)
        self.warm()
        with self._lock:
            spare, self._ahead_for = self._spare, owner
        if spare is not None and lay_aside(spare.aside):
            spare.model_ahead()

    def forget(self, owner: str) -> None:
        """Throw away what was made ahead for a file that is not to be accepted."""
        self._forget(lambda ahead_for: ahead_for == owner)

    def _forget(self, is_meant: Callable[[str], bool]) -> None:
        with self._lock:
            if is_meant(self._ahead_for):
                spare, self._spare, self._ahead_for = self._spare, None, ""
                if spare is not None:
                    spare.close()

    def close(self) -> None:
        """End what waits."""
        with self._lock:
            self._is_closed = True
            for process in (self._reader, self._spare):
                if process is not None:
                    process.close()
            self._reader = self._spare = None
