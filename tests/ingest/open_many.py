"""Open many files in one limited process: for the fuzzer and the corpus, which would else start a process for each."""

from __future__ import annotations

import pickle
from collections.abc import Sequence
from typing import Any

from ingest.errors import FileUnreadable
from ingest.files import opening
from ingest.files.limited import in_limits

File = tuple[bytes, str]


def open_many(files: Sequence[File]) -> list[tuple[str, Any]]:
    """What comes of opening each file, bytes and name: opened, refused or damaged, and what `work` says of it."""
    return list(in_limits("tests.ingest.open_many", pickle.dumps(files), "class"))


def preload(data: bytes) -> None:
    """Import what each of the files needs, and no more."""
    for file in {file[:4]: file for file, _ in pickle.loads(data)}.values():  # noqa: S301  # from our own parent
        opening.preload(file)


def work(data: bytes, name: str) -> list[tuple[str, Any]]:
    """For each file of a list: opened and what makes a Container, refused and the words, or damaged and what a reader said."""
    return [_opened(*file) for file in pickle.loads(data)]  # noqa: S301  # from our own parent


def _opened(file: bytes, name: str) -> tuple[str, Any]:
    try:
        return "opened", opening.work(file, name)
    except FileUnreadable as refusal:
        return "refused", str(refusal)
    except MemoryError:
        raise
    except BaseException as damage:  # noqa: BLE001  # whatever a reader raises ends its process, and is told as damage
        return "damaged", f"{type(damage).__name__}: {damage}"[:300]
