"""The page for a room's phones: a server of its own that shows and takes nothing but the question at hand.

It has neither Panel nor the warehouse behind it, keeps no log of who came, and needs no script on the phone: a plain form.
Every request is held to one address, to a size and to a number in a minute; the answers are counted by `predictions`.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import logging
import secrets
from pathlib import Path
from typing import Any

from tornado.httpserver import HTTPServer
from tornado.iostream import IOStream
from tornado.template import Template
from tornado.web import Application, HTTPError, RequestHandler

from dashboards.predicting.attempts import Attempts
from dashboards.predicting.predictions import CODE_LENGTH, CODE_LETTERS, DIRECTIONS, SIZES_MPA, Open, Prediction, Predictions, prediction
from ingest.errors import PredictionRefused, QuestionClosed
from ingest.units import MPA_PER_UNIT

HERE = Path(__file__).parent
_LOG = logging.getLogger(__name__)
MOST_BYTES, MOST_HEADER_BYTES, MOST_CONNECTIONS, PATIENCE_SECONDS = 1_024, 8_192, 300, 10
COOKIE, COOKIE_SECONDS = "phone", 3_600
NOTHING_HERE = "There is nothing here. Type the address as it stands on the board, with the code at its end."
TOO_OFTEN = "Too many tries from here. Wait a minute, look at the code on the board, and try again."
WORDS = {"upland": "The high ground (upland)", "lowland": "The low ground (lowland)", "alike": "Neither: they were alike"}


class Room:
    """What the handlers share: the question at hand, the address they answer to, the counts of a minute, and a key for the tokens."""

    def __init__(self, predictions: Predictions, host: str, attempts: Attempts | None = None) -> None:
        self.predictions, self.host = predictions, host
        self.attempts = attempts or Attempts()
        self._key = secrets.token_bytes(32)
        self.css = (HERE / "room.css").read_text("utf-8")
        self.page = Template((HERE / "room.html").read_text("utf-8"))
        style = base64.b64encode(hashlib.sha256(self.css.encode()).digest()).decode()
        self.policy = f"default-src 'none'; style-src 'sha256-{style}'; img-src data:; form-action 'self'; base-uri 'none'; "
        self.policy += "frame-ancestors 'none'"

    def new_token(self, code: str) -> str:
        """A random token for a phone that opens the page; it is signed, so that none has to be remembered before it answers."""
        nonce = secrets.token_urlsafe(16)
        return f"{nonce}.{self._sign(nonce, code)}"

    def is_token(self, token: str, code: str) -> bool:
        """True for a token that was given out for this question."""
        nonce, _, signature = token.partition(".")
        return bool(nonce) and hmac.compare_digest(signature.encode(), self._sign(nonce, code).encode())

    def _sign(self, nonce: str, code: str) -> str:
        return hmac.new(self._key, f"{code}/{nonce}".encode(), "sha256").hexdigest()


class _Plain(RequestHandler):
    """Anything that the room may ask for: answered in plain words, kept nowhere, run nowhere."""

    room: Room
    SUPPORTED_METHODS = ("GET", "POST")

    def initialize(self, room: Room) -> None:
        self.room = room

    def set_default_headers(self) -> None:
        room: Room = self.application.settings["room"]
        self.clear_header("Server")
        for name, value in (
            ("Content-Type", "text/plain; charset=utf-8"),
            ("Cache-Control", "no-store"),
            ("Content-Security-Policy", room.policy),
            ("X-Content-Type-Options", "nosniff"),
            ("Referrer-Policy", "no-referrer"),
            ("Cross-Origin-Resource-Policy", "same-origin"),
        ):
            self.set_header(name, value)

    def compute_etag(self) -> None:
        """No tag: nothing of this page is kept."""

    def prepare(self) -> None:
        """Hold every request to the one address and to the number of a minute."""
        if not self.room.attempts.admit(str(self.request.remote_ip)):
            self.say(429, TOO_OFTEN)
        elif self.request.host.casefold() != self.room.host:
            self.say(421, NOTHING_HERE)

    def get(self, *_: str) -> None:
        """Nothing is here but the question under its code."""
        self.say(404, NOTHING_HERE)

    post = get

    def say(self, status: int, words: str) -> None:
        """Answer with a sentence."""
        self.set_status(status)
        self.finish(words + "\n")

    def log_exception(self, typ: Any, value: Any, tb: Any) -> None:
        """Say on the log what failed in our own code, without who had asked."""
        if not isinstance(value, HTTPError):
            _LOG.error("The page for phones failed", exc_info=(typ, value, tb))

    def write_error(self, status_code: int, **_: Any) -> None:
        """Whatever goes wrong is said in words, without a trace."""
        words = {405: "This page is only looked at and answered."}.get(status_code, "That could not be read. Open the page again.")
        self.finish(words + "\n")


class _Question(_Plain):
    """The question under its code: shown with a form, and answered."""

    def get(self, *path: str) -> None:
        """The form, filled with what this phone has answered."""
        code = path[0].casefold()
        at_hand = self._joined(code)
        if at_hand is None:
            return
        token = self._token(code)
        if token is None:
            token = self.room.new_token(code)
            self.set_cookie(COOKIE, token, path=f"/{code}", httponly=True, samesite="Strict", max_age=COOKIE_SECONDS)
        self._show(at_hand, at_hand.answers.get(token), "")

    def post(self, *path: str) -> None:
        """Take an answer, then show the page as a new one, so that loading it again answers nothing."""
        code = path[0].casefold()
        at_hand = self._joined(code)
        if at_hand is None:
            return
        token = self._token(code)
        if token is None:
            self.set_status(403)
            self._show(at_hand, None, "This phone keeps no cookie, by which one answer is told from another. Open the page again.")
            return
        try:
            given = prediction(*(self.get_body_argument(name, "") for name in ("direction", "size")))
            self.room.predictions.answer(code, token, given)
        except QuestionClosed as closed:
            self.say(404, str(closed))
        except PredictionRefused as refused:
            self.set_status(422)
            self._show(at_hand, at_hand.answers.get(token), str(refused))
        else:
            self.redirect(f"/{code}", status=303)

    def _joined(self, code: str) -> Open | None:
        """The question at hand; None where the request was answered, for the code is another."""
        attempts, address = self.room.attempts, str(self.request.remote_ip)
        if attempts.are_too_many_wrong() and self._token(code) is None:
            self.say(429, TOO_OFTEN)
            return None
        try:
            return self.room.predictions.joined(code)
        except QuestionClosed as closed:
            attempts.wrong(address)
            self.say(404, str(closed))
            return None

    def _token(self, code: str) -> str | None:
        token = self.get_cookie(COOKIE) or ""
        return token if self.room.is_token(token, code) else None

    def _show(self, at_hand: Open, given: Prediction | None, wrong: str) -> None:
        self.set_header("Content-Type", "text/html; charset=utf-8")
        sizes = [(f"{size:g}", _size_words(size)) for size in SIZES_MPA]
        directions = [(code, WORDS[code]) for code in DIRECTIONS]
        page = self.room.page.generate(
            css=self.room.css, at_hand=at_hand, given=given, taken=given_words(given), wrong=wrong, sizes=sizes, directions=directions
        )
        self.finish(page)


def _size_words(size_mpa: float) -> tuple[str, str]:
    """A size in MPa and in bar; the last of the list stands for more, too."""
    more = " or more" if size_mpa == SIZES_MPA[-1] else ""
    return f"{size_mpa:.1f}\u00a0MPa{more}", f"{size_mpa / MPA_PER_UNIT['bar']:.0f}\u00a0bar"


def given_words(given: Prediction | None) -> str:
    """What a phone has answered, in words; nothing where it has not."""
    if given is None:
        return ""
    if not given.size_mpa:
        return WORDS[given.direction]
    in_mpa, in_bar = _size_words(given.size_mpa)
    return f"{WORDS[given.direction]}, drier by about {in_mpa} ({in_bar})"


class _Server(HTTPServer):
    """A server that turns away more connections than a room needs."""

    def handle_stream(self, stream: IOStream, address: tuple[Any, ...]) -> None:
        """Take up a connection, or close it where too many are open."""
        if len(self._connections) >= MOST_CONNECTIONS:
            stream.close()
            return
        super().handle_stream(stream, address)


def server(room: Room) -> HTTPServer:
    """The server of a room, not listening yet; it belongs to the running loop."""
    code = f"/([{CODE_LETTERS}{CODE_LETTERS.upper()}]{{{CODE_LENGTH}}})"
    given: dict[str, Any] = {"room": room}
    application = Application(
        [(code, _Question, given)],
        default_handler_class=_Plain,
        default_handler_args=given,
        room=room,
        log_function=lambda handler: None,  # who came is nobody's business
    )
    return _Server(
        application,
        no_keep_alive=True,
        max_body_size=MOST_BYTES,
        max_buffer_size=MOST_BYTES + MOST_HEADER_BYTES,
        max_header_size=MOST_HEADER_BYTES,
        idle_connection_timeout=PATIENCE_SECONDS,
        body_timeout=PATIENCE_SECONDS,
    )
