"""Work on a stranger's bytes in a process of its own with limits: nothing that a file holds can take the tool down.

Run as `python -m ingest.files.limited MODULE MEMORY_MB CPU_SECONDS`, with the bytes and the file's name on standard input; the answer on
standard output holds plain values only. The process loads what it needs and then gives up, for good: opening any file or connection,
writing, and starting others.
"""

from __future__ import annotations

import gc
import importlib
import os
import pickle
import signal
import subprocess
import sys
import threading
from collections.abc import Sequence
from contextlib import suppress
from io import BytesIO
from pathlib import Path
from typing import IO, Any, cast

from ingest.errors import FileBeyondLimits, FileUnreadable

# Of the process. A class's file takes a fraction of a second and 50 MB; 200,000 rows take 1 s and 200 MB.
MEMORY_MB = 2000
CPU_SECONDS = 60
WALL_SECONDS = 90
ANSWER_MB = 400
# Of the content: what is small in the file and would be large in memory.
UNPACKED_MB = 400
MEMBERS = 5000
SHEETS = 500
CELLS = 5_000_000
CELL_CHARACTERS = 32_767  # as many as the common spreadsheet programs keep in a cell

_OUT_OF_MEMORY = 3
# A library that is not written in Python aborts where it gets no memory; the rest is the kernel's or our own doing.
_BEYOND_LIMITS = (_OUT_OF_MEMORY, -signal.SIGABRT, -signal.SIGKILL, -signal.SIGXCPU)
_PLAIN = {("datetime", name) for name in ("date", "datetime", "time", "timedelta")}
_FORBIDDEN = ("socket.", "subprocess.", "os.fork", "os.exec", "os.posix_spawn", "os.spawn", "os.system", "ctypes.")
_NEW_USER, _NEW_NET = 0x10000000, 0x40000000  # linux/sched.h: CLONE_NEWUSER, CLONE_NEWNET


def in_limits(module: str, data: bytes, name: str) -> Any:
    """What the module's `work(data, name)` answers, as plain values; before it is shut in, its `preload(data)` imports what it needs.

    Raises:
        FileUnreadable: what the module itself says of the file; or it is damaged, so that no reader gets through it.
        FileBeyondLimits: it takes more memory or time than a class's file can need.
    """
    command = [sys.executable, "-m", "ingest.files.limited", module, str(MEMORY_MB), str(CPU_SECONDS)]
    with subprocess.Popen(  # noqa: S603  # our own interpreter and module
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, cwd=Path(__file__).parents[2]
    ) as process:
        watch = threading.Timer(WALL_SECONDS, process.kill)
        watch.start()
        try:
            answer = _exchange(process, pickle.dumps((data, name)))
        finally:
            watch.cancel()
            process.kill()
    if process.returncode in _BEYOND_LIMITS:
        raise FileBeyondLimits(
            f"{name} takes more than {MEMORY_MB} MB, {CPU_SECONDS} s of work or {WALL_SECONDS} s in all to open: copy the table into a "
            "new workbook and load that."
        )
    try:
        refusal, found = _unpacked(answer)
    except (pickle.UnpicklingError, EOFError) as broken:  # it died over the file, or says what it may not
        raise FileUnreadable(f"{name} is damaged or only part of a workbook: open it, save it again and load that file.") from broken
    if refusal is not None:
        raise FileUnreadable(refusal)
    return found


def _exchange(process: subprocess.Popen[bytes], question: bytes) -> bytes:
    """Ask, and wait for the whole answer and the process's end."""
    to, back = cast(IO[bytes], process.stdin), cast(IO[bytes], process.stdout)
    with suppress(BrokenPipeError), to:
        to.write(question)
    answer = back.read(ANSWER_MB * 1_000_000 + 1)
    if len(answer) <= ANSWER_MB * 1_000_000:  # else it is killed while it talks on
        process.wait()
    return answer


def _unpacked(answer: bytes) -> Any:
    was_on = gc.isenabled()
    gc.disable()  # there is no garbage in an answer, and looking for it takes longer than unpacking
    try:
        return _PlainUnpickler(BytesIO(answer)).load()
    finally:
        if was_on:
            gc.enable()


class _PlainUnpickler(pickle.Unpickler):
    """Takes plain values, dates and times, and nothing that could run: the process on the other side has read a stranger's file."""

    def find_class(self, module: str, name: str) -> Any:
        if (module, name) in _PLAIN:
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"{module}.{name} is no plain value")


def shut_in(memory_mb: int, cpu_seconds: int) -> None:
    """Give up for good what a reader of a file does not need. What is open stays open: the answer leaves through it.

    No new descriptor means no file, no connection and no pipe, on every system with POSIX limits. Where the kernel lets us, the process
    has no network at all besides, and no more rights than anybody.
    """
    import resource

    _leave_network()
    sys.addaudithook(_forbid)
    for limit, most in (
        (resource.RLIMIT_AS, memory_mb * 1_000_000),
        (resource.RLIMIT_CPU, cpu_seconds),
        (resource.RLIMIT_NOFILE, 0),
        (resource.RLIMIT_FSIZE, 0),
        (resource.RLIMIT_NPROC, 0),
        (resource.RLIMIT_CORE, 0),
    ):
        resource.setrlimit(limit, (most, most))


def _leave_network() -> None:
    """Move into a network of our own without a way out, where that is permitted (Linux with user namespaces)."""
    import ctypes

    with suppress(AttributeError, OSError):
        ctypes.CDLL(None).unshare(_NEW_USER | _NEW_NET)


def _forbid(event: str, _: object) -> None:
    if event.startswith(_FORBIDDEN):
        raise PermissionError(event)


def main(arguments: Sequence[str]) -> int:
    """Read the question, do the job within limits and answer; anything that a reader trips over ends the process with a status."""
    data, name = pickle.load(sys.stdin.buffer)  # noqa: S301  # from our own parent
    module = importlib.import_module(arguments[0])
    module.preload(data)
    gc.disable()  # it would look through every cell again and again
    shut_in(int(arguments[1]), int(arguments[2]))
    answer: tuple[str | None, Any]
    try:
        answer = None, module.work(data, name)
    except FileUnreadable as refusal:
        answer = str(refusal), None
    except MemoryError:
        os._exit(_OUT_OF_MEMORY)
    pickle.dump(answer, sys.stdout.buffer, protocol=pickle.HIGHEST_PROTOCOL)
    sys.stdout.buffer.flush()
    os._exit(0)  # no time is lost on tidying up


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
