"""The pages for every reader: nothing that axe-core finds fault with, no motion that was not asked for, and whole on paper."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from dashboards.views.catalog import VIEWS

pytestmark = pytest.mark.browser
Watch = Callable[..., Any]
INKS = """() => (window.Bokeh?.documents ?? []).flatMap((doc) => [...doc._all_models.values()])
  .filter((model) => model.type === 'LinearAxis').map((axis) => axis.major_label_text_color)"""
_MOVING = """() => { const found = []; const walk = (root) => { for (const each of root.querySelectorAll('*')) {
  const style = getComputedStyle(each);
  if (parseFloat(style.transitionDuration) > 0 || (style.animationName !== 'none' && parseFloat(style.animationDuration) > 0)) {
    found.push(each.tagName + '.' + each.className + ' ' + style.transitionDuration + ' ' + style.animationName); }
  if (each.shadowRoot) walk(each.shadowRoot); } }; walk(document); return found; }"""

_DRAWN = """() => { const found = { light: false, dark: false };
  const walk = (root) => { for (const each of root.querySelectorAll('*')) {
    if (each.tagName === 'CANVAS' && each.width > 0) {
      const data = each.getContext('2d').getImageData(0, 0, each.width, each.height).data;
      for (let i = 0; i < data.length; i += 4) if (data[i + 3] === 255) {
        found.light ||= data[i] === 0xec && data[i + 1] === 0xeb && data[i + 2] === 0xe4;
        found.dark ||= data[i] === 0x1e && data[i + 1] === 0x1f && data[i + 2] === 0x1b;
      } }
    if (each.shadowRoot) walk(each.shadowRoot); } };
  walk(document.querySelector('.figure'));
  return found; }"""
_PRINTED = f"""() => {{ window.dispatchEvent(new Event('beforeprint'));
  const width = document.querySelector('.figure').getBoundingClientRect().width;
  return [!document.querySelector('details.numbers').open, width, ({_DRAWN})()]; }}"""


def found_by_axe(page: Any) -> list[str]:
    """What axe-core finds, be it of little weight: rule, and where it first stands."""
    found = Axe().run(page).response["violations"]
    return [
        f"{each['id']}: {each['help']} ({len(each['nodes'])}x, {each['nodes'][0]['target']}, {each['nodes'][0]['html'][:200]})"
        for each in found
    ]


@pytest.mark.parametrize("view", VIEWS)
def test_axe_finds_nothing(served: Any, watch: Watch, view: str) -> None:
    """axe-core 4 with its default rules; it does not judge canvases, which have a text and a table beside them."""
    seen = watch(f"{served.address}/{view}", color_scheme="light")
    if VIEWS[view].has_figure:
        seen.page.get_by_text("The numbers behind the figure").click()
    assert found_by_axe(seen.page) == []
    seen.page.emulate_media(color_scheme="dark")
    seen.page.set_viewport_size({"width": 390, "height": 860})
    assert found_by_axe(seen.page) == []


@pytest.mark.parametrize("view", ["class", "uploads"])
def test_nothing_moves_for_a_reader_who_asked_for_stillness(served: Any, watch: Watch, view: str) -> None:
    seen = watch(f"{served.address}/{view}", reduced_motion="reduce")
    assert seen.page.evaluate(_MOVING) == []


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_page_prints_light_with_its_words_and_numbers_and_no_controls(served: Any, watch: Watch, paper: str) -> None:
    seen = watch(f"{served.address}/class", color_scheme="dark")
    seen.page.wait_for_function(f"({INKS})().length > 0 && ({INKS})().every((colour) => colour === '#ecebe4')")
    seen.page.wait_for_function(f"({_DRAWN})().light")
    folded, width, inks = seen.page.evaluate(_PRINTED)
    assert (folded, inks) == (False, {"light": False, "dark": True})  # the paper's ink, at once and in every pixel
    assert width <= 671
    seen.page.emulate_media(media="print", color_scheme="dark")
    shown = {place: seen.page.locator(place).first.is_visible() for place in ("nav", ".choices", ".side p.reading", ".cautions")}
    assert shown == {"nav": False, ".choices": False, ".side p.reading": True, ".cautions": True}
    assert seen.page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(255, 255, 255)"
    seen.page.evaluate("window.dispatchEvent(new Event('afterprint'))")
    assert not seen.page.evaluate("document.querySelector('details.numbers').open")
    seen.page.wait_for_function(f"({INKS})().every((colour) => colour === '#ecebe4')")
    assert seen.page.pdf(format=paper).startswith(b"%PDF")
    assert not seen.is_scrolled_sideways()
