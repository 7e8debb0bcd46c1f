"""The program review: outcomes with interval and target, gaps named, nothing of a small cohort in the reviewer's, and clear where empty."""

from __future__ import annotations

import re
from html import escape, unescape
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from statsmodels.stats.proportion import proportion_confint

from dashboards.reports import report
from dashboards.reports.parts import Sheet
from dashboards.reports.program_report import program_sheet
from dashboards.reports.report import Wanted, make_report, page
from dashboards.reports.report_store import ReportStore
from ingest.errors import ReportRefused
from ingest.home import Home
from tests.dashboards.invented_learning import COHORTS, SCRIPT, SMALL, InMemory, learning


def store_of(invented: Any, role: str, **changed: pd.DataFrame | None) -> ReportStore:
    """The file of a role with outcomes of three cohorts; a table given as None is left out."""
    tables = invented.tables(role, ["2022-fall", *COHORTS]) | learning(role)
    if role == "reviewer":
        tables["cohort_quality"] = method_of_reviewers()
    return ReportStore(InMemory({name: frame for name, frame in (tables | changed).items() if frame is not None}))


def method_of_reviewers() -> pd.DataFrame:
    """Counts per semester; one semester's doubtful endpoints are hidden."""
    counts = {"n_rows": 400, "n_accepted": 380, "n_flagged": 12, "n_set_aside": 8, "n_usable": 385, "n_late": 0}
    rows = [{"semester": each, **counts, "n_doubtful_endpoint": None if each == SMALL else 10 + 2 * i} for i, each in enumerate(COHORTS)]
    return pd.DataFrame(rows).astype({"n_doubtful_endpoint": "Int64"}).assign(program="invented", is_suppressed=False)


READS = f"Reads a pressure chamber {SCRIPT} (wp_reading)"


def text_of(sheet: Sheet) -> str:
    """Everything that the printed page says."""
    return unescape(re.sub(r"<[^>]+>", " ", page(sheet, {}, paper="A4")))


@pytest.fixture(scope="module")
def reviewed(invented: Any, home: Home) -> Sheet:
    """The review of the latest cohort as a reviewer gets it."""
    return program_sheet(store_of(invented, "reviewer"), home.settings(), semester="2024-fall")


@pytest.fixture(scope="module")
def whole(invented: Any, home: Home) -> Sheet:
    """The same from the instructor's file."""
    return program_sheet(store_of(invented, "instructor"), home.settings(), semester="2024-fall")


def cells_of(html: str, *said: str) -> list[str]:
    """The cells of the one row of a table that says all of these."""
    (row,) = [row for row in re.findall(r"<tr>.*?</tr>", html) if all(f">{each}<" in row for each in said)]
    return re.findall(r"<td[^>]*>(.*?)</td>", row)


def test_outcomes_stand_with_n_interval_and_target(reviewed: Sheet) -> None:
    """The interval beside that of statsmodels (Wilson)."""
    low, high = proportion_confint(19, 31, method="wilson")
    table = reviewed.sections[0].tables[0].html()
    interval = f"{100 * low:.0f} to {100 * high:.0f}"
    reads, argues = escape(READS), "Argues a fair contrast (wp_contrast)"
    assert cells_of(table, "Fall 2024", reads) == ["Fall 2024", reads, "assessment", "31", "61", interval, "70", "no", ""]
    assert cells_of(table, "Fall 2023", reads)[3:8] == ["40", "at least 75", "", "70", "yes"]
    assert table.count("<td>none</td>") == 1, "gaps of earlier semesters are told in words"
    assert cells_of(table, "Fall 2024", argues)[2:8] == ["none", "0", "", "", "60", ""]
    said = text_of(reviewed)
    assert "In Fall 2024, 0 of 1\u00a0target was reached. 1\u00a0outcome has no evidence." in said
    assert str(learning("reviewer")["learning_outcomes"]["sentence"].iloc[4]) in said


def test_gains_stand_with_n_interval_and_band(reviewed: Sheet, whole: Sheet) -> None:
    (shown,) = reviewed.sections[1].tables
    assert cells_of(shown.html(), "Fall 2024") == ["Fall 2024", "survey", "30", "40", "71", "0.52", "0.42 to 0.62", "medium", ""]
    first, further = whole.sections[1].tables
    cells = ["Fall 2024", "survey", "31", "2", "1", "40", "71", "0.52", "0.42 to 0.62", "medium", ""]
    assert cells_of(first.html(), "Fall 2024") == cells
    cells = ["Fall 2024", "survey", "31.4", "25.4 to 37.4", "1.23", "0.80 to 1.70", "0.47", "0.50", "1", "3"]
    assert cells_of(further.html(), "Fall 2024") == cells


