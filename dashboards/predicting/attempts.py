"""How often one address, and all together, may ask within a minute: a code cannot be found by trying."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable

SECONDS = 60.0
MOST_ASKED, MOST_WRONG, MOST_WRONG_OF_ALL = 600, 12, 300
"""Requests of one address in a minute (a whole class may stand behind one), its wrong codes, and the wrong codes of all addresses.

A code is one of 27^6 (about 390 million); 300 tries in each of its 30 minutes find it once in 40,000 lessons."""
MOST_ADDRESSES = 2_000


class Attempts:
    """Counts of the running minute, in memory; addresses are forgotten with it."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._since = clock()
        self._asked: Counter[str] = Counter()
        self._wrong: Counter[str] = Counter()

    def admit(self, address: str) -> bool:
        """Count a request; False where this address, or all together, have asked too often."""
        if self._clock() - self._since >= SECONDS:
            self._since = self._clock()
            self._asked.clear()
            self._wrong.clear()
        if address not in self._asked and len(self._asked) >= MOST_ADDRESSES:
            return False
        self._asked[address] += 1
        is_wrong_too_often = self._wrong[address] >= MOST_WRONG
        return self._asked[address] <= MOST_ASKED and not is_wrong_too_often

    def wrong(self, address: str) -> None:
        """Count a wrong code."""
        self._wrong[address] += 1

    def are_too_many_wrong(self) -> bool:
        """True where so many wrong codes came in from everywhere that newcomers have to wait for the next minute."""
        return self._wrong.total() >= MOST_WRONG_OF_ALL
