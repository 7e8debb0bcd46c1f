"""The shelf of what is published: hands out the store of the current build, and changes it when a new build is pointed to."""

from __future__ import annotations

from collections.abc import Callable
from threading import Lock

from dashboards.asked import Published
from dashboards.predicting.kept import KeptPredictions
from dashboards.store import Store


class Shelf:
    """One per server, shared by its sessions; a session keeps the store it was given until it asks again."""

    def __init__(
        self, current_build: Callable[[], str | None], open_build: Callable[[], Published], predicted: KeptPredictions | None = None
    ) -> None:
        self._current_build = current_build
        self._open_build = open_build
        self._predicted = predicted
        self._lock = Lock()
        self._store: Store | None = None

    def current_build(self) -> str | None:
        """Name of the build that is published now; cheap enough to ask every few seconds."""
        return self._current_build()

    def store_at_hand(self) -> Store | None:
        """The store of the current build, if a reader has asked for it before; at once, for to open it takes a moment."""
        store = self._store
        return store if store is not None and store.build_id == self._current_build() else None

    def store(self) -> Store:
        """The store of the current build.

        Raises:
            NothingPublished: no build has been published for this role.
            PublishedDamaged: the published file is missing or not the one that was published.
        """
        with self._lock:
            if self._store is None or self._store.build_id != self._current_build():
                self._store = Store(self._open_build(), self._predicted)
            return self._store