def test_the_figures_show_the_trend_with_interval_target_and_bounds(reviewed: Sheet) -> None:
    outcomes = reviewed.sections[0].figure
    assert outcomes is not None
    assert [panel.name for panel in outcomes.panels] == ["wp_contrast rubric", "wp_reading assessment", "wp_reading rubric"]
    _, assessed, judged = (panel.layers for panel in outcomes.panels)
    assert assessed["ink_marks"]["y"] == pytest.approx([100 * 19 / 31]), "the small cohort is not drawn"
    assert assessed["ink_bars"]["y0"][0] == assessed["ink_bars"]["y1"][0] == pytest.approx(70), "the target"
    assert (judged["ink_marks"]["shape"], judged["ink_marks"]["y"]) == (["dash"], [75])
    assert (judged["ink_bars"]["y0"][1], judged["ink_bars"]["y1"][1]) == (75, 100), "where the hidden share may lie"
    assert "A stroke is a bound" in outcomes.source
    assert outcomes.panels[0].x_ticks[2.0] == "Fall 2024"


def test_nothing_of_the_small_cohort_is_in_the_reviewer_s(reviewed: Sheet, whole: Sheet) -> None:
    panels = [panel for section in reviewed.sections if section.figure for panel in section.figure.panels]
    said, drawn = text_of(reviewed), " ".join(says for panel in panels for says in panel.layers["ink_marks"]["says"])
    for number in ("0.44", "66", "57"):
        assert number in text_of(whole), number
        assert number not in said, number
        assert number not in drawn, number
    assert "Hidden, so that it tells of nobody." in said
    assert "fewer than 10 are hidden in the data" in said
    assert "2 of 6\u00a0rows of outcomes, 1 of 2\u00a0rows of gains and 2 of 4\u00a0rows of items" in said
    assert "some counts are hidden in Spring 2024." in said
    assert "Not suppressed" in text_of(whole)
    assert "Not suppressed" not in said


def test_gaps_are_named(reviewed: Sheet, whole: Sheet, invented: Any, home: Home) -> None:
    gaps = next(section.bullets for section in reviewed.sections if section.heading == "Gaps in the evidence")
    assert list(gaps) == [
        "Argues a fair contrast (wp_contrast): no evidence in Spring 2024 and Fall 2024.",
        "Semesters without any assessment: Fall 2022.",
    ]
    gaps = next(section.bullets for section in whole.sections if section.heading == "Gaps in the evidence")
    assert f"{READS}, assessment: 2\u00a0students without a score." in gaps
    earlier = program_sheet(store_of(invented, "reviewer"), home.settings(), semester="2023-fall")
    assert any(
        "No instrument was written before and after in Fall 2023." in text for section in earlier.sections for text in section.bullets
    )
    assert "2024" not in text_of(earlier).replace("2024-12-01", "").replace("(2024)", ""), "what came later is no part of the review"


def test_the_method_is_told_as_shares(reviewed: Sheet) -> None:
    section = next(section for section in reviewed.sections if section.heading.startswith("Skill"))
    rows = [re.findall(r"<td[^>]*>(.*?)</td>", row) for row in re.findall(r"<tr><td.*?</tr>", section.tables[0].html())]
    assert rows == [
        ["Fall 2024", "400", "96.2", "3.0", "2.0", "3.6", "0.0"],
        ["Spring 2024", "400", "96.2", "3.0", "2.0", "hidden", "0.0"],
        ["Fall 2023", "400", "96.2", "3.0", "2.0", "2.6", "0.0"],
    ]


def test_without_assessments_the_review_says_so(invented: Any, home: Home) -> None:
    absent: dict[str, pd.DataFrame | None] = dict.fromkeys(learning("reviewer"))
    empty = {name: frame.iloc[0:0] for name, frame in learning("reviewer").items()}
    for changed in (absent, empty):
        sheet = program_sheet(store_of(invented, "reviewer", **changed), home.settings(), semester="")
        said = text_of(sheet)
        assert said.count("No assessment has been loaded yet") == 3
        assert "No assessment and no rubric has been loaded, of any semester." in said
        assert "Skill with the method" in said
        assert sheet.semester == "2024-fall"


def test_a_hostile_statement_is_only_text(reviewed: Sheet) -> None:
    html = page(reviewed, {}, paper="A4")
    assert SCRIPT not in html
    assert escape(SCRIPT) in html


@pytest.mark.parametrize(("kind", "role"), [("program", "reviewer"), ("class", "student")])
def test_a_report_is_made_from_the_file_of_those_whom_it_is_for(
    kind: Any, role: str, home: Home, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(report, "stills_of", lambda _: {})
    monkeypatch.setattr(report, "page", lambda sheet, *_, **__: text_of(sheet))
    made = make_report(home, Wanted(kind), tmp_path / "a.html", pdf=False)
    assert made.role == role
    assert f"from what is published for the {role}" in made.html.read_text("utf-8")


@pytest.mark.parametrize(
    ("role", "semester", "says"),
    [
        ("student", "", "nothing for a program review"),
        (None, "1999-fall", "nothing of the semester '1999-fall'. The semesters are 2019-spring,"),
    ],
)
def test_what_cannot_be_reviewed_is_told(role: Any, semester: str, says: str, home: Home, tmp_path: Path) -> None:
    with pytest.raises(ReportRefused, match=says):
        make_report(home, Wanted("program", semester, role), tmp_path / "a.html", pdf=False)
