"""The pages as a reader meets them, in Chromium: whole, quiet, narrow or wide, and never out of date."""

from __future__ import annotations

import csv
import html
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.request import urlopen
from xml.etree import ElementTree

import duckdb
import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser
Watch = Callable[..., Any]

FIGURES = Path(__file__).parents[2] / "dashboards" / "figures"
VIEWS = ["class", "years", "hillslope", "rain", "compare", "cohorts", "learning", "ask", "uploads"]
_CANVASES = """() => {
  const count = (root) => [...root.querySelectorAll('*')].reduce(
    (n, each) => n + (each.tagName === 'CANVAS' ? 1 : 0) + (each.shadowRoot ? count(each.shadowRoot) : 0), 0);
  return count(document.querySelector('.figure'));
}"""
_SHIFTED = """() => { const observer = new PerformanceObserver(() => {});
  observer.observe({ type: "layout-shift", buffered: true });
  return observer.takeRecords().reduce((sum, each) => sum + each.value, 0); }"""
_DRAWN_READINGS = """() => (window.Bokeh?.documents ?? []).flatMap((doc) => [...doc._all_models.values()])
  .filter((model) => model.type === 'GlyphRenderer' && model.name === 'marks')
  .reduce((n, renderer) => n + renderer.data_source.get_length(), 0)"""
_BESIDE = """() => (window.Bokeh?.documents ?? []).flatMap((doc) => [...doc._all_models.values()])
  .filter((model) => model.type === 'LinearAxis' && model.visible)
  .map((axis) => axis.formatter.doFormat(axis.ticker.ticks, axis)).filter((words) => words.some((word) => /bar|psi/.test(word)))"""
_BOX_SAYS = """(words) => { const find = (root) => [...root.querySelectorAll('*')].reduce(
  (box, each) => box ?? (each.tagName === 'TEXTAREA' ? each : each.shadowRoot ? find(each.shadowRoot) : null), null);
  return find(document)?.value.startsWith(words); }"""
_INKS = """() => (window.Bokeh?.documents ?? []).flatMap((doc) => [...doc._all_models.values()])
  .filter((model) => model.type === 'LinearAxis').map((axis) => axis.major_label_text_color)"""


@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("view", VIEWS)
def test_a_view_opens_whole_and_asks_nobody_else(served: Any, watch: Watch, view: str, width: int) -> None:
    seen = watch(f"{served.address}/{view}", width=width)
    if view not in ("ask", "uploads"):
        seen.page.wait_for_function(f"({_CANVASES})() > 0")
    else:
        seen.page.wait_for_selector(".numbers table")
    assert len(seen.reading()) > 40
    assert not seen.is_scrolled_sideways()
    assert seen.outside == []
    assert seen.complaints == []
    assert seen.page.evaluate("window.stung") is None


def test_the_address_alone_leads_to_the_first_view(served: Any, watch: Watch) -> None:
    seen = watch(served.address + "/")
    assert seen.page.url.split("?")[0] == f"{served.address}/class"


def test_what_a_reader_has_seen_comes_with_the_page_to_the_next(served: Any, watch: Watch) -> None:
    address = f"{served.address}/class?semester=2023-fall&group=shrub"
    title = watch(address).title()
    with urlopen(address) as answer:  # noqa: S310  (an address of this test's own server)
        page = answer.read().decode()
    at_hand = json.loads(page.split('id="at-hand">')[1].split("</script>")[0])
    assert f'id="title"><h1>{html.escape(title)}</h1>' in page
    assert [panel["plot"]["name"] for panel in at_hand["figure"]["panels"]] == ["shrub"]


def test_nothing_moves_while_a_page_comes(served: Any, watch: Watch) -> None:
    for view in ("class", "class", "ask"):  # drawn for its first reader; come with the page for the next; with the box of a question
        seen = watch(f"{served.address}/{view}?semester=2021-fall&group=woody", width=390, has_touch=True, is_mobile=True)
        assert seen.page.evaluate(_SHIFTED) < 0.05
        assert seen.page.locator(".standing").count() == 0, "the drop-downs stand themselves"


def test_a_choice_changes_figure_sentence_and_address(served: Any, watch: Watch) -> None:
    seen = watch(f"{served.address}/class")
    seen.page.wait_for_function(f"({_DRAWN_READINGS})() > 0")
    before, title, reading = seen.page.evaluate(_DRAWN_READINGS), seen.title(), seen.reading()
    seen.page.get_by_label("Section", exact=True).select_option("section a")
    seen.page.wait_for_url("**section=a**")
    seen.page.wait_for_function(f"({_DRAWN_READINGS})() < {before}")
    expect(seen.page.locator(".side p.reading")).to_contain_text("section a")
    assert seen.title() != title
    assert seen.reading() != reading
    seen.page.go_back()
    seen.page.wait_for_url(lambda url: "section" not in url)
    seen.page.wait_for_function(f"({_DRAWN_READINGS})() === {before}")
    expect(seen.page.locator(".title h1")).to_have_text(title)


