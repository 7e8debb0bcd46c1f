"""Which server this is: a page that lost its connection learns whether the dashboard that answers again is the one it was opened by."""

from __future__ import annotations

import secrets
from typing import Any


def standing_handler() -> type[Any]:
    """A request handler that answers with a word of its own for each start of the server."""
    from tornado.web import RequestHandler

    word = secrets.token_urlsafe(9)

    class Standing(RequestHandler):
        """Answers with the word; it is no secret."""

        def get(self) -> None:
            self.set_header("Cache-Control", "no-store")
            self.set_header("Content-Type", "text/plain")
            self.finish(word)

    return Standing
