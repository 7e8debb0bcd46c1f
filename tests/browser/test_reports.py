"""A report as its reader opens it: from a file, with the network cut, wide and narrow, and as it prints."""

from __future__ import annotations

from pathlib import Path
from typing import Any, get_args

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from dashboards.reports.program_report import program_sheet
from dashboards.reports.report import Kind, Wanted, make_report, page, stills_of
from dashboards.reports.report_store import ReportStore
from ingest.home import init_home
from tests.dashboards.invented_learning import COHORTS, InMemory, learning

pytestmark = pytest.mark.browser
KINDS: tuple[Kind, ...] = get_args(Kind)
_SHOWN = "(place) => [...document.querySelectorAll(place)].filter((each) => each.getClientRects().length > 0).length"
_READINGS = """() => [...Bokeh.documents].flatMap((doc) => [...doc._all_models.values()])
  .filter((model) => model.type === 'GlyphRenderer' && ['marks', 'ink_marks'].includes(model.name))
  .reduce((n, renderer) => n + renderer.data_source.get_length(), 0)"""


@pytest.fixture(scope="module")
def reports(invented: Any, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """A class handout and a program review of an invented home."""
    home = init_home(tmp_path_factory.mktemp("reported") / "home", name="Invented field lab")
    invented.publish(home.root, "b1", ("student",))
    folder = tmp_path_factory.mktemp("reports")
    handout = make_report(home, Wanted("class", "2022-fall"), folder / "class.html", pdf=False).html
    store = ReportStore(InMemory(invented.tables("reviewer", COHORTS) | learning("reviewer")))
    sheet = program_sheet(store, home.settings(), semester="")
    review = folder / "program.html"
    review.write_text(page(sheet, stills_of(sheet)), "utf-8")
    return {"class": handout, "program": review}


@pytest.fixture
def opened(window: Any) -> Any:
    """A function that opens a file in a window of a width without a network, and says what it complained of."""

    def open_file(path: Path, width: int, **options: Any) -> tuple[Page, list[str]]:
        seen, complaints = window(width, offline=True, **options).new_page(), list[str]()
        seen.on("console", lambda message: complaints.append(message.text) if message.type in ("error", "warning") else None)
        seen.on("pageerror", lambda error: complaints.append(str(error)))
        seen.on("request", lambda request: complaints.append(request.url[:80]) if request.url.startswith("http") else None)
        seen.goto(path.as_uri())
        seen.wait_for_function("window.Bokeh?.documents.length > 0 && Bokeh.documents.every((doc) => doc.is_idle)")
        return seen, complaints

    return open_file


@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("kind", KINDS)
def test_a_report_opens_from_a_file_without_a_network(kind: str, width: int, reports: dict[str, Path], opened: Any) -> None:
    seen, complaints = opened(reports[kind], width)
    assert seen.evaluate(_READINGS) > 10
    assert seen.evaluate(_SHOWN, ".live .place") > 0
    assert seen.evaluate(_SHOWN, ".still img") == 0
    assert not seen.evaluate("document.documentElement.scrollWidth > window.innerWidth")
    assert seen.evaluate("window.stung") is None
    assert complaints == []


@pytest.mark.parametrize("kind", KINDS)
def test_in_print_the_drawings_stand_for_the_figures_on_a_light_ground(kind: str, reports: dict[str, Path], opened: Any) -> None:
    seen, _ = opened(reports[kind], 794)
    seen.emulate_media(media="print", color_scheme="dark")
    assert seen.evaluate(_SHOWN, ".live .place") == 0
    assert seen.evaluate(_SHOWN, ".still img") > 0
    seen.wait_for_function("[...document.querySelectorAll('.still img')].every((each) => each.complete && each.naturalWidth > 0)")
    assert seen.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(255, 255, 255)"
    assert not seen.evaluate("document.documentElement.scrollWidth > window.innerWidth")


@pytest.mark.parametrize("kind", KINDS)
def test_a_report_can_be_read_by_all(kind: str, reports: dict[str, Path], opened: Any) -> None:
    """axe-core is a script of its own, which the page's policy would keep out."""
    seen, _ = opened(reports[kind], 1280, bypass_csp=True)
    violations = Axe().run(seen).response["violations"]
    assert [(each["id"], each["nodes"][0]["html"][:100]) for each in violations] == []
