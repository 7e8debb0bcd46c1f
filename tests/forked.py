"""Builds of tests begin as forks of one process that has dbt loaded: loading it takes nearly half of a small build.

Run as `python -m tests.forked FD` it is that process: it forks for each request, a line of JSON that comes with the child's standard
input, output and errors over the socket FD, and answers with the child's number.
"""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import traceback
from collections.abc import Mapping, Sequence
from contextlib import suppress
from functools import cache
from importlib import import_module
from pathlib import Path
from select import select
from typing import IO, Any

from warehouse import worker
from warehouse.worker import _SETTINGS

PIPE = subprocess.PIPE
_LONGEST = 1 << 20


class Popen:
    """What `warehouse.worker.Spare` needs of a process, for the command of a build alone."""

    def __init__(self, command: Sequence[str], *, stdin: int, stdout: int, stderr: IO[bytes], cwd: Path, env: Mapping[str, str]) -> None:
        if command[1:3] != ["-m", "warehouse.worker"] or (stdin, stdout) != (PIPE, PIPE):
            raise ValueError(command)
        (theirs_in, ours_in), (ours_out, theirs_out) = os.pipe(), os.pipe()
        request = json.dumps([command[3:], str(cwd), dict(env)]).encode()
        server, _ = _server()
        socket.send_fds(server, [len(request).to_bytes(4, "big") + request], [theirs_in, theirs_out, stderr.fileno()])
        pid = int.from_bytes(server.recv(4), "big")
        self._end = os.pidfd_open(pid)
        self.returncode: int | None = None
        os.close(theirs_in)
        os.close(theirs_out)
        self.stdin, self.stdout = os.fdopen(ours_in, "wb"), os.fdopen(ours_out, "rb")

    def poll(self) -> int | None:
        """None while it runs."""
        if self.returncode is None and select([self._end], [], [], 0)[0]:
            self.returncode = 0
            os.close(self._end)
        return self.returncode

    def terminate(self) -> None:
        """Ask it to end."""
        with suppress(ProcessLookupError):
            signal.pidfd_send_signal(self._end, signal.SIGTERM)

    def communicate(self, said: bytes = b"") -> tuple[bytes, None]:
        """Say the last word, and wait for all that it answers and for its end."""
        with suppress(BrokenPipeError):
            if not self.stdin.closed:
                self.stdin.write(said)
                self.stdin.close()
        heard = b"" if self.stdout.closed else self.stdout.read()
        self.stdout.close()
        if self.returncode is None:
            select([self._end], [], [])
            self.poll()
        return heard, None


@cache
def _server() -> tuple[socket.socket, subprocess.Popen[bytes]]:
    """The process that forks, started where it is first needed; it ends when this one does."""
    ours, theirs = socket.socketpair()
    with theirs:
        return ours, subprocess.Popen(  # noqa: S603  # our own interpreter and module
            [sys.executable, "-m", "tests.forked", str(theirs.fileno())],
            pass_fds=[theirs.fileno()],
            stdin=subprocess.DEVNULL,
            cwd=Path(__file__).parents[1],
            env={**os.environ, **_SETTINGS},
        )


def main(number: int) -> None:
    """Load what a build needs, then fork for each request until nobody is there to ask."""
    for name in ("warehouse.making", "warehouse.modelling"):
        import_module(name)
    server = socket.socket(fileno=number)
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # the system clears them away
    while True:
        head, places, _, _ = socket.recv_fds(server, 4, 3)
        if not head:
            return
        size, request = int.from_bytes(head, "big"), b""
        while len(request) < size:
            request += server.recv(size - len(request))
        pid = os.fork()
        if pid == 0:
            server.close()
            _become(json.loads(request), places)
        for place in places:
            os.close(place)
        server.sendall(pid.to_bytes(4, "big"))


def _become(asked: list[Any], places: list[int]) -> None:
    """Be the process of a build, with its streams, folder and surroundings."""
    (root,), folder, environment = asked
    try:
        signal.signal(signal.SIGCHLD, signal.SIG_DFL)
        for place, stream in zip(places, range(3), strict=True):
            os.dup2(place, stream)
            os.close(place)
        os.environ.clear()
        os.environ.update(environment)
        os.chdir(folder)
        worker.main(Path(root))
    except BaseException:  # noqa: BLE001  # it ends here, whatever it is, and its log says so
        traceback.print_exc()
    finally:
        sys.stderr.flush()
        os._exit(0)


if __name__ == "__main__":
    main(int(sys.argv[1]))
