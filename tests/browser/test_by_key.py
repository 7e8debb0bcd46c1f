"""Every view without a mouse: Tab comes past all that can be used, in sight and outlined, past the figure and out again; keys use it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser
Watch = Callable[..., Any]

_USABLE = "a[href], button, select, textarea, input, summary, [tabindex='0']"
_STOP = """() => {
  let e = document.activeElement;
  while (e.shadowRoot?.activeElement) e = e.shadowRoot.activeElement;
  const style = getComputedStyle(e), box = e.getBoundingClientRect();
  const name = (e.getAttribute('aria-label') ?? e.labels?.[0]?.innerText ?? e.innerText).trim();
  return { is_page: e === document.body, name, tag: e.tagName, outline: `${style.outlineStyle} ${style.outlineWidth}`,
    is_in_sight: box.width > 0 && box.height > 0 && box.top < innerHeight && box.bottom > 0 && box.left < innerWidth && box.right > 0 };
}"""
NUMBERS = "The numbers behind the figure"
TAKEN = ("Picture (PNG)", "Drawing (SVG)", "What is drawn (CSV)", "Python script", "R script")
VIEWS = ("Class", "Years", "Hillslope", "Rain", "Compare", "Cohorts", "Learning", "Ask", "Uploads")


def stops(page: Any, key: str = "Tab") -> Iterator[dict[str, Any]]:
    """Where Tab comes to, one after the other; the page itself, between its last stop and its first, is none."""
    for _ in range(200):
        page.keyboard.press(key)
        stop = page.evaluate(_STOP)
        if not stop["is_page"]:
            yield stop
    raise AssertionError("Tab does not come round")


def reach(page: Any, name: str, key: str = "Tab") -> dict[str, Any]:
    """Press Tab until the part of this name has the focus."""
    return next(stop for stop in stops(page, key) if stop["name"] == name)


def once_round(page: Any) -> list[dict[str, Any]]:
    """Every stop from the one after this until this again."""
    here, found = page.evaluate(_STOP), []
    for stop in stops(page):
        found.append(stop)
        if (stop["tag"], stop["name"]) == (here["tag"], here["name"]):
            return found
    raise AssertionError("unreachable")


@pytest.mark.parametrize(
    ("view", "choice", "parts"),
    [
        ("class", "Plants", (*TAKEN, "Next section ›", "Next question ›", "Section", "Question", "Plants by group and position")),
        ("years", "Layout", (*TAKEN, "From", "To", "Readings behind a mark", "Seasons, the latest first")),
        ("hillslope", "Across", (*TAKEN, "Semester", "Sites from high to low ground")),
        ("rain", "Across", (*TAKEN, "Kind of plant", "Site")),
        ("compare", "Compared", (*TAKEN, "Part of the day")),
        ("cohorts", "Semester", TAKEN),
        ("learning", "Outcome", (*TAKEN, "Instrument", "Outcomes by cohort, the latest first")),
        ("ask", "Codebook", ("Question in SQL", "Ask the tables", "Example", "The codebook")),
        ("uploads", "Semester", ("Choose a file, or drop it here", "Withdraw a file that is in use", "Receipts, the latest first")),
    ],
)
def test_a_view_is_walked_and_used_by_key_alone(served: Any, watch: Watch, view: str, choice: str, parts: tuple[str, ...]) -> None:
    seen = watch(f"{served.address}/{view}")
    page = seen.page
    seen.heard()  # the page has settled
    folded = NUMBERS if view not in ("ask", "uploads") else "The tables"
    reach(page, folded, "Shift+Tab")
    if folded == NUMBERS:
        page.keyboard.press("Enter")
    walked = once_round(page)
    assert [stop for stop in walked if stop["outline"] != "solid 2px" or not stop["is_in_sight"] or not stop["name"]] == []
    assert len(walked) == page.locator(_USABLE).filter(visible=True).count()
    assert {*VIEWS, "To the page", "Dark", choice, *parts} <= {stop["name"] for stop in walked}

    first = page.url
    assert reach(page, choice)["tag"] == "SELECT"
    page.evaluate("document.addEventListener('page-shown', () => { window.isShownAnew = true; })")
    page.keyboard.press("ArrowDown")
    page.wait_for_url(lambda url: url != first)
    page.wait_for_function("window.isShownAnew")
    assert page.evaluate(_STOP)["name"] == choice  # what was drawn anew has not taken the focus away
    assert seen.complaints == []


def test_links_steps_and_downloads_work_by_key(served: Any, watch: Watch) -> None:
    seen = watch(f"{served.address}/class")
    page = seen.page
    seen.heard()
    page.on("filechooser", lambda _: None)  # heard from now on: at the moment of the key it would be too late
    reach(page, "Next section ›")
    page.keyboard.press("Enter")
    page.wait_for_url("**section=a**")
    expect(page.locator("#said")).to_contain_text("section a")  # the links under it are new as well
    reach(page, "What is drawn (CSV)")
    with page.expect_download() as download:
        page.keyboard.press("Enter")
    assert Path(download.value.path()).read_text("utf-8-sig").startswith("panel,title,")
    reach(page, "To the page")
    page.keyboard.press("Enter")
    assert next(stops(page))["name"] == "Semester"
    reach(page, "Ask")
    page.keyboard.press("Enter")
    page.wait_for_url("**/ask**")
    seen.made()

    reach(page, "Question in SQL")
    page.keyboard.type("SELECT 6 * 7 AS answer")
    assert next(stops(page))["name"] == "Ask the tables"
    page.keyboard.press("Enter")
    page.get_by_role("cell", name="42", exact=True).wait_for()
    reach(page, "CSV")
    with page.expect_download() as download:
        page.keyboard.press("Enter")
    assert Path(download.value.path()).read_text("utf-8-sig") == "answer\n42\n"
    reach(page, "Uploads")
    page.keyboard.press("Enter")
    page.wait_for_url("**/uploads**")
    seen.made()
    reach(page, "Choose a file, or drop it here")
    with page.expect_file_chooser():
        page.keyboard.press("Enter")
    assert seen.complaints == []
