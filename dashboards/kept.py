"""What was found lately, kept for the next reader who asks the same: a bounded number, the least lately used forgotten first."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from concurrent.futures import Future
from threading import Lock
from typing import Generic, TypeVar

Found = TypeVar("Found")


class Kept(Generic[Found]):
    """Found things by what was asked; safe over threads, and asked the same at once it makes it once, for all who wait."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._lock = Lock()
        self._found: OrderedDict[Hashable, Future[Found]] = OrderedDict()

    def __len__(self) -> int:
        return len(self._found)

    def at_hand(self, asked: Hashable) -> Found | None:
        """What was found for this, without waiting; None where it has yet to be found."""
        with self._lock:
            future = self._found.get(asked)
        return future.result() if future is not None and future.done() and future.exception() is None else None

    def get(self, asked: Hashable, make: Callable[[], Found]) -> Found:
        """What was found for this, or else what `make` finds now; where that raises, nothing is kept."""
        with self._lock:
            future = self._found.get(asked)
            is_mine = future is None
            if future is None:
                future = self._found[asked] = Future()
                while len(self._found) > self._most:
                    self._found.popitem(last=False)
            self._found.move_to_end(asked)
        if is_mine:
            try:
                future.set_result(make())
            except BaseException as error:
                with self._lock:
                    self._found.pop(asked, None)
                future.set_exception(error)
                raise
        return future.result()
