"""Open many files in one limited process: for the fuzzer, which would else start a process for each."""

from __future__ import annotations

import pickle
from typing import Any

from ingest.errors import FileUnreadable
from ingest.files import opening


def preload(data: bytes) -> None:
    """Import the readers of every kind of file."""
    opening.preload(b"PK")
    opening.preload(b"\xd0\xcf\x11\xe0")


def work(data: bytes, name: str) -> list[tuple[str, Any]]:
    """For each file of a list: opened and what makes a Container, refused and the words, or damaged and what a reader said."""
    return [_opened(file, name) for file in pickle.loads(data)]  # noqa: S301  # from our own parent


def _opened(file: bytes, name: str) -> tuple[str, Any]:
    try:
        return "opened", opening.work(file, name)
    except FileUnreadable as refusal:
        return "refused", str(refusal)
    except MemoryError:
        raise
    except BaseException as damage:  # noqa: BLE001  # whatever a reader raises ends its process, and is told as damage
        return "damaged", f"{type(damage).__name__}: {damage}"[:300]
