"""The dashboard's server: our own pages on this computer's own address, asking nothing of any other."""

from __future__ import annotations

import json
import socket
import sys
from contextlib import nullcontext, suppress
from importlib import import_module
from threading import Thread
from typing import TYPE_CHECKING, Any, cast

from ingest.errors import NothingPublished, PortTaken, TautleafError

if TYPE_CHECKING:
    from dashboards.predicting.predict_box import PredictFirst
    from dashboards.receiving.desk import Desk
    from dashboards.shelf import Shelf
    from dashboards.views.catalog import View
    from ingest.home import Home
    from warehouse.roles import Role

ADDRESS = "127.0.0.1"
THREADS = 4
TOKEN_SECONDS = 86_400
"""So long a page that lost its connection may take up its session again, if that is still there."""

LINGER_MS = 30_000
"""So long a session is kept after its page was closed, or lost its connection."""

POLL_SECONDS = 5.0
"""How often an open page asks whether a new build was published."""


def serve(home: Home, *, role: str = "instructor", port: int = 5006, room: str = "", show: bool = False, is_json: bool = False) -> None:
    """Serve the dashboard of a home to browsers on this computer, until interrupted; the address is printed first.

    `room` is this computer's address in a room's network, at which phones may answer the question at hand, and nothing else.

    Raises:
        PortTaken: another program listens on the port.
        NothingPublished: the home has no published build for the role, which is not the instructor.
        RoomUnreachable: the page for phones cannot be opened there, or the role opens no questions.
    """
    from dashboards.predicting.predict_box import predict_first
    from dashboards.receiving.desk import Desk
    from dashboards.shelf import Shelf
    from warehouse.published import current_build, open_published

    check_port(port)
    settings = home.settings()
    program = settings.program_name
    first = predict_first(home.predictions, settings.program_code, role, room, port)
    predicted = first.predictions.kept if first is not None else None
    shelf = Shelf(lambda: current_build(home), lambda: open_published(home, cast("Role", role)), predicted)
    with suppress(NothingPublished) if role == "instructor" else nullcontext():  # the first file of all may be dropped on the dashboard
        shelf.store()
    desk = Desk(home) if role == "instructor" else None
    server = make_server(shelf, role=role, program=program, port=port, desk=desk, first=first)
    address = f"http://{ADDRESS}:{port}/"
    said = f"{program}, for the {role}: {address}  (stop with Ctrl+C)\n"
    told = {"address": address, "role": role}
    if first is not None and first.address:
        told["room"] = first.address
        said += f"Phones answer at {first.address} while a question of 'predict first' is open; nothing else is there.\n"
    sys.stdout.write(json.dumps(told) + "\n" if is_json else said)
    sys.stdout.flush()
    if show:
        server.show("/")
    try:
        server.io_loop.start()
    except KeyboardInterrupt:
        server.stop()
    finally:
        if desk is not None:
            desk.close()
        if first is not None:
            first.predictions.close()


def make_server(
    shelf: Shelf,
    *,
    role: str,
    program: str,
    port: int,
    poll_seconds: float = POLL_SECONDS,
    desk: Desk | None = None,
    first: PredictFirst | None = None,
    linger_ms: int = LINGER_MS,
) -> Any:
    """A server of the role's views, started but for its loop; files are received at the desk, where there is one.

    Beside it stands the server for a room's phones, where `first` has a socket for it.

    Raises:
        PortTaken: another program listens on the port.
    """
    import panel as pn
    from tornado.web import RedirectHandler

    from dashboards.figures.take_page import handler
    from dashboards.receiving.receive_page import handlers
    from dashboards.session import page_maker
    from dashboards.standing import standing_handler
    from dashboards.views.catalog import views_of

    check_port(port)
    pn.extension(nthreads=THREADS, reconnect=True)
    views = views_of(role)
    Thread(target=_warm, args=[shelf, views[0]], daemon=True).start()
    pages = {view.name: page_maker(shelf, view.name, role, program, poll_seconds, desk, first) for view in views}
    titles = {view.name: f"{view.words} · {program}" for view in views}
    origins = [f"{ADDRESS}:{port}", f"localhost:{port}"]
    own = [(r"/standing", standing_handler()), (r"/take/([a-z]+)", handler(shelf, role)), *(handlers(desk, origins) if desk else [])]
    home_page = (r"/", RedirectHandler, {"url": f"/{views[0].name}", "permanent": False})
    server = pn.serve(
        pages,
        port=port,
        address=ADDRESS,
        websocket_origin=origins,
        show=False,
        start=False,
        title=titles,
        verbose=False,
        use_index=False,
        session_token_expiration=TOKEN_SECONDS,
        unused_session_lifetime_milliseconds=linger_ms,
        check_unused_sessions_milliseconds=linger_ms // 2,
        extra_patterns=[home_page, *own],
    )
    if first is not None and first.listener is not None:
        from dashboards.predicting.room import Room
        from dashboards.predicting.room import server as room_server

        room_server(Room(first.predictions, first.host)).add_sockets([first.listener])
    server.start()  # without its jobs no closed page would ever be forgotten, and no idle connection kept alive
    return server


def _warm(shelf: Shelf, first: View) -> None:
    """Draw the first view for its first reader, and then load what only answers drawn in the Ask view need, for it takes seconds."""
    from dashboards.choices import Choices
    from dashboards.views.catalog import shown

    with suppress(TautleafError):  # the reader hears of it
        _ = shown(first, shelf.store(), Choices()).page
    import_module("hvplot.pandas")


def check_port(port: int) -> None:
    """Make sure that the port is free before anything heavy is loaded.

    Raises:
        PortTaken: another program listens on the port.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((ADDRESS, port))
        except OSError as error:
            raise PortTaken(f"Port {port} is in use. Choose another: tautleaf serve --port {port + 1}") from error
