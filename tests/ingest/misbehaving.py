"""Work that misbehaves in the ways of a reader that a hostile file has taken over: for the tests of the limited process alone."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

from ingest.errors import FileUnreadable


def preload(data: bytes) -> None:
    """Nothing is needed."""


def work(data: bytes, name: str) -> Any:
    """Do what the bytes say."""
    what, _, said = data.decode().partition(" ")
    return globals()[f"_{what}"](said)


def _answer(said: str) -> Any:
    return [said, 1.5, None]


def _refuse(said: str) -> Any:
    raise FileUnreadable(said)


def _connect(port: str) -> Any:
    socket.create_connection(("127.0.0.1", int(port)), timeout=5)


def _low_connect(port: str) -> Any:
    """Below the interpreter's own checks, as a library would."""
    import _socket

    _socket.socket(_socket.AF_INET, _socket.SOCK_STREAM, 0).connect(("127.0.0.1", int(port)))


def _read(path: str) -> Any:
    return Path(path).read_text("utf-8")


def _write(path: str) -> Any:
    Path(path).write_text("was here", "utf-8")


def _grow(path: str) -> Any:
    """Write to what was open before: standard error, should somebody have sent it to a file."""
    return os.write(2, b"x")


def _fork(_: str) -> Any:
    return os.fork()


def _start(_: str) -> Any:
    subprocess.run(["/bin/true"], check=True)


def _fill(_: str) -> Any:
    return len([bytes(1_000_000) for _ in range(100_000)])


def _sleep(_: str) -> Any:
    time.sleep(600)


def _spin(_: str) -> Any:
    while True:
        pass


def _die(_: str) -> Any:
    os.kill(os.getpid(), 11)


def _talk(_: str) -> Any:
    while True:
        sys.stdout.buffer.write(bytes(1_000_000))


def _object(_: str) -> Any:
    return Path("no plain value")
