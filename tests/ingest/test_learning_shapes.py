"""One true class in the shapes in which platforms and teachers write scores and levels down says the same, or asks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import pytest

from ingest.cells.people import student_pseudonym
from ingest.home import Home
from ingest.learning.people import one_name
from tests.ingest.small_class import ITEMS, LEVELS, MAXIMA, SCORES, STUDENTS, Row, check, csv_of, scores_of, wide, xlsx_of
from tests.ingest.small_lab import every_row

pytestmark = pytest.mark.usefixtures("opened_here", "without_suite")
PHASES = ("pre", "post")
Truth = dict[tuple[str, str, str | None], tuple[float | None, float]]


def who(home: Home, name: str) -> str:
    return student_pseudonym(home.key(), "small", one_name(name))


def truth(home: Home, phases: Sequence[str] = PHASES, *, items: bool = True, totals: bool = True, percent: bool = False) -> Truth:
    """What every shape says: score and maximum by student, phase and item."""
    found: Truth = {}
    for name in STUDENTS:
        for phase in phases:
            scores = SCORES[name][phase]
            if items:
                of_items = dict(zip(ITEMS, scores or [None] * 3, strict=True))
                found.update({(who(home, name), phase, item): (of_items[item], MAXIMA[item]) for item in ITEMS})
            if totals:
                total = sum(scores) if scores else None
                found[who(home, name), phase, None] = (total, 8.0)
                if percent:
                    found[who(home, name), phase, None] = (None if total is None else total / 8 * 100, 100.0)
    return found


def total(name: str, phase: str) -> float | None:
    scores = SCORES[name][phase]
    return sum(scores) if scores else None


def share(name: str, phase: str, of: float = 100) -> float | None:
    found = total(name, phase)
    return None if found is None else found / 8 * of


def turned(name: str) -> str:
    first, last = name.split()
    return f"{last}, {first}"


def long_rows() -> list[Row]:
    rows: list[Row] = [["Student", "Phase", "Question", "Score", "Max"]]
    for name in STUDENTS:
        for phase in PHASES:
            scores = SCORES[name][phase] or (None, None, None)
            rows.extend([name, phase, item, score, MAXIMA[item]] for item, score in zip(ITEMS, scores, strict=True))
    return rows


def under_groups() -> list[Row]:
    rows: list[Row] = [[None, "Pre", None, None, "Post", None, None], ["Name", *[f"{item} ({MAXIMA[item]:g})" for item in ITEMS] * 2]]
    return [*rows, *([name, *(SCORES[name]["pre"] or [""] * 3), *(SCORES[name]["post"] or [""] * 3)] for name in STUDENTS)]


def beside(header: Row, cell: Callable[[str, str], object]) -> list[Row]:
    return [header, *([name, cell(name, "pre"), cell(name, "post")] for name in STUDENTS)]


def with_row_of_maxima(label: str) -> list[Row]:
    first, *rows = wide("pre", ["Student", *ITEMS, "Total"])
    return [first, [label, 2, 2, 4, 8], *rows]


def stacked() -> list[Row]:
    header = ["Student", *(f"Question {number} [{MAXIMA[item]:g} points]" for number, item in enumerate(ITEMS, 1)), "Total score"]
    rows: list[Row] = [["WP Quiz, Fall 2024"], ["Pretest"], *wide("pre", header), [], ["Post-test"], *wide("post", header)]
    return [*rows, ["Average", 1, 1, 1, 3]]


def learning_platform() -> list[Row]:
    """An export whose numbers count the rows, with a row of points, and a number behind the name of each test."""
    header = ["Student", "ID", "Section", "Pre: WP quiz (48213)", "Post: WP quiz (48219)", "Final Grade"]
    points: Row = ["    Points Possible", "", "", 8, 8, "(read only)"]
    rows = [[turned(name), at, "Section A", total(name, "pre"), total(name, "post"), "A"] for at, name in enumerate(STUDENTS, 1)]
    return [header, points, *rows]


TOTALS = {"items": False}
PERCENTS = {"items": False, "percent": True}
NAME = "wp_quiz fall 2024.csv"
# name of the file, its bytes, which part of the truth it holds
SHAPES: dict[str, tuple[str, bytes, dict[str, Any]]] = {
    "wide, points in the header": ("wp_quiz pre fall 2024.csv", csv_of(wide("pre")), {"phases": ["pre"]}),
    "wide, phase in a title": ("2024-fall.csv", csv_of([["WP quiz – pre-test"], [], *wide("pre")]), {"phases": ["pre"]}),
    "row of points": ("wp_quiz pre fall 2024.csv", csv_of(with_row_of_maxima("Points possible")), {"phases": ["pre"]}),
    "row named max": ("wp_quiz pre fall 2024.csv", csv_of(with_row_of_maxima("Max")), {"phases": ["pre"]}),
    "row of points without a name": (
        "wp_quiz pre fall 2024.csv",
        csv_of([["Student", *ITEMS, "Total"], ["", "/2", "/2", "/4", "/8"], *wide("pre")[1:]]),
        {"phases": ["pre"]},
    ),
    "two sheets": ("wp_quiz fall 2024.xlsx", xlsx_of(Pre_test=wide("pre"), Post_test=wide("post")), {}),
    "sheets by last, first": (
        "wp_quiz fall 2024.xlsx",
        xlsx_of(Pre=wide("pre"), Post=[wide("post")[0], *([turned(str(row[0])), *row[1:]] for row in wide("post")[1:])]),
        {},
    ),
    "long": (NAME, csv_of(long_rows()), {"totals": False}),
    "under groups": (NAME, csv_of(under_groups()), {"totals": False}),
    "stacked tables": ("quiz.csv", csv_of(stacked()), {}),
    "side by side": (NAME, csv_of(beside(["Student", "Pre (8)", "Post (8)"], total)), TOTALS),
    "out of in the cell": (
        NAME,
        csv_of(
            beside(
                ["Name", "Pretest", "Posttest"], lambda name, phase: f"{found:g}/8" if (found := total(name, phase)) is not None else "–"
            )
        ),
        {"items": False, "loose": True},
    ),
    "percent in the header": (NAME, csv_of(beside(["Name", "Pre %", "Post %"], share)), PERCENTS),
    "percent in the cell": (
        NAME,
        csv_of(beside(["Name", "Pre", "Post"], lambda name, phase: f"{found:g} %" if (found := share(name, phase)) is not None else "ABS")),
        {**PERCENTS, "loose": True},
    ),
    "decimal commas": (
        NAME,
        csv_of(beside(["Name", "Pre (8)", "Post (8)"], lambda name, phase: str(total(name, phase) or "").replace(".", ","))),
        TOTALS,
    ),
    "two columns of names": (
        NAME,
        csv_of(
            [
                ["Last name", "First name", "Pre /8", "Post /8"],
                *([*name.split()[::-1], total(name, "pre"), total(name, "post")] for name in STUDENTS),
            ]
        ),
        TOTALS,
    ),
    "export of a platform": ("fall 2024.csv", csv_of(learning_platform()), TOTALS),
    "a column for the test and the phase": (
        "scores 2024-fall.csv",
        csv_of(
            [["Test", "Student", "Points", "Out of"]]
            + [[f"WP quiz, {phase}", name, total(name, phase), 8] for phase in PHASES for name in STUDENTS]
        ),
        TOTALS,
    ),
}


@pytest.mark.parametrize("shape", SHAPES)
def test_every_shape_says_the_same_of_the_class(class_lab: Home, shape: str) -> None:
    name, data, said = SHAPES[shape]
    said = dict(said)
    is_loose = said.pop("loose", False)  # a cell that is blank cannot say out of how much it is
    checked = check(class_lab, data, name)
    found, expected = scores_of(checked), truth(class_lab, **said)
    if is_loose:
        found, expected = ({key: value for key, value in one.items() if value[0] is not None} for one in (found, expected))
    assert {key: tuple(map(_plain, value)) for key, value in found.items()} == {
        key: tuple(map(_plain, value)) for key, value in expected.items()
    }
    rows = [row for row in every_row(checked) if row["status"] != "set_aside"]
    assert {(row["semester"], row["instrument"]) for row in rows} == {("2024-fall", "wp_quiz")}
    assert all(row["status"] == "accepted" for row in rows)
    counts = checked.receipt.rows
    assert counts["in_file"] == counts["accepted"] + counts["flagged"] + counts["set_aside"] == len(every_row(checked))


def _plain(value: float | None) -> float | None:
    return None if value is None else round(value, 9)


def levels_wide(header: Row, cell: Callable[[int | None], object] = lambda level: level) -> list[Row]:
    return [header, *([name, *(cell(LEVELS[name][code]) for code in ("wp_reading", "fair_contrast"))] for name in STUDENTS)]


WORDS = ("", "Beginning", "Developing", "Proficient", "Exemplary")
RUBRICS: dict[str, list[Row]] = {
    "codes": levels_wide(["Student", "wp_reading", "fair_contrast"]),
    "statements": levels_wide(["Student", "Reads the gauge at the endpoint", "Compares like with like (4)"]),
    "alias and code with words": levels_wide(["Student", "Gauge reading", "fair_contrast: compares"]),
    "numbers with words": levels_wide(
        ["Student", "wp_reading", "fair_contrast"], lambda level: f"{level} – {WORDS[level].lower()}" if level else "not scored"
    ),
    "words": levels_wide(["Student", "wp_reading", "fair_contrast"], lambda level: WORDS[level] if level else "absent"),
    "of four": levels_wide(["Student", "wp_reading", "fair_contrast"], lambda level: f"{level} / 4" if level else "-"),
    "long": [
        ["Student", "Outcome", "Level"],
        *([name, code, level] for name in STUDENTS for code, level in LEVELS[name].items()),
    ],
}


@pytest.mark.parametrize("shape", RUBRICS)
def test_every_shape_of_a_rubric_says_the_same(class_lab: Home, shape: str) -> None:
    checked = check(class_lab, csv_of(RUBRICS[shape]), "2024-fall.csv")
    assert checked.receipt.kind == "rubric"
    assert not checked.receipt.is_refused, checked.receipt.as_text()
    rows = [row for row in every_row(checked) if row["status"] != "set_aside"]
    found = {(row["student"], row["outcome"]): row["level"] for row in rows}
    assert found == {(who(class_lab, name), code): level for name in STUDENTS for code, level in LEVELS[name].items()}
    assert {row["is_unscored"] for row in rows if row["level"] is None} == {True}
    assert all(row["status"] == "accepted" for row in rows)
