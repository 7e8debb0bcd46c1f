"""The class handout: whole without a network, safe to open, true to the warehouse, and never written over a stranger's file."""

from __future__ import annotations

import json
import re
import shutil
import time
from html import escape, unescape
from html.parser import HTMLParser
from importlib import import_module
from pathlib import Path

import pytest
from typer.testing import CliRunner

from dashboards.choices import Choices
from dashboards.reports import class_report, printing, report
from dashboards.reports.class_report import class_sheet
from dashboards.reports.figures import library
from dashboards.reports.printing import print_pdf
from dashboards.reports.report import MARK, Made, Wanted, make_report, page
from dashboards.reports.report_store import ReportStore
from dashboards.views.catalog import VIEWS
from dashboards.views.discussion import QUESTIONS, RAIN_PREDICTOR
from dashboards.words import count, number
from ingest.errors import PrintingFailed, ReportRefused
from ingest.home import Home
from tautleaf import app
from tests.dashboards.invented_learning import SCRIPT
from warehouse.published import open_published

LARGEST = 5_000_000
DRY = "2022-fall"
has_chromium = pytest.mark.skipif(shutil.which("chromium") is None, reason="no program called chromium on this computer")


class Outside(HTMLParser):
    """Collects every address that a page would fetch or lead to, and the scripts that it holds."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.addresses: list[str] = []
        self.n_scripts = 0
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep what a tag points to."""
        self.n_scripts += tag == "script"
        self.addresses += [value or "" for name, value in attrs if name in ("src", "href", "srcset", "data", "action", "poster")]


@pytest.fixture(scope="module")
def handout(home: Home, tmp_path_factory: pytest.TempPathFactory) -> str:
    """The handout of a dry fall, with answers, as the command writes it for the students' role."""
    path = tmp_path_factory.mktemp("handout") / "handout.html"
    make_report(home, Wanted("class", DRY, with_answers=True), path, pdf=False)
    return path.read_text("utf-8")


def test_the_page_holds_all_that_it_needs(handout: str) -> None:
    outside = Outside(handout)
    assert len(outside.addresses) > 2
    assert [address[:60] for address in outside.addresses if not address.startswith("data:")] == []
    styles = "".join(re.findall(r"<style>(.*?)</style>", handout, flags=re.DOTALL))
    assert not re.search(r"url\(|@import", styles)
    assert len(handout.encode()) < LARGEST


def test_the_library_is_the_same_where_a_dashboard_was_loaded_before() -> None:
    before = library()
    import_module("panel").extension()
    assert library() == before
    assert "<script src" not in before


def test_a_hostile_name_is_only_text(handout: str) -> None:
    assert SCRIPT not in handout
    assert escape(SCRIPT) in handout
    assert Outside(handout).n_scripts == library().count("<script") + 1, "Bokeh's library and the figure's data, nothing else"


def test_the_numbers_are_those_of_the_warehouse(handout: str, home: Home) -> None:
    """Means, intervals and counts reckoned by the engine from the plants, beside the cells of the table."""
    from scipy.stats import t

    sql = """select functional_group, topographic_position, avg(water_potential_mpa), stddev_samp(water_potential_mpa), count(*),
             sum(n_leaves)::bigint, count(*) filter (below_limit) from plant_values where semester = $1 and sampling_window = 'midday'
             group by all"""
    cells = [re.findall(r"<td[^>]*>(.*?)</td>", row) for row in re.findall(r"<tr><td.*?</tr>", handout)]
    found = {(row[0], row[1]): row[2:] for row in cells}
    words = {"forb": "Forbs", "c3_grass": "C3 grasses", "c4_grass": "C4 grasses", "shrub": "Shrubs", "tree": "Trees"}
    with open_published(home, "student").cursor() as cursor:
        expected = cursor.execute(sql, [DRY]).fetchall()
    n_bounded = 0
    for group, position, mean, sd, n_plants, n_leaves, n_bounds in expected:
        kind, value, low, high, *counts, note = found[words[group], position]
        assert counts == [str(n_plants), str(n_leaves), str(n_bounds)]
        if n_bounds:
            n_bounded += 1
            assert kind != "mean"
            assert (low, high) == ("–", "–")
            assert f"{n_bounds} of {n_plants} plants are bounds" in note
        else:
            half = float(t.ppf(0.975, n_plants - 1)) * sd / n_plants**0.5
            assert [kind, value, low, high] == ["mean", number(mean, 2), number(mean - half, 2), number(mean + half, 2)]
    assert len(found) == len(expected)
    assert n_bounded > 0


