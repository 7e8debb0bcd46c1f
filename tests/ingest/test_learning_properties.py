"""One true class says the same, or asks, in any order of rows and columns, any shape and any words; any cells are accounted for."""

from __future__ import annotations

import random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ingest import checking
from ingest.cells.people import student_pseudonym
from ingest.files.containers import Container, Sheet
from ingest.home import Home
from ingest.learning.people import one_name
from tests.ingest.small_class import ITEMS, MAXIMA, SCORES, STUDENTS, check, scores_of, wide
from tests.ingest.small_lab import every_row

pytestmark = pytest.mark.usefixtures("without_suite")
CASES = 150
Grid = list[list[Any]]


def a_name(chance: random.Random, style: str, name: str) -> str:
    first, last = name.split()
    spelled = {"first last": name, "last, first": f"{last}, {first}", "capitals": name.upper(), "spaces": f"  {first}  {last} "}
    return spelled[style if style != "any" else chance.choice(list(spelled))]


def a_score(chance: random.Random, mark: float | None, maximum: float) -> object:
    if mark is None:
        return chance.choice([None, "", "-", "n/a", "absent", "ABS", "excused"])
    return chance.choice([mark, f"{mark:g}", f"{mark:g}/{maximum:g}", f"{mark:g} / {maximum:g}", f"{mark / maximum:.2%}"])


def spelled(seed: int) -> dict[str, Grid]:
    """The sheets of a file that says the class's scores of both tests, items alone, in one of many ways."""
    chance = random.Random(seed)  # noqa: S311  # a seed makes the same case every time; nothing is secret
    style = chance.choice(["first last", "last, first", "capitals", "spaces", "any"])
    student = chance.choice(["Student", "Name", "Full name", "student name"])
    item_head = chance.choice(["Q{n} ({p:g} pts)", "Question {n} [{p:g}]", "Item {n} /{p:g}", "q{n} (out of {p:g})", "{n}. ({p:g} points)"])
    heads = {item: item_head.format(n=number, p=MAXIMA[item]) for number, item in enumerate(ITEMS, 1)}
    rows = [(name, phase, SCORES[name][phase] or (None,) * 3) for phase in ("pre", "post") for name in STUDENTS]
    chance.shuffle(rows)
    shape = chance.choice(["long", "wide", "sheets", "beside", "groups"])
    if shape == "long":
        words = {"pre": chance.choice(["pre", "Pretest", "before"]), "post": chance.choice(["post", "Post-test", "after"])}
        grid: Grid = [
            [student, "Phase", "Item", "Score", "Out of"],
            *(
                [
                    a_name(chance, style, name),
                    words[phase],
                    item.replace("Q", "Question "),
                    a_score(chance, mark, MAXIMA[item]),
                    MAXIMA[item],
                ]
                for name, phase, marks in rows
                for item, mark in zip(ITEMS, marks, strict=True)
            ),
        ]
        return {"Sheet1": _turned(chance, grid)}
    scored = {
        (name, phase): [a_score(chance, mark, MAXIMA[item]) for item, mark in zip(ITEMS, marks, strict=True)] for name, phase, marks in rows
    }
    if shape == "wide":
        grid = [
            [student, "Phase", *heads.values()],
            *([a_name(chance, style, name), phase, *scored[name, phase]] for name, phase, _ in rows),
        ]
        return {"Sheet1": _turned(chance, grid)}
    if shape == "sheets":
        made = {}
        for phase in chance.sample(["pre", "post"], 2):
            of_phase = [[a_name(chance, style, name), *scored[name, phase]] for name, of, _ in rows if of == phase]
            made[f"{phase}-test"] = _turned(chance, [[student, *heads.values()], *of_phase])
        return made
    names = chance.sample(STUDENTS, len(STUDENTS))
    both = [[a_name(chance, style, name), *scored[name, "pre"], *scored[name, "post"]] for name in names]
    if shape == "beside":
        return {"Sheet1": _turned(chance, [[student, *(f"{phase} {head}" for phase in ("Pre", "Post") for head in heads.values())], *both])}
    return {"Sheet1": [["", "Pre", "", "", "Post", "", ""], [student, *heads.values(), *heads.values()], *both]}


