"""The process in which a stranger's bytes are read: it reaches nothing outside, and whatever becomes of it is one named error."""

from __future__ import annotations

import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from ingest.errors import FileBeyondLimits, FileUnreadable
from ingest.files import limited

MISBEHAVING = "tests.ingest.misbehaving"


def ask(what: str) -> object:
    return limited.in_limits(MISBEHAVING, what.encode(), "class.csv")


def test_an_answer_comes_through_and_a_refusal_in_its_own_words() -> None:
    assert ask("answer hello") == ["hello", 1.5, None]
    with pytest.raises(FileUnreadable, match=r"^save it again$"):
        ask("refuse save it again")


@pytest.mark.parametrize("way", ["connect", "low_connect"])
def test_no_connection_leaves_the_process_not_even_to_this_machine(way: str) -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(0.2)
        with pytest.raises(FileUnreadable, match="damaged"):
            ask(f"{way} {server.getsockname()[1]}")
        with pytest.raises(TimeoutError):
            server.accept()


def test_no_file_is_opened_or_written_and_no_process_started(tmp_path: Path) -> None:
    secret, target = tmp_path / "secret", tmp_path / "target"
    secret.write_text("key", "utf-8")
    for what in (f"read {secret}", f"write {target}", "fork", "start"):
        with pytest.raises(FileUnreadable):
            ask(what)
    assert not target.exists()


# Each means alone: what holds where another does not (a system without user namespaces, a library below the interpreter's hooks).
ALONE = {
    "a network of its own": ("limited._leave_network()", "Network is unreachable"),
    "no new descriptor": ("resource.setrlimit(resource.RLIMIT_NOFILE, (0, 0))", "Too many open files"),
    "the interpreter's hook": ("sys.addaudithook(limited._forbid)", "PermissionError: socket."),
}


@pytest.mark.parametrize("means", ALONE)
def test_each_means_against_the_network_holds_by_itself(means: str) -> None:
    setting, said = ALONE[means]
    with socket.create_server(("127.0.0.1", 0)) as server:
        code = f"import resource, socket, sys; from ingest.files import limited; {setting}\n"
        code += f"socket.create_connection(('127.0.0.1', {server.getsockname()[1]}), timeout=5)"
        ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)  # noqa: S603  # our own code
    if means == "a network of its own" and ran.returncode == 0:
        pytest.skip("this system does not let a process leave the network; the other two means hold")
    assert said in ran.stderr


def test_what_was_open_before_cannot_be_made_to_grow(tmp_path: Path) -> None:
    code = "from ingest.files.limited import shut_in; import os; shut_in(500, 5); os.write(2, b'x' * 100)"
    with (tmp_path / "log").open("wb") as log:
        ran = subprocess.run([sys.executable, "-c", code], stderr=log, check=False)  # noqa: S603  # our own code
    assert ran.returncode != 0
    assert (tmp_path / "log").stat().st_size == 0


@pytest.mark.parametrize("what", ["fill", "sleep", "spin", "talk"])
def test_memory_time_and_length_of_the_answer_end_in_one_named_error(what: str, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, small in (("MEMORY_MB", 300), ("CPU_SECONDS", 1), ("WALL_SECONDS", 3), ("ANSWER_MB", 20)):
        monkeypatch.setattr(limited, name, small)
    started = time.monotonic()
    with pytest.raises(FileBeyondLimits, match=r"class\.csv takes more than 300 MB, 1 s of work or 3 s in all .* copy the table"):
        ask(what)
    assert time.monotonic() - started < 60


def test_a_process_that_dies_is_a_named_error() -> None:
    with pytest.raises(FileUnreadable, match=r"class\.csv is damaged .* load that file"):
        ask("die")


def test_nothing_but_plain_values_is_taken_from_the_process() -> None:
    with pytest.raises(FileUnreadable, match="damaged") as caught:
        ask("object")
    assert "no plain value" in str(caught.value.__cause__)