def test_answers_are_the_record_s_sentences_and_stand_apart(handout: str, home: Home) -> None:
    store = ReportStore(open_published(home, "student"))
    sheet = class_sheet(store, home.settings(), semester=DRY, window="", with_answers=True)
    without = class_sheet(store, home.settings(), semester=DRY, window="", with_answers=False)
    answers = dict(zip(QUESTIONS, sheet.sections[len(without.sections) :], strict=True))
    assert [section.heading for section in without.sections] == [section.heading for section in sheet.sections[: -len(answers)]]
    for code, section in answers.items():
        shown = VIEWS["class"].draw(store, Choices(semester=DRY, window="midday", question=code))
        assert list(section.paragraphs) == [shown.reading]
        assert section.is_on_new_page is (code == "drier")
    told = {code: [*section.told[0].sentences, *section.paragraphs] for code, section in answers.items()}
    contrasts = store.contrasts(Choices(semester=DRY, window="midday"))["sentence"]
    assert sorted(answers["ground"].told[0].sentences) == sorted(said for said in contrasts if said not in answers["ground"].paragraphs[0])
    assert any(f"a line on {RAIN_PREDICTOR}" in said for said in told["rain"])
    bare, whole = unescape(page(without, {}, paper="A4")), unescape(handout)
    assert [said for each in told.values() for said in each if said in bare or said not in whole] == []


def test_a_figure_of_too_many_points_is_left_to_the_dashboard(home: Home, monkeypatch: pytest.MonkeyPatch) -> None:
    store = ReportStore(open_published(home, "student"))
    *_, before = class_sheet(store, home.settings(), semester=DRY, window="", with_answers=True).sections
    assert before.figure is not None
    n_points = sum(len(panel.layers["marks"]["x"]) for panel in before.figure.panels)
    monkeypatch.setattr(class_report, "MOST_MARKS", n_points - 1)
    *_, after = class_sheet(store, home.settings(), semester=DRY, window="", with_answers=True).sections
    assert after.figure is None
    assert list(after.paragraphs) == [*before.paragraphs, f"Its figure has {count(n_points, 'point')}: look at it in the dashboard."]


def test_the_handout_says_where_when_how_and_from_what(handout: str, home: Home) -> None:
    text = unescape(handout)
    for said in (
        "Leaf water potential at midday, Fall 2022",
        "Read on 24 September 2022 at Crest (upland)",
        "0\u00a0mm of rain in the 30 days before and 16\u00a0days since the last rain that counts.",
        "maker's manual, your local rules and a trained person",
        "pms1 (gauge in psi, step 10, up to 550)",
        "Build b of 2024-12-01",
        "Invented field lab (2024). Invented field lab: leaf water potential. Data set, build b.",
        *QUESTIONS.values(),
    ):
        assert said in text, said


def test_another_part_of_the_day_can_be_had(home: Home) -> None:
    store = ReportStore(open_published(home, "student"))
    sheet = class_sheet(store, home.settings(), semester=DRY, window="predawn", with_answers=False)
    assert sheet.title == "Leaf water potential before dawn, Fall 2022"


@pytest.mark.parametrize(
    ("wanted", "name", "says"),
    [
        (Wanted("class", "1999-fall"), "a.html", "'1999-fall'. The semesters are 2019-spring, 2019-fall,.* and 2024-fall"),
        (Wanted("class", DRY, window="noon"), "a.html", "window 'noon'. There are readings of: predawn and midday"),
        (Wanted("class", role="reviewer"), "a.html", "no single readings.*--role student"),
        (Wanted("class"), "a.pdf", "ends with .html"),
        (Wanted("class"), "nowhere/a.html", "There is no folder"),
        (Wanted("class"), "mine.html", "is there and is no report"),
        (Wanted("class"), "printed.html", "printed.pdf is there and belongs to no report.*--no-pdf"),
        (Wanted("class"), "folder.html", "is there and is no report"),
    ],
)
def test_what_cannot_be_made_is_told_and_nothing_is_touched(wanted: Wanted, name: str, says: str, home: Home, tmp_path: Path) -> None:
    for mine in ("mine.html", "printed.pdf"):
        (tmp_path / mine).write_text("Not a report.", "utf-8")
    (tmp_path / "folder.html").mkdir()
    before = sorted(tmp_path.iterdir())
    with pytest.raises(ReportRefused, match=says):
        make_report(home, wanted, tmp_path / name)
    assert sorted(tmp_path.iterdir()) == before
    assert (tmp_path / "mine.html").read_text("utf-8") == (tmp_path / "printed.pdf").read_text("utf-8") == "Not a report."


