"""The page for a room's phones, asked over the loopback by friends and by others: it gives the question at hand and nothing else."""

from __future__ import annotations

import asyncio
import datetime as dt
import http.client
import re
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Event, Thread
from urllib.parse import urlencode

import pytest

from dashboards.predicting.attempts import MOST_ASKED, MOST_WRONG, MOST_WRONG_OF_ALL, Attempts
from dashboards.predicting.kept import KeptPredictions
from dashboards.predicting.predictions import OPEN_FOR, Prediction, Predictions, Question
from dashboards.predicting.room import MOST_BYTES, Room, server

QUESTION = Question("2024-fall", "midday", "c4_grass", "C4 <grasses>")
FORM = {"Content-Type": "application/x-www-form-urlencoded"}
HIGH = {"direction": "upland", "size": "0.4"}


class Clock:
    """A clock that a test sets forward."""

    def __init__(self) -> None:
        self.now = dt.datetime(2024, 9, 24, 14, tzinfo=dt.UTC)

    def __call__(self) -> dt.datetime:
        """The hour that it stands at."""
        return self.now


@contextmanager
def listening(room: Room, port_socket: socket.socket) -> Iterator[None]:
    ready = Event()
    loops: list[tuple[asyncio.AbstractEventLoop, asyncio.Event]] = []

    async def run() -> None:
        http_server = server(room)
        http_server.add_sockets([port_socket])
        stop = asyncio.Event()
        loops.append((asyncio.get_running_loop(), stop))
        ready.set()
        await stop.wait()
        http_server.stop()
        await http_server.close_all_connections()

    thread = Thread(target=lambda: asyncio.run(run()))
    thread.start()
    assert ready.wait(60)
    yield
    loop, stop = loops[0]
    loop.call_soon_threadsafe(stop.set)
    thread.join(60)
    assert not thread.is_alive()