def _turned(chance: random.Random, grid: Grid) -> Grid:
    """The same table with its columns in another order, below a title or not."""
    order = chance.sample(range(len(grid[0])), len(grid[0]))
    title: Grid = chance.choice([[], [["Results of the class"], []]])
    return [*title, *([row[place] for place in order] for row in grid)]


def test_one_true_class_says_the_same_however_it_is_written_or_asks(class_lab: Home, monkeypatch: pytest.MonkeyPatch) -> None:
    def who(name: str) -> str:
        return student_pseudonym(class_lab.key(), "small", one_name(name))

    truth = {
        (who(name), phase, item): mark
        for name in STUDENTS
        for phase in ("pre", "post")
        for item, mark in zip(ITEMS, SCORES[name][phase] or (None,) * 3, strict=True)
    }
    same, wrong = 0, []
    for seed in range(CASES):
        sheets = spelled(seed)
        container = Container("xlsx", [Sheet(name, number, grid) for number, (name, grid) in enumerate(sheets.items(), 1)])
        monkeypatch.setattr(checking, "read_container", lambda _data, _name, container=container: container)
        found = check(class_lab, str(seed).encode(), "wp_quiz 2024-fall.xlsx")
        if found.receipt.is_refused:
            continue
        scores = {key: None if score is None else round(score, 2) for key, (score, _) in scores_of(found).items()}
        maxima = {key[2]: maximum for key, (score, maximum) in scores_of(found).items() if score is not None}
        same += scores == truth and maxima == MAXIMA
        if scores != truth or maxima != MAXIMA:
            wrong.append(f"seed {seed}: {sheets}: {sorted(set(scores.items()) ^ set(truth.items()), key=repr)[:3]} {maxima}")
    assert wrong == [], "\n".join(wrong[:3])
    assert same > 0.9 * CASES  # a question is allowed, and seldom needed


cells = st.one_of(
    st.none(), st.integers(-3, 30), st.floats(allow_nan=True, allow_infinity=True), st.text(max_size=8), st.booleans(), st.dates(),
    st.sampled_from(["8/10", "80 %", "7,5", "abs", "-", "1O", "3 – good", "Total", "Mean", "Section A", "Pre", "Q1", "Max", "#DIV/0!"]),
)  # fmt: skip
HEADERS = "Student|Name|ID|Q1 (2)|Q2|Total|Total (%)|Pre|Post (20)|Section|Item|Score|Max|Phase|wp_reading|Level|Outcome|x"
headers = st.lists(st.sampled_from(HEADERS.split("|")), min_size=2, max_size=6)


@settings(max_examples=120, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(headers, st.lists(st.lists(cells, max_size=7), max_size=8), st.sampled_from(["assessment", "rubric"]))
def test_any_cells_are_accounted_for_and_none_becomes_zero(
    class_lab: Home, monkeypatch: pytest.MonkeyPatch, head: list[str], rows: Grid, kind: str
) -> None:
    container = Container("xlsx", [Sheet("Sheet1", 1, [list(head), *rows])])
    monkeypatch.setattr(checking, "read_container", lambda _data, _name: container)
    checked = check(class_lab, repr((head, rows, kind)).encode(), "wp_quiz pre 2024-fall.xlsx", kind=kind)
    counts, found = checked.receipt.rows, every_row(checked)
    assert counts["in_file"] == len(found) == counts["accepted"] + counts["flagged"] + counts["set_aside"]
    value = "score" if kind == "assessment" else "level"
    for row in found:
        assert row[value] is None or (row[value] >= 0 and row[value] < float("inf") and row[f"{value}_as_written"])
        assert row[value] != 0 or any(sign in row[f"{value}_as_written"] for sign in "0oO")
        if row["status"] != "set_aside" and not checked.receipt.is_refused:
            assert row["student"]
            assert row["semester"]
    assert checked.receipt.as_text()


def test_the_shapes_of_the_property_are_all_there() -> None:
    assert len({len(spelled(seed)) for seed in range(20)}) == 2
    assert wide("pre")[0][0] == "Student"
