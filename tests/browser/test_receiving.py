"""A file dropped on the Uploads view in Chromium: questions answered, accepted, in the class figure; and nobody else can send one."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from ingest.home import Home, init_home
from ingest.received.ledger import Received

pytestmark = pytest.mark.browser
Watch = Callable[..., Any]
DEMO = Path(__file__).parents[2] / "demo_years"
DRAFT = DEMO / "files" / "bad" / "Fall 2025 draft.xlsx"
_DROP = """(bytes) => {
  const given = new DataTransfer();
  given.items.add(new File([new Uint8Array(bytes)], 'Fall 2025 draft.xlsx'));
  for (const kind of ['dragover', 'drop']) document.querySelector('.drop').dispatchEvent(
    new DragEvent(kind, { dataTransfer: given, bubbles: true, cancelable: true }));
}"""
_SEND = """async (address) => {
  try {
    return String((await fetch(address + '/receive', { method: 'POST', body: 'Date,Site' })).status);
  } catch (error) {
    return 'blocked';
  }
}"""
_TOO_LARGE = """() => {
  const given = new DataTransfer(), chooser = document.getElementById('files');
  given.items.add(new File([new Blob([new Uint8Array(26e6)])], 'all years.csv'));
  chooser.files = given.files;
  chooser.dispatchEvent(new Event('change'));
}"""


@pytest.fixture
def empty(tmp_path: Path) -> Home:
    """A home with the demo's registers and nothing received."""
    home = init_home(tmp_path / "home", code="thessowin", name="Small field lab", timezone="America/Chicago")
    shutil.copytree(DEMO / "registers", home.registers, dirs_exist_ok=True)
    return home


@pytest.fixture
def receiving(empty: Home, serve_at: Any) -> Iterator[Any]:
    """The instructor's dashboard of that home."""
    with serve_at(empty, "instructor") as served:
        yield served


def _let_go(page: Any, held: list[Any]) -> None:
    """Let the request that was held back go on, until the page has had its answer."""
    held[0].continue_()
    held[0].request.response().finished()
    page.wait_for_timeout(300)


def _ask_twice_what_is_in_use(page: Any) -> None:
    """The question before a withdrawal stays, though the list that was asked for before it comes last."""
    held: list[Any] = []
    page.route("**/in-use?**", lambda route: route.continue_() if held else held.append(route))
    with page.expect_request("**/in-use?**"):
        page.get_by_text("Withdraw a file that is in use").click()
    page.get_by_role("button", name="Withdraw this file …").click()
    page.get_by_role("button", name="Keep it").wait_for()
    assert page.evaluate("document.activeElement.textContent").startswith("Withdraw Fall 2025 draft.xlsx")
    _let_go(page, held)
    page.get_by_role("button", name="Keep it").click()


def test_a_dropped_file_is_asked_about_accepted_and_seen_in_the_figure(receiving: Any, watch: Watch) -> None:
    figure, seen = watch(f"{receiving.address}/class"), watch(f"{receiving.address}/uploads")
    assert figure.title() == "Nothing to show yet"
    page = seen.page

    page.evaluate(_TOO_LARGE)
    page.get_by_role("alert").filter(has_text="tautleaf load FILE").wait_for()
    page.get_by_role("button", name="Put it away").click()

    page.route("**/receive", lambda route: route.abort())  # the connection breaks while the file is on its way
    page.evaluate(_DROP, list(DRAFT.read_bytes()))
    page.get_by_role("alert").filter(has_text="Nothing of it was stored").wait_for()
    page.unroute("**/receive")
    page.get_by_role("button", name="Send it again").click()
    page.locator("#item .reading", has_text="To load it, say whether the readings are pressures or potentials").wait_for()
    assert page.evaluate("document.activeElement.textContent") == "Fall 2025 draft.xlsx"
    page.get_by_label("Which are they?").select_option("pressure")
    page.get_by_label("Which site is it").select_option("brow  Long brow")
    unit = page.get_by_label("Unit", exact=True)
    assert unit.evaluate("(select) => select.parentElement.innerText").startswith("Unit\nbar (named in the header)")
    violations = Axe().run(page, context="#receive").response["violations"]
    assert [(each["id"], each["nodes"][0]["html"][:100]) for each in violations] == []
    page.get_by_role("button", name="Check again with these answers").click()

    accept = page.get_by_role("button", name="Accept")
    accept.wait_for()
    held: list[Any] = []  # the first answer is held back until the second is seen
    page.route("**/rows?**", lambda route: route.continue_() if held else held.append(route))
    with page.expect_request("**/rows?**"):
        page.get_by_text("The receipt, row by row").click()
    page.get_by_label("Show").select_option("set aside")
    page.get_by_text("1 to 35 of 35").wait_for()
    _let_go(page, held)
    assert page.locator("[data-part=rows] tbody tr").count() == 35
    assert Received(receiving.home).uploads() == []
    accept.click()

    page.locator("#item .reading", has_text="Loaded and published as upload").wait_for()
    page.locator(".title h1", has_text="1\u00a0upload of Fall 2025").wait_for()
    figure.page.locator(".title h1").filter(has_not_text="Nothing to show yet").wait_for()
    assert "Fall 2025" in figure.reading()
    _ask_twice_what_is_in_use(page)
    page.get_by_role("link", name="See the class figure of Fall 2025").click()
    page.wait_for_url("**/class?semester=2025-fall")
    assert [said for said in seen.complaints if "ERR_FAILED" not in said] == figure.complaints == []  # that one was broken off
    assert [upload.status for upload in Received(receiving.home).uploads()] == ["active"]

    elsewhere = watch(f"{receiving.address}/class").page
    elsewhere.goto("data:text/html,<h1>Another page</h1>")
    assert elsewhere.evaluate(_SEND, receiving.address) == "blocked"  # and the handlers' own test shows that it would have been refused