class Asked:
    """A room on the loopback, its question, and how to ask it as a phone would."""

    def __init__(self, predictions: Predictions, clock: Clock, attempts: Attempts, port: int) -> None:
        self.predictions, self.clock, self.attempts, self.port = predictions, clock, attempts, port
        self.code = predictions.open(QUESTION).code

    def ask(self, method: str, path: str, body: str | bytes = "", **headers: str) -> tuple[int, dict[str, str], str]:
        """Status, headers and text of what comes back."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        try:
            connection.request(method, path, body or None, {name.replace("_", "-"): value for name, value in headers.items()})
            answer = connection.getresponse()
            return answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read().decode()
        finally:
            connection.close()

    def join(self) -> str:
        """Open the page as a new phone; its cookie."""
        status, headers, _ = self.ask("GET", f"/{self.code}")
        assert status == 200
        return headers["set-cookie"].partition(";")[0]

    def answer(self, cookie: str, **form: str) -> tuple[int, dict[str, str], str]:
        """Send the form as a phone with this cookie."""
        return self.ask("POST", f"/{self.code}", urlencode(form), Cookie=cookie, **{"Content_Type": FORM["Content-Type"]})


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Asked]:
    clock, attempts = Clock(), Attempts(clock=lambda: 0.0)
    predictions = Predictions(KeptPredictions(tmp_path / "predictions.jsonl", "invented"), clock)
    with socket.socket() as port_socket:
        port_socket.bind(("127.0.0.1", 0))
        port_socket.listen(64)
        port_socket.setblocking(False)
        port = port_socket.getsockname()[1]
        with listening(Room(predictions, f"127.0.0.1:{port}", attempts), port_socket):
            yield Asked(predictions, clock, attempts, port)


def test_a_phone_joins_answers_and_changes_its_mind(room: Asked) -> None:
    cookie = room.join()
    status, headers, _ = room.answer(cookie, **HIGH)
    assert (status, headers["location"], room.predictions.n_answered()) == (303, f"/{room.code}", 1)
    _, _, page = room.ask("GET", f"/{room.code.upper()}", Cookie=cookie)
    assert "Your prediction is in:</strong> The high ground (upland), drier by about 0.4\u00a0MPa (4\u00a0bar)." in page
    assert re.findall(r'value="([^"]+)"[^>]* checked', page) == ["upland", "0.4"]
    assert room.answer(cookie, direction="alike")[0] == 303
    closed = room.predictions.close()
    assert closed is not None
    assert closed.n_answered == 1


def test_the_page_runs_nothing_keeps_nothing_and_escapes_the_question(room: Asked) -> None:
    status, headers, page = room.ask("GET", f"/{room.code}")
    assert status == 200
    assert "<script" not in page
    assert "C4 &lt;grasses&gt;" in page
    assert "default-src 'none'" in headers["content-security-policy"]
    assert "script-src" not in headers["content-security-policy"]
    assert headers["cache-control"] == "no-store"
    assert {"etag", "server"} & headers.keys() == set()
    assert {"HttpOnly", "SameSite=Strict", f"Path=/{room.code}"} <= set(re.split(r"; ", headers["set-cookie"]))
    assert len(headers["set-cookie"].partition("=")[2]) > 60


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ({}, "Say which ground was drier"),
        ({"direction": "upland"}, "Say by how much, too"),
        ({"direction": "upland", "size": "0.5"}, "Say by how much, too"),
        ({"direction": "upland", "size": "-0.4"}, "Say by how much, too"),
        ({"direction": "upland", "size": "1e9"}, "Say by how much, too"),
        ({"direction": "upland", "size": "nan"}, "Say by how much, too"),
        ({"direction": "<script>", "size": "0.4"}, "Say which ground was drier"),
        ({"direction": "upland" * 30, "size": "0.4"}, "Say which ground was drier"),
    ],
)
def test_what_is_no_answer_is_said_and_not_counted(room: Asked, form: dict[str, str], said: str) -> None:
    status, _, page = room.answer(room.join(), **form)
    assert status == 422
    assert said in page
    assert "<script" not in page
    assert room.predictions.n_answered() == 0


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        *((method, path, 404) for method in ("GET", "POST") for path in ("/", "/class", "/take/class?as=csv", "/bcdfg", "/favicon.ico")),
        ("GET", "/bcdfgh", 404),
        ("GET", "/../../etc/passwd", 404),
        ("GET", "/bcdfgh/../{code}", 404),
        ("GET", "/%2e%2e/{code}", 404),
        ("GET", "/{code}/", 404),
        ("PUT", "/{code}", 405),
        ("DELETE", "/{code}", 405),
        ("OPTIONS", "/{code}", 405),
        ("HEAD", "/{code}", 405),
        ("TRACE", "/{code}", 405),
    ],
)  # fmt: skip
def test_nothing_else_answers(room: Asked, method: str, path: str, status: int) -> None:
    found, _, said = room.ask(method, path.format(code=room.code))
    assert found == status
    assert "grasses" not in said
    assert method == "HEAD" or re.fullmatch(r"[A-Z].*\.\n", said)


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "127.0.0.1:1", "localhost:{port}", ""])
def test_another_host_is_not_answered(room: Asked, host: str) -> None:
    status, headers, said = room.ask("GET", f"/{room.code}", Host=host.format(port=room.port))
    assert (status, "set-cookie" in headers, "grasses" in said) == (421, False, False)


@pytest.mark.parametrize("headers", [{}, {"Content_Length": str(10**12)}])
def test_a_huge_body_is_turned_away(room: Asked, headers: dict[str, str]) -> None:
    cookie = room.join()
    try:
        status = room.ask("POST", f"/{room.code}", b"direction=" + b"x" * (4 * MOST_BYTES), Cookie=cookie, **headers)[0]
    except (ConnectionError, http.client.HTTPException):
        status = 400
    assert status in (400, 413)
    assert room.predictions.n_answered() == 0
    assert room.answer(cookie, **HIGH)[0] == 303


@pytest.mark.parametrize(
    "cookie", ["", "phone=", "phone=made.up", "phone=..", "phone=ünïcode.x", f"phone={'x' * 4000}", "other=1; phone=a.b"]
)
def test_an_answer_needs_a_token_that_was_given_out(room: Asked, cookie: str) -> None:
    status, _, page = room.ask("POST", f"/{room.code}", urlencode(HIGH), Cookie=cookie.encode("latin-1").decode("latin-1"), **FORM)
    assert status == 403
    assert "keeps no cookie" in page
    assert room.predictions.n_answered() == 0


def test_a_token_of_one_question_is_none_of_the_next(room: Asked) -> None:
    cookie = room.join()
    room.code = room.predictions.open(QUESTION).code
    assert room.answer(cookie, **HIGH)[0] == 403


@pytest.mark.parametrize("end", ["close", "run out"])
def test_a_closed_question_is_gone(room: Asked, end: str) -> None:
    cookie = room.join()
    if end == "close":
        room.predictions.close()
    else:
        room.clock.now += OPEN_FOR
    for status, _, said in (room.ask("GET", f"/{room.code}", Cookie=cookie), room.answer(cookie, **HIGH)):
        assert status == 404
        assert "it may be closed" in said


def test_a_code_cannot_be_found_by_trying(room: Asked) -> None:
    wrong = [room.ask("GET", "/bcdfgh")[0] for _ in range(MOST_WRONG + 1)]
    assert wrong == [404] * MOST_WRONG + [429]
    assert room.ask("GET", f"/{room.code}")[0] == 429


def test_when_many_try_newcomers_wait_and_who_has_joined_does_not(room: Asked) -> None:
    cookie = room.join()
    for each in range(MOST_WRONG_OF_ALL):
        room.attempts.wrong(f"10.0.0.{each % 250}")
    assert room.ask("GET", f"/{room.code}")[0] == 429
    assert room.answer(cookie, **HIGH)[0] == 303


def test_a_minute_is_counted_anew() -> None:
    now = [0.0]
    attempts = Attempts(clock=lambda: now[0])
    assert [attempts.admit("a") for _ in range(MOST_ASKED + 1)] == [True] * MOST_ASKED + [False]
    assert attempts.admit("b")
    now[0] = 61.0
    assert attempts.admit("a")


def test_a_class_is_only_so_large(room: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("dashboards.predicting.predictions.MOST_ANSWERS", 1)
    room.predictions.answer(room.code, "first", Prediction("alike", 0.0))
    status, _, page = room.answer(room.join(), **HIGH)
    assert (status, "not counted" in page) == (422, True)


@pytest.mark.parametrize(
    "sent",
    [
        b"\x16\x03\x01\x02\x00\x01\x00",
        b"GET\r\n\r\n",
        b"GET / HTTP/9.9\r\n\r\n",
        b"GET /" + b"a" * 20_000 + b" HTTP/1.1\r\nHost: x\r\n\r\n",
        b"GET / HTTP/1.1\r\n" + b"X: y\r\n" * 5_000 + b"\r\n",
        b"POST / HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\nffffff\r\n",
        b"POST / HTTP/1.1\r\nContent-Length: -5\r\n\r\n",
        b"POST / HTTP/1.1\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\nabcde",
        b"GET http://evil.example/ HTTP/1.1\r\nHost: evil.example\r\n\r\n",
    ],
)
def test_what_is_no_request_harms_nobody(room: Asked, sent: bytes) -> None:
    with socket.create_connection(("127.0.0.1", room.port), timeout=1) as connection:
        try:
            connection.sendall(sent)
            said = connection.recv(65536)
        except (ConnectionError, TimeoutError):
            said = b""
    assert b"grasses" not in said
    assert b"Traceback" not in said
    assert not said or re.match(rb"HTTP/1.1 4\d\d ", said)
    assert room.ask("GET", f"/{room.code}")[0] == 200


def test_only_so_many_connections_are_taken_up(room: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("dashboards.predicting.room.MOST_CONNECTIONS", 0)
    with pytest.raises((ConnectionError, http.client.HTTPException)):
        room.ask("GET", f"/{room.code}")
    monkeypatch.undo()
    assert room.ask("GET", f"/{room.code}")[0] == 200
