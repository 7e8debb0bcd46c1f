"""Years by hand: a drag moves every panel alike, a double click shows all again, a click on a mark shows its readings, keys do the same."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import Any

import pytest
from playwright.sync_api import TimeoutError as TookTooLong

from tests.browser.conftest import PATIENCE_MS

pytestmark = pytest.mark.browser
Watch = Callable[..., Any]

_RANGES = """() => [...new Set((window.Bokeh?.documents ?? []).flatMap((doc) => [...doc._all_models.values()])
  .filter((model) => model.type === 'Figure').map((plot) => `${plot.x_range.start} ${plot.x_range.end}`))]"""
_FRAME = """(name) => { const find = (root, kind) => [...root.querySelectorAll('*')].flatMap(
  (each) => [...(each.classList.contains(kind) ? [each] : []), ...(each.shadowRoot ? find(each.shadowRoot, kind) : [])]);
  const panels = (window.Bokeh?.documents ?? []).flatMap((doc) => [...doc._all_models.values()]).filter((model) => model.type === 'Figure');
  const plot = panels.find((each) => each.name === name);
  const view = Bokeh.index.find_one(plot);
  const box = view.canvas_view.el.getBoundingClientRect(), frame = view.frame.bbox;
  const marks = plot.renderers.find((each) => each.name === 'marks').data_source.data;
  return { left: box.left + frame.left, top: box.top + frame.top, width: frame.width, height: frame.height,
    x: [...marks.x], y: [...marks.y], range: [plot.x_range.start, plot.x_range.end, plot.y_range.start, plot.y_range.end] }; }"""
_DRAGS = """() => (window.Bokeh?.documents ?? []).flatMap((doc) => [...doc._all_models.values()])
  .filter((model) => model.type === 'BoxZoomTool').map((tool) => tool.active)"""
_YEAR_MS = 365.25 * 86_400_000


def ranges(page: Any) -> list[tuple[float, float]]:
    """The different horizontal ranges that the panels show."""
    return [(float(start), float(end)) for start, end in (each.split() for each in page.evaluate(_RANGES))]


def frame(page: Any, name: str) -> dict[str, Any]:
    """Where a panel's frame stands in the window, px, once it stands still; its ranges and its marks."""
    page.wait_for_function(f"({_RANGES})().length === 1")
    found: list[dict[str, Any]] = []
    while len(found) < 2 or found[-1] != found[-2]:
        page.wait_for_timeout(100)
        found.append(page.evaluate(_FRAME, name))
    return found[-1]


def place(box: dict[str, Any], i: int) -> tuple[float, float]:
    """Where a mark stands in the window, px."""
    left, right, bottom, top = box["range"]
    across = box["left"] + (box["x"][i] - left) / (right - left) * box["width"]
    return across, box["top"] + (top - box["y"][i]) / (top - bottom) * box["height"]


def drag(page: Any, y: float, start: float, end: float) -> None:
    """Drag over a figure, px; again where a slow browser took it for a press, as Bokeh does when nothing moves at first."""
    before = ranges(page)
    for _ in range(10):
        page.mouse.move(start, y)
        page.mouse.down()
        page.mouse.move(end, y, steps=6)
        page.mouse.up()
        for _ in range(50):
            if ranges(page) != before:
                return
            page.wait_for_timeout(100)
    raise AssertionError("no drag was taken for one")


def whole_again(page: Any, patience_ms: float = PATIENCE_MS) -> None:
    """Wait until the address asks for the whole record."""
    page.wait_for_url(lambda url: "since" not in url, timeout=patience_ms)


def touch(gesture: Callable[[], None], seen: Callable[[float], Any]) -> None:
    """Click or tap, and wait until it is seen; again where a slow browser took it for a press, as Bokeh does after 0.3 s."""
    for _ in range(4):
        gesture()
        with suppress(TookTooLong):
            seen(30_000)
            return
    raise AssertionError("no click was taken for one")


def test_a_drag_over_one_panel_moves_all_and_a_double_click_or_a_button_shows_the_whole_record(served: Any, watch: Watch) -> None:
    seen = watch(f"{served.address}/years?group=woody")
    box = frame(seen.page, "shrub")
    whole, y = ranges(seen.page), box["top"] + box["height"] / 2
    for way_back in ("double click", "button"):
        drag(seen.page, y, box["left"] + 0.25 * box["width"], box["left"] + 0.5 * box["width"])
        seen.page.wait_for_url("**since=20*")
        seen.page.locator(".side li", has_text="Shown here: from").wait_for()
        (shown,) = ranges(seen.page)
        assert shown[1] - shown[0] == pytest.approx(0.25 * (whole[0][1] - whole[0][0]), abs=0.02 * _YEAR_MS)
        assert shown[0] == pytest.approx(whole[0][0] + 0.25 * (whole[0][1] - whole[0][0]), abs=0.02 * _YEAR_MS)
        if way_back == "double click":
            touch(lambda: seen.page.mouse.dblclick(box["left"] + 0.02 * box["width"], y), lambda ms: whole_again(seen.page, ms))
        else:
            seen.page.get_by_role("button", name="Show the whole record").click()
        whole_again(seen.page)
        seen.page.get_by_role("button", name="Show the whole record").wait_for(state="hidden")
        assert ranges(seen.page) == whole
    assert seen.complaints == []


def test_a_click_on_a_mark_shows_its_receipt_and_its_cells(served: Any, watch: Watch) -> None:
    seen = watch(f"{served.address}/years?group=shrub&semester=2024-fall")
    box = frame(seen.page, "shrub")
    found = seen.page.locator(".side .picked")
    touch(lambda: seen.page.mouse.click(*place(box, 0)), lambda ms: found.wait_for(timeout=ms))
    seen.page.wait_for_url("**semester=2019-spring**pick=shrub.**")
    text = found.inner_text()
    assert "2019-spring class.xlsx" in text
    assert "Data, G" in text
    assert "obs-7" in text
    assert found.get_by_role("link", name="See its receipt").get_attribute("href").startswith("uploads?semester=2019-spring&upload=")
    assert seen.page.evaluate("window.stung") is None
    assert seen.complaints == []


def test_the_words_do_by_key_what_the_mouse_does(served: Any, watch: Watch) -> None:
    seen = watch(f"{served.address}/years?group=shrub")
    seen.page.get_by_label("From", exact=True).select_option("from 2022")
    seen.page.wait_for_url("**since=2022-01-01*")
    seen.page.get_by_label("Readings behind a mark", exact=True).select_option("listing shrubs, Crest")
    seen.page.locator(".side .picked").wait_for()
    seen.page.get_by_label("Layout", exact=True).select_option("one year over the others")
    seen.page.locator(".title h1", has_text="2024 among").wait_for()
    seen.page.get_by_label("From", exact=True).wait_for(state="hidden")
    seen.page.wait_for_url(lambda url: "since" not in url)
    assert seen.complaints == []


def test_a_finger_scrolls_the_page_and_a_tap_shows_the_readings(served: Any, watch: Watch) -> None:
    seen = watch(f"{served.address}/years?group=shrub", width=390, has_touch=True, is_mobile=True)
    box = frame(seen.page, "shrub")
    seen.page.wait_for_function(f"({_DRAGS})().length === 3 && ({_DRAGS})().every((active) => !active)")
    x, y = place(box, len(box["x"]) - 1)
    found = seen.page.locator(".side .picked")
    touch(lambda: seen.page.touchscreen.tap(x, y), lambda ms: found.wait_for(timeout=ms))
    seen.page.wait_for_function("() => window.scrollY > 0")
    assert not seen.is_scrolled_sideways()