_COUNT_LOOKS = """() => { const look = CSSStyleDeclaration.prototype.getPropertyValue; window.looks = [];
  CSSStyleDeclaration.prototype.getPropertyValue = function (name) { window.looks.push(name); return look.call(this, name); }; }"""


def test_a_redraw_looks_into_no_style_sheet(served: Any, watch: Watch) -> None:
    """Bokeh would, at each line and letter: a name of its own that we override may be another in the next version."""
    seen = watch(f"{served.address}/class")
    seen.page.wait_for_function(f"({_DRAWN_READINGS})() > 0")
    seen.page.evaluate(_COUNT_LOOKS)
    seen.page.get_by_label("Section", exact=True).select_option("section a")
    seen.page.locator(".side p.reading", has_text="section a").wait_for()
    seen.page.evaluate("() => new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)))")
    assert [name for name in seen.page.evaluate("window.looks") if name.startswith("--bk-")] == []


def test_an_address_opens_what_it_says_and_goes_along_to_the_next_view(served: Any, watch: Watch) -> None:
    seen = watch(f"{served.address}/class?semester=2022-fall&group=woody")
    assert "At midday in Fall 2022" in seen.reading()
    seen.page.get_by_role("link", name="Hillslope").click()
    seen.page.wait_for_url("**/hillslope?**semester=2022-fall**")
    seen.made()
    assert "lowland" in seen.title()
    assert "Fall 2022" in seen.reading()


def test_a_choice_that_finds_nothing_says_why(served: Any, watch: Watch) -> None:
    seen = watch(f"{served.address}/class?semester=2021-spring&group=tree")
    assert "no readings of trees" in seen.reading()
    assert seen.complaints == []


def test_two_readers_do_not_see_each_others_choices(served: Any, watch: Watch) -> None:
    one, other = watch(f"{served.address}/class"), watch(f"{served.address}/class")
    title = other.title()
    one.page.get_by_label("Plants", exact=True).select_option("trees")
    one.page.wait_for_url("**group=tree**")
    expect(one.page.locator(".title h1")).not_to_have_text(title)
    assert other.title() == title


def test_a_changed_reading_is_said_to_readers_who_listen(served: Any, watch: Watch) -> None:
    seen = watch(f"{served.address}/class")
    assert "in trees" not in seen.heard()
    seen.page.evaluate("window.requestAnimationFrame = (draw) => setTimeout(() => draw(performance.now()), 1000)")  # a slow browser
    seen.page.get_by_label("Plants", exact=True).select_option("trees")
    expect(seen.page.get_by_role("status")).to_contain_text("in trees")
    assert "in trees" in seen.heard()


_FRAMES = """() => { const found = []; const walk = (root) => { for (const each of root.querySelectorAll('*')) {
  if (each.classList.contains('bk-CartesianFrame')) { const box = each.getBoundingClientRect(); found.push([box.left, box.right]); }
  if (each.shadowRoot) walk(each.shadowRoot); } }; walk(document.querySelector('.figure')); return found; }"""


@pytest.mark.parametrize(("width", "scale"), [(1280, ""), (390, ""), (1280, "?scale=psi")])
def test_rain_stands_exactly_under_the_readings(served: Any, watch: Watch, width: int, scale: str) -> None:
    seen = watch(f"{served.address}/years{scale}", width=width)
    seen.page.wait_for_function(f"({_FRAMES})().length === 7 && ({_FRAMES})().every(([left, right]) => right - left > 100)")
    frames = seen.page.evaluate(_FRAMES)
    assert max(left for left, _ in frames) - min(left for left, _ in frames) < 1
    assert max(right for _, right in frames) - min(right for _, right in frames) < 1


def test_light_and_dark_reach_the_canvases(served: Any, watch: Watch) -> None:
    seen = watch(f"{served.address}/class", color_scheme="dark")
    seen.page.wait_for_function(f"({_INKS})().length > 0 && ({_INKS})().every((colour) => colour === '#ecebe4')")
    seen.page.get_by_role("button", name="Light").click()
    seen.page.wait_for_function(f"({_INKS})().every((colour) => colour === '#1e1f1b')")
    assert seen.page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(252, 251, 247)"


def test_sections_and_questions_are_stepped_through(served: Any, watch: Watch) -> None:
    seen = watch(f"{served.address}/class", width=390)
    seen.page.wait_for_function(f"({_DRAWN_READINGS})() > 0")
    seen.page.get_by_role("button", name="Next section ›").click()
    seen.page.wait_for_url("**section=a**")
    seen.page.get_by_role("button", name="‹ Previous section").click()
    seen.page.wait_for_url(lambda url: "section" not in url)
    for title in ("Predict first", "Who is drier?", "Are they alike enough to compare?", "High ground or low, and by how much?"):
        seen.page.get_by_role("button", name="Next question ›").click()
        expect(seen.page.locator(".title h1")).to_contain_text(title)
    seen.page.wait_for_url("**question=ground**")
    assert "the high ground was drier" in seen.reading()
    assert not seen.is_scrolled_sideways()
    assert seen.complaints == []


