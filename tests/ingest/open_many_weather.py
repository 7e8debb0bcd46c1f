"""Open many weather files in one limited process: for the fuzzer, which would else start a process for each."""

from __future__ import annotations

import pickle
from typing import Any

from ingest.errors import FileUnreadable
from ingest.weather import opening as weather_opening


def preload(data: bytes) -> None:
    """Import what the reader of weather needs."""
    weather_opening.preload(data)


def work(data: bytes, name: str) -> list[Any]:
    """For each file of a list: what the reader answers, or the words with which it refuses. A crash ends the process."""
    return [_opened(file, name) for file in pickle.loads(data)]  # noqa: S301  # from our own parent


def _opened(file: bytes, name: str) -> Any:
    try:
        return weather_opening.work(weather_opening.question(file, {}, None), name)
    except FileUnreadable as refusal:
        return str(refusal)