def test_a_folder_that_cannot_be_written_is_told(home: Home, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(report, "stills_of", lambda _: {})
    monkeypatch.setattr(report, "page", lambda *_, **__: "")
    monkeypatch.setattr("tempfile.mkstemp", full)
    with pytest.raises(ReportRefused, match="No space left on device"):
        make_report(home, Wanted("class", DRY), tmp_path / "a.html", pdf=False)


def test_an_earlier_report_is_replaced_and_its_pdf_does_not_outlive_it(home: Home, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "a.html"
    target.write_text(f'<meta name="generator" content="{MARK}">', "utf-8")
    target.with_suffix(".pdf").write_bytes(b"%PDF-1.4 of the earlier one")
    monkeypatch.setattr(printing, "PROGRAMS", ("no-such-program",))
    monkeypatch.setattr(report, "stills_of", lambda _: {})
    monkeypatch.setattr(report, "page", lambda sheet, *_, **__: MARK + sheet.title)
    made = make_report(home, Wanted("class", DRY), target)
    assert made.pdf is None
    assert "no program called" in made.why_no_pdf
    assert "ready for print" in made.why_no_pdf
    assert not target.with_suffix(".pdf").exists()
    assert "Fall 2022" in target.read_text("utf-8")
    with pytest.raises(PrintingFailed, match=r"no program called.*It is .*a\.html"):
        make_report(home, Wanted("class", DRY), target, pdf=True)


@pytest.mark.parametrize(
    ("script", "says"),
    [("sleep 60", "was not done after 1 seconds"), ("exit 3", "ended with 3"), ("exit 0", "wrote none")],
)
def test_a_chromium_that_fails_is_stopped_and_told(script: str, says: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    program = tmp_path / "chromium"
    program.write_text(f"#!/bin/sh\n{script}\n", "utf-8")
    program.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}:/usr/bin:/bin")
    start = time.monotonic()
    with pytest.raises(PrintingFailed, match=says):
        print_pdf("<p>Hello</p>", seconds=1.0)
    assert time.monotonic() - start < 40


@has_chromium
def test_the_pdf_has_pages_on_the_wanted_paper(home: Home, tmp_path: Path) -> None:
    ran = CliRunner().invoke(
        app,
        [
            "report",
            "class",
            "--home",
            str(home.root),
            "--semester",
            DRY,
            "--to",
            str(tmp_path / "a.html"),
            "--paper",
            "letter",
            "--pdf",
            "--json",
        ],
    )
    assert ran.exit_code == 0, ran.output
    made = json.loads(ran.output)
    assert made == {"html": str(tmp_path / "a.html"), "pdf": str(tmp_path / "a.pdf"), "why_no_pdf": "", "role": "student", "build_id": "b1"}
    data = (tmp_path / "a.pdf").read_bytes()
    pages = re.findall(rb"/Type\s*/Page\b.*?/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]", data, flags=re.DOTALL)
    assert 2 <= len(pages) <= 6
    assert {(round(float(width)), round(float(height))) for width, height in pages} == {(612, 792)}
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.html", "a.pdf"]


def test_the_command_says_what_it_wrote_and_why_there_is_no_pdf(home: Home, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made = Made(tmp_path / "a.html", None, "No PDF was made: this computer has none.", "student", "b1")
    monkeypatch.setattr(report, "make_report", lambda *_, **__: made)
    ran = CliRunner().invoke(app, ["report", "class", "--home", str(home.root)])
    assert ran.output == f"Wrote {made.html}, of build b1, from what the student may see.\n{made.why_no_pdf}\n"
