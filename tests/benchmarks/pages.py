"""A page in Chromium: python -m tests.benchmarks.pages ADDRESS TURNS prints the seconds of each first paint and of each redraw.

First paint: from the start of the navigation, with what the browser keeps from an earlier visit, until the reading can be read and marks
are drawn. Redraw: from the change of a word in the page until the figures have been painted with the new marks.
"""

from __future__ import annotations

import json
import shutil
import sys
from typing import Any

from playwright.sync_api import Browser, sync_playwright

ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]
SKIPPED = ("Scale", "Question")
"""Words that change no mark, or not always."""

_PAINTED = """() => { const marks = (window.Bokeh?.documents ?? []).flatMap((doc) => [...doc._all_models.values()])
  .filter((model) => model.type === "GlyphRenderer" && model.data_source.get_length() > 0);
  if (!marks.length) return false;
  const reading = document.querySelector(".side p.reading")?.textContent ?? "";
  return reading !== "" && !reading.startsWith("Fetching") && performance.now(); }"""
_SELECTS = """() => { const found = [];
  const look = (root) => { for (const each of root.querySelectorAll("*")) {
    if (each.tagName === "SELECT") found.push(each); if (each.shadowRoot) look(each.shadowRoot); } };
  look(document.querySelector(".choices")); window.words = found;
  const label = (select) => select.getRootNode().querySelector("label")?.textContent ?? "";
  return found.map((select) => [label(select), select.options.length, select.selectedIndex]); }"""
_CHOOSE = """([place, index]) => new Promise((resolve) => {
  const select = window.words[place], started = performance.now();
  const [doc, shown] = window.Bokeh.documents.map((doc) => [doc, doc.get_model_by_name("shown")]).find((each) => each[1] !== null);
  let isChanged = false;
  const listener = (event) => {
    if (isChanged || event.model !== shown || event.attr !== "page") return;
    isChanged = true;
    doc.remove_on_change(listener);
    requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(() => resolve((performance.now() - started) / 1000))));
  };
  doc.on_change(listener);
  select.selectedIndex = index;
  select.dispatchEvent(new Event("change", { bubbles: true }));
  setTimeout(() => { if (!isChanged) { doc.remove_on_change(listener); resolve(null); } }, 5000);
})"""


def paints(browser: Browser, address: str, turns: int) -> list[float]:
    """Seconds of first paints in one browser that has been here before."""
    context = browser.new_context(viewport={"width": 1280, "height": 860})
    found: list[float] = []
    for _ in range(turns + 1):
        page = context.new_page()
        page.goto(address)
        painted: Any = page.wait_for_function(_PAINTED, timeout=60_000).json_value()
        found.append(float(painted) / 1000)
        page.close()
    context.close()
    return found[1:]


def redraws(browser: Browser, address: str, turns: int) -> list[float]:
    """Seconds of redraws: each word of the line in turn is changed to another value and back. A choice that finds nothing draws nothing."""
    context = browser.new_context(viewport={"width": 1280, "height": 860})
    page = context.new_page()
    page.goto(address)
    page.wait_for_function(_PAINTED, timeout=60_000)
    page.wait_for_timeout(500)
    found: list[float] = []
    for turn in range(turns):
        words = [(place, n, now) for place, (label, n, now) in enumerate(page.evaluate(_SELECTS)) if n > 1 and label not in SKIPPED]
        place, n, now = words[turn % len(words)]
        for index in ((now + 1 + turn // len(words) % (n - 1)) % n, now):
            seconds = page.evaluate(_CHOOSE, [place, index])
            if seconds is not None:
                found.append(float(seconds))
            page.wait_for_timeout(100)
    context.close()
    return found


def main(address: str, turns: int) -> None:
    """Print both as one line of JSON."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=ARGUMENTS)
        sys.stdout.write(json.dumps({"paints": paints(browser, address, 5), "redraws": redraws(browser, address, turns)}) + "\n")
        browser.close()


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