def test_the_table_holds_the_numbers_of_the_figure(served: Any, watch: Watch) -> None:
    seen = watch(f"{served.address}/class")
    seen.page.get_by_text("The numbers behind the figure").click()
    expect(seen.page.locator(".numbers tbody tr")).to_have_count(15)
    expect(seen.page.locator(".numbers caption")).to_have_text("Plants by group and position")


def test_a_second_scale_stands_beside_on_request_and_in_the_address(served: Any, watch: Watch) -> None:
    seen = watch(f"{served.address}/class")
    seen.page.get_by_label("Scale", exact=True).select_option("in MPa and bar")
    seen.page.wait_for_function(f"({_BESIDE})().length === 5 && ({_BESIDE})().every((words) => words.includes('0 bar'))")
    seen.page.wait_for_url("**scale=bar**")
    seen.page.get_by_label("Scale", exact=True).select_option("in MPa")
    seen.page.wait_for_function(f"({_BESIDE})().length === 0")


def taken(page: Any, words: str) -> tuple[str, bytes]:
    """Click a link, and what came down: its file name and its bytes."""
    with page.expect_download() as download:
        page.get_by_role("link", name=words, exact=True).click()
    return download.value.suggested_filename, Path(download.value.path()).read_bytes()


def test_a_figure_is_taken_as_it_stands(served: Any, watch: Watch) -> None:
    seen = watch(f"{served.address}/class?semester=2022-fall&group=woody")
    stem = "tautleaf-class-2022-fall-midday-woody"
    name, data = taken(seen.page, "What is drawn (CSV)")
    assert name == f"{stem}.csv"
    drawn = list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))
    marks = [row for row in drawn if row["layer"] == "mark"]
    assert sum(row["shape"] != "dash" for row in marks) == seen.page.evaluate(_DRAWN_READINGS)
    assert {row["panel"] for row in drawn} == {"", "shrub", "tree"}
    name, data = taken(seen.page, "Picture (PNG)")
    assert (name, data[:8]) == (f"{stem}.png", b"\x89PNG\r\n\x1a\n")
    name, data = taken(seen.page, "Drawing (SVG)")
    assert name == f"{stem}.svg"
    root = ElementTree.fromstring(data)  # noqa: S314  # our own
    ticks = {use for each in root.iter() if "tick_" in each.get("id", "") for use in each.iter()}
    assert sum(each.tag.endswith("}use") for each in set(root.iter()) - ticks) == len(marks)
    for words, script in (("Python script", "redraw.py"), ("R script", "redraw.R")):  # those that tests/dashboards/test_taking.py runs
        assert taken(seen.page, words) == (script, (FIGURES / script).read_bytes())
    assert seen.complaints == []


def test_a_question_is_asked_drawn_and_taken(served: Any, watch: Watch, tmp_path: Path) -> None:
    seen = watch(f"{served.address}/ask")
    seen.page.get_by_label("Question in SQL").fill("SELECT year, sum(rain_mm) AS rain_mm FROM rain_months GROUP BY year ORDER BY year")
    seen.page.get_by_role("button", name="Ask the tables").click()
    seen.page.locator(".numbers caption", has_text="What the question found").wait_for()
    seen.page.wait_for_url("**sql=SELECT+year**")
    seen.page.get_by_label("Answer", exact=True).select_option("as bars")
    seen.page.wait_for_function(f"({_CANVASES})() > 0")
    found = list(csv.DictReader(io.StringIO(taken(seen.page, "CSV")[1].decode("utf-8-sig"))))
    (tmp_path / "rows.parquet").write_bytes(taken(seen.page, "Parquet")[1])
    rows = duckdb.read_parquet(str(tmp_path / "rows.parquet")).fetchall()
    assert [(row["year"], row["rain_mm"]) for row in found] == [(str(year), str(rain)) for year, rain in rows]
    assert len(found) > 5
    seen.page.get_by_label("Example", exact=True).select_option("readings of each semester")
    seen.page.wait_for_function(_BOX_SAYS, arg="SELECT semester")
    seen.page.get_by_role("button", name="Ask the tables").click()
    seen.page.locator(".numbers th", has_text="usable").wait_for()
    assert seen.complaints == []


def test_a_new_build_is_taken_up_without_a_restart(renewed: Any, watch: Watch, invented: Any) -> None:
    seen = watch(f"{renewed.address}/years")
    assert "4\u00a0seasons" in seen.title()
    invented.publish(renewed.home.root, "b2", semesters=invented.SEMESTERS[:6])
    expect(seen.page.locator(".title h1")).to_contain_text("6\u00a0seasons")
    expect(seen.page.locator("#notice p")).to_have_text("New data were published; this page now shows them.")
    assert seen.complaints == []
