"""A person at a terminal, for the tests: types the next answer when the program waits for one."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import subprocess
import sys
import termios
import time
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).parents[2]
PATIENCE_SECONDS = 300  # a build on a busy machine
CTRL_C = b"\x03"


def typed(words: Sequence[str], keys: Sequence[tuple[str, str]]) -> tuple[str, int]:
    """Run a command on a pseudo-terminal; at each text that is waited for, in turn, its keys are typed.

    Returns:
        All that the terminal showed, and the exit code.
    """
    ours, theirs = pty.openpty()
    child = subprocess.Popen(  # noqa: S603  # our own words
        [sys.executable, "-m", "tautleaf", *words],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        cwd=ROOT,
        env={**os.environ, "TERM": "dumb", "COLUMNS": "200"},
        start_new_session=True,
        # Its own terminal, so that Ctrl+C reaches it; nothing else runs in the tests that could hold a lock.
        preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),  # noqa: PLW1509  # see above
    )
    os.close(theirs)
    shown, seen, waiting, end = b"", 0, list(keys), time.monotonic() + PATIENCE_SECONDS
    typing, typed_at = b"", 0.0
    while time.monotonic() < end:
        if select.select([ours], [], [], 0.1)[0]:
            try:
                read = os.read(ours, 65536)
            except OSError:  # the terminal's other end was closed
                break
            shown += read
        if waiting and waiting[0][0].encode() in shown[seen:]:
            seen = len(shown)
            typing, typed_at = waiting.pop(0)[1].encode(), time.monotonic()
            os.write(ours, typing)
        # A Ctrl+C between the prompt and its waiting for a line is lost, as it is for a person, who types it again.
        if typing == CTRL_C and time.monotonic() > typed_at + 3:
            typed_at = time.monotonic()
            os.write(ours, typing)
    os.close(ours)
    code = child.wait(timeout=PATIENCE_SECONDS)
    assert not waiting, f"never asked: {waiting}\n{shown.decode()}"
    return shown.decode().replace("\r\n", "\n"), code
