"""Open the files of the corpus many at a time: what is scored is what a reader makes of a file, and starting a process takes longer."""

from __future__ import annotations

import pickle
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from itertools import groupby
from typing import Any
from unittest.mock import patch

from ingest.errors import FileUnreadable
from ingest.files import containers
from ingest.files.limited import in_limits
from tests.corpus.truth import Ugly
from tests.ingest.open_many import open_many

BEGINNINGS = (b"PK", b"\xd0\xcf")  # of archives and of compound files; others are text


@contextmanager
def opened_together(uglies: Iterable[Ugly]) -> Iterator[None]:
    """While it lasts these files are open: each limited process has opened all that begin alike, and so had to import the same."""
    kept: dict[tuple[bytes, str], bytes] = {}
    files = sorted({(ugly.data, ugly.file_name) for ugly in uglies})
    for _, alike in groupby(files, lambda file: file[0].startswith(BEGINNINGS) and file[0][:2]):
        together = list(alike)
        kept.update(zip(together, map(pickle.dumps, open_many(together)), strict=True))

    def answer(module: str, data: bytes, name: str) -> Any:
        if (data, name) not in kept:
            return in_limits(module, data, name)
        outcome, found = pickle.loads(kept[data, name])  # noqa: S301  # what in_limits has unpacked already; a copy for each reader
        if outcome != "opened":
            raise FileUnreadable(found)
        return found

    with patch.object(containers, "in_limits", answer):
        yield
