"""The addresses below /receive: only a page of this very server may use them, and only an instructor's server has them."""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

import dashboards.app
from dashboards.receiving.delivery import MOST_MB
from dashboards.receiving.in_work import Item
from dashboards.receiving.receive_page import NAME, TOKEN, handlers, part_html
from ingest.home import init_home
from tests.ports import held_port

GOOD = "the-token-of-an-open-page"


class _Desk:
    """Stands for the desk, and notes what reaches it."""

    def __init__(self) -> None:
        self.received: list[tuple[str, int]] = []
        self.pool = None

    def is_at(self, token: str) -> bool:
        return token == GOOD

    def find(self, token: str, item_id: str) -> None:
        return None

    def receive(self, token: str, name: str, data: bytes) -> Item:
        self.received.append((name, len(data)))
        item = Item(token, name)
        item.say("Reading and checking the file")
        return item


Answer = tuple[int, dict[str, Any]]


def asked(desk: _Desk, requests: list[tuple[str, str, dict[str, str], bytes | None]]) -> list[Answer]:
    """Send requests (method, path, headers, body) to a server of the handlers; each answer's status and JSON.

    `HERE` in a header stands for the server's own address; the token and that origin are sent where a header does not say otherwise.
    """
    from tornado.escape import json_decode
    from tornado.httpclient import AsyncHTTPClient
    from tornado.httpserver import HTTPServer
    from tornado.testing import bind_unused_port
    from tornado.web import Application

    async def run() -> list[Answer]:
        socket, port = bind_unused_port()
        here = f"127.0.0.1:{port}"
        server = HTTPServer(Application(handlers(desk, [here])))  # type: ignore[arg-type]  # it does what is asked of one
        server.add_sockets([socket])
        answers = []
        for method, path, headers, body in requests:
            sent = {"Origin": f"http://{here}", TOKEN: GOOD} | {name: value.replace("HERE", here) for name, value in headers.items()}
            sent = {name: value for name, value in sent.items() if value}
            answer = await AsyncHTTPClient().fetch(
                f"http://{here}{path}", method=method, headers=sent, body=body, raise_error=False, request_timeout=60
            )
            answers.append((answer.code, json_decode(answer.body) if answer.body.startswith(b"{") else {}))
        server.stop()
        return answers

    with ThreadPoolExecutor(1) as apart:  # a browser that is open for other tests has a loop in this thread
        return apart.submit(asyncio.run, run()).result()


REFUSED: list[tuple[str, dict[str, str]]] = [
    ("another page's form or script", {"Origin": "http://elsewhere.example"}),
    (
        "the same port under another name, as a rebound address has it",
        {"Host": "elsewhere.example:5006", "Origin": "http://elsewhere.example:5006"},
    ),
    ("this computer, another port", {"Origin": "http://127.0.0.1:1"}),
    ("a page without an origin, as a sandboxed frame", {"Origin": "null"}),
    ("no origin at all", {"Origin": ""}),
    ("no token", {TOKEN: ""}),
    ("a guessed token", {TOKEN: "guess"}),
    ("a request that the browser itself calls another site's", {"Sec-Fetch-Site": "cross-site"}),
    ("a request of the same site's other port", {"Sec-Fetch-Site": "same-site"}),
]


@pytest.mark.parametrize("headers", [case[1] for case in REFUSED], ids=[case[0] for case in REFUSED])
def test_nobody_else_can_send_a_file_or_withdraw_one(headers: dict[str, str]) -> None:
    desk = _Desk()
    paths = ("/receive", "/receive/in-use", "/receive/abc/accept")
    for status, answer in asked(desk, [("POST", path, headers, b"upload=u1") for path in paths]):
        assert status == 403
        assert "Reload this page" in answer["error"]
    assert desk.received == []


def test_a_file_of_this_page_is_taken_under_its_own_name() -> None:
    desk = _Desk()
    names = ("class.csv", "%2Fhome%2Fme%2FFall%20%C2%B5.xlsx", "C%3A%5CData%5Cx.csv", "a%0Ab.csv", "")
    answers = asked(desk, [("POST", "/receive", {NAME: name}, b"Date,Site") for name in names])
    assert [status for status, _ in answers] == [200] * len(names)
    assert [name for name, _ in desk.received] == ["class.csv", "Fall µ.xlsx", "x.csv", "ab.csv", "file"]
    assert answers[0][1]["doing"] == "Reading and checking the file"


def test_what_is_no_longer_held_is_a_sentence() -> None:
    (gone,) = asked(_Desk(), [("GET", "/receive/abc/?version=1", {}, None)])
    assert gone[0] == 404
    assert "drop it again" in gone[1]["error"]


def test_no_more_bytes_are_taken_than_a_page_takes() -> None:
    desk = _Desk()
    ((status, _),) = asked(desk, [("POST", "/receive", {NAME: "all.csv"}, b"0" * (MOST_MB * 1_000_000 + 10))])
    assert status != 200
    assert desk.received == []


def test_a_token_is_written_as_text() -> None:
    assert '"><script>' not in part_html('"><script>')


@pytest.mark.parametrize(("role", "receives"), [("instructor", True), ("student", False)])
def test_only_the_instructors_server_receives(
    role: str, receives: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, invented: Any
) -> None:
    home = init_home(tmp_path / "home")
    invented.publish(home.root, "b1", (role,), semesters=invented.SEMESTERS[:2])
    served: dict[str, Any] = {}

    def stopped() -> None:
        raise KeyboardInterrupt

    def serve(pages: dict[str, Any], **options: Any) -> Any:
        served.update(options, pages=pages)
        return SimpleNamespace(start=lambda: None, io_loop=SimpleNamespace(start=stopped), stop=lambda: None)

    monkeypatch.setattr("panel.serve", serve)
    monkeypatch.setattr("dashboards.app._warm", lambda *_: None)
    with held_port() as port:
        dashboards.app.serve(home, role=role, port=port)
    assert any(path.startswith("/receive") for path, *_ in served["extra_patterns"]) == receives
    assert ("uploads" in served["pages"]) == receives
