"""A dashboard served as it is served to a reader, and a browser that may speak to nothing else."""

from __future__ import annotations

import importlib.util
import re
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.request import urlopen

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from ingest.home import Home, init_home

SERVE = "import sys; from pathlib import Path; from dashboards.app import serve; from ingest.home import find_home; "
SERVE += "serve(find_home(Path(sys.argv[1])), role=sys.argv[2], port=int(sys.argv[3]), room=sys.argv[4])"
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]
ARGUMENTS += ["--disable-component-update", "--disable-sync"]
PATIENCE_MS = 60_000
_MADE = "(window.Bokeh?.documents ?? []).some((doc) => doc.get_model_by_name('shown') !== null && doc.is_idle)"
"""The drop-downs are there too: they come after the words and the figure, and move these."""


@dataclass
class Served:
    """A running dashboard."""

    home: Home
    address: str


@dataclass
class Watched:
    """A page, and what it should not have done."""

    page: Page
    complaints: list[str] = field(default_factory=list)
    outside: list[str] = field(default_factory=list)

    def reading(self) -> str:
        """The sentence beside the figure."""
        return str(self.page.locator(".side p.reading").inner_text())

    def title(self) -> str:
        """The title over the figure."""
        return str(self.page.locator(".title h1").inner_text())

    def is_scrolled_sideways(self) -> bool:
        """True where the page is wider than its window."""
        return bool(self.page.evaluate("document.documentElement.scrollWidth > window.innerWidth"))


@pytest.fixture(scope="session")
def invented() -> Any:
    """The module that invents classes."""
    spec = importlib.util.spec_from_file_location("invented_classes", Path(__file__).parents[1] / "dashboards" / "invented.py")
    if spec is None or spec.loader is None:
        raise ImportError("invented.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@contextmanager
def serving(home: Home, role: str, port: int = 0) -> Iterator[Served]:
    """Serve a home in a process of its own until the test is done; on a free port, or on that of a dashboard that was stopped.

    The instructor's has a room too, on the loopback.
    """
    with socket.socket() as probe, socket.socket() as other:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        probe.bind(("127.0.0.1", port))
        other.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
        room = f"127.0.0.1:{other.getsockname()[1]}" if role == "instructor" else ""
    command = [sys.executable, "-c", SERVE, str(home.root), role, str(port), room]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)  # noqa: S603  (our own code and interpreter)
    served = Served(home, f"http://127.0.0.1:{port}")
    try:
        _wait_for(f"{served.address}/years", process)
        yield served
    finally:
        process.terminate()
        process.wait(20)


def _wait_for(address: str, process: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline:
        try:
            with urlopen(address, timeout=30):  # noqa: S310  (an address of this test's own server)
                return
        except OSError:
            if process.poll() is not None:
                break
            time.sleep(0.2)
    process.kill()
    said = process.stdout.read().decode() if process.stdout else ""
    raise AssertionError(f"the dashboard did not start:\n{said}")


@pytest.fixture(scope="session")
def serve_at() -> Any:
    """The function that serves a home as long as a test needs it."""
    return serving


@pytest.fixture(scope="session")
def served(invented: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The instructor's dashboard on an invented home."""
    home = init_home(tmp_path_factory.mktemp("served") / "home", name="Invented field lab")
    invented.publish(home.root, "b1")
    with serving(home, "instructor") as served:
        yield served


@pytest.fixture
def renewed(invented: Any, tmp_path: Path) -> Iterator[Served]:
    """A dashboard of a home with few semesters, for more to be published while it runs."""
    home = init_home(tmp_path / "home", name="Invented field lab")
    invented.publish(home.root, "b1", semesters=invented.SEMESTERS[:4])
    with serving(home, "instructor") as served:
        yield served


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium, if this computer has one."""
    program = shutil.which("chromium")
    if program is None:
        pytest.skip("no program called chromium on this computer")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture
def watch(browser: Browser) -> Iterator[Any]:
    """A function that opens an address in a window of a width, cut off from every other address."""
    contexts: list[BrowserContext] = []

    def open_page(address: str, *, width: int = 1280, **options: Any) -> Watched:
        context = browser.new_context(viewport={"width": width, "height": 860}, **options)
        contexts.append(context)
        context.set_default_timeout(PATIENCE_MS)
        origin = "/".join(address.split("/")[:3])
        watched = Watched(context.new_page())

        def allow(route: Any) -> None:
            url = route.request.url
            if url.startswith((origin, "data:", "blob:" + origin)):
                route.continue_()
            else:
                watched.outside.append(url)
                route.abort()

        context.route("**/*", allow)
        watched.page.on("console", lambda message: watched.complaints.append(message.text) if message.type == "error" else None)
        watched.page.on("pageerror", lambda error: watched.complaints.append(str(error)))
        watched.page.goto(address)
        watched.page.locator(".title h1").filter(has_text=re.compile(r"\w")).wait_for()
        watched.page.wait_for_function(_MADE)
        return watched

    yield open_page
    for context in contexts:
        context.close()
