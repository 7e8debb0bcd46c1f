"""A dashboard served as it is served to a reader, and a browser that may speak to nothing else."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryFile
from typing import IO, Any
from urllib.request import urlopen

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from ingest.home import Home, init_home
from tests.dashboards import invented as invented_home
from tests.ports import held_port

SERVE = "import sys; from pathlib import Path; from dashboards.app import serve; from ingest.home import find_home; "
SERVE += "serve(find_home(Path(sys.argv[1])), role=sys.argv[2], port=int(sys.argv[3]), room=sys.argv[4])"
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]
ARGUMENTS += ["--disable-component-update", "--disable-sync"]
PATIENCE_MS = 120_000
"""So long a page may take for anything on a slow machine that does much besides; nobody waits longer than it takes."""
_MADE = """() => { const docs = window.Bokeh?.documents ?? [];
  return docs.some((doc) => doc.get_model_by_name('shown') !== null) && docs.every((doc) => doc.is_idle)
    && document.querySelector('.standing') === null; }"""
"""The drop-downs are there too: they come after the words and the figure, and what stood in their places is gone."""
_HEARD = """() => { const text = (place) => document.querySelector(place)?.textContent.trim() ?? '';
  return text('#said') === ['#notice p', '#title h1', '#side p.reading'].map(text).filter(Boolean).join('. '); }"""

expect.set_options(timeout=PATIENCE_MS)


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

    def made(self) -> None:
        """Wait until all of the page stands: its words, its figure, and what can be chosen."""
        self.page.locator(".title h1").filter(has_text=re.compile(r"\w")).wait_for()
        self.page.wait_for_function(_MADE)

    def heard(self) -> str:
        """What is said to readers who listen, once it is what stands on the page: it comes a moment after."""
        self.page.wait_for_function(_HEARD)
        return str(self.page.locator("#said").text_content())

    def is_scrolled_sideways(self) -> bool:
        """True where the page is wider than its window."""
        return bool(self.page.evaluate("document.documentElement.scrollWidth > window.innerWidth"))


@pytest.fixture(scope="session")
def invented() -> Any:
    """The module that invents classes."""
    return invented_home


@contextmanager
def serving(home: Home, role: str, port: int = 0) -> Iterator[Served]:
    """Serve a home in a process of its own until the test is done; on a free port, or on one that the test holds.

    The instructor's has a room too, on the loopback.
    """
    with ExitStack() as until_done:
        port = port or until_done.enter_context(held_port())
        room = f"127.0.0.1:{until_done.enter_context(held_port())}" if role == "instructor" else ""
        said = until_done.enter_context(TemporaryFile())
        command = [sys.executable, "-c", SERVE, str(home.root), role, str(port), room]
        process = subprocess.Popen(command, stdout=said, stderr=subprocess.STDOUT)  # noqa: S603  (our own code and interpreter)
        until_done.callback(process.wait, PATIENCE_MS / 1000)
        until_done.callback(process.terminate)
        served = Served(home, f"http://127.0.0.1:{port}")
        _wait_for(f"{served.address}/standing", process, said)
        yield served


def _wait_for(address: str, process: subprocess.Popen[bytes], said: IO[bytes]) -> None:
    deadline = time.monotonic() + PATIENCE_MS / 1000
    while time.monotonic() < deadline and process.poll() is None:
        try:
            with urlopen(address, timeout=PATIENCE_MS / 1000):  # noqa: S310  (an address of this test's own server)
                return
        except OSError:
            time.sleep(0.2)
    said.seek(0)
    raise AssertionError(f"the dashboard did not start:\n{said.read().decode()}")


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
def window(browser: Browser) -> Iterator[Any]:
    """A function that opens a new window as wide as is said, px, with cookies of its own."""
    with ExitStack() as until_done:

        def new_window(width: int, **options: Any) -> BrowserContext:
            context = browser.new_context(viewport={"width": width, "height": 860}, **options)
            until_done.callback(context.close)
            context.set_default_timeout(PATIENCE_MS)
            return context

        yield new_window


@pytest.fixture
def watch(window: Any) -> Any:
    """A function that opens an address in a window of a width, cut off from every other address."""

    def open_page(address: str, *, width: int = 1280, **options: Any) -> Watched:
        context = window(width, **options)
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
        watched.made()
        return watched

    return open_page
