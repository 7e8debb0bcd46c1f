"""The files of scores and levels as they came in, each year in another shape, and what a careful reader makes of every cell."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from demo_years.learners import ITEMS, OUTCOMES, POINTS, TOTAL_POINTS, Learner, cohort
from demo_years.shapes import Cell, Sheet, Truth, section_words

PHASES = ("pre", "post")
ABSENT = "ABS"


@dataclass
class LearningFile:
    """One file: its sheets, and the truth of each of its cells that hold a score or a level."""

    file: str
    sheets: list[Sheet] = field(default_factory=list)
    truth: list[Truth] = field(default_factory=list)
    encoding: str = "utf-8"


class _Page:
    """A sheet in the making, and the file that it belongs to."""

    def __init__(self, made: LearningFile, name: str = "Sheet1") -> None:
        self.made, self.rows = made, list[list[Cell]]()
        self.name = name
        made.sheets.append(Sheet(name, self.rows))

    def add(self, learner: Learner, cells: Iterable[Cell], scored: Sequence[tuple[Cell, dict[str, Any]]]) -> None:
        """A student's row: cells in front, then each score or level with its truth."""
        row: list[Cell] = list(cells)
        for cell, real in scored:
            row.append(cell)
            place = {"file": self.made.file, "sheet": self.name, "row": len(self.rows) + 1, "column": len(row)}
            who = {"student": learner.name, "code": learner.code, "semester": learner.semester, "section": learner.section}
            self.made.truth.append({**place, **who, **real, "written": cell})
        self.rows.append(row)


def _real(phase: str, item: str | None, score: float | None, points: float) -> dict[str, Any]:
    return {"phase": phase, "item": item, "score": score, "max_score": points if score is not None else None}


def _items(
    one: Learner, phase: str, absent: Cell = None, shown: Callable[[int], Cell] = lambda mark: mark
) -> list[tuple[Cell, dict[str, Any]]]:
    marks = one.scores[phase] or [None] * len(ITEMS)
    blank = absent if one.scores[phase] is None else None
    pairs = zip(ITEMS, marks, strict=True)
    return [(blank if mark is None else shown(mark), _real(phase, item, mark, POINTS)) for item, mark in pairs]


def _total(one: Learner, phase: str, absent: Cell = None, of: float = TOTAL_POINTS) -> tuple[Cell, dict[str, Any]]:
    total = one.total(phase)
    score = None if total is None else total / TOTAL_POINTS * of
    return (absent if score is None else int(score) if score == int(score) else score, _real(phase, None, score, of))


def _semesters(year: int) -> list[str]:
    return [f"{year}-spring", f"{year}-fall"]


def _label(semester: str) -> str:
    year, season = semester.split("-")
    return f"{season.capitalize()} {year}"


def _sheets_by_phase() -> LearningFile:
    """A sheet for each semester and test, points in the headers, an average below."""
    made = LearningFile("wp_concepts 2016.xlsx")
    for semester in _semesters(2016):
        for phase in PHASES:
            page = _Page(made, f"{_label(semester)} {phase}-test")
            page.rows += [["Water potential concept test"], []]
            page.rows.append(["Student", "Section", *(f"{item} ({POINTS} pts)" for item in ITEMS), "Total"])
            for one in cohort(semester):
                page.add(one, [one.name, section_words(one.section)], [*_items(one, phase, ABSENT), _total(one, phase, ABSENT)])
            page.rows += [[], ["Average", None, *[None] * len(ITEMS), 10.5]]
    return made


def _long() -> LearningFile:
    """A row for each student and item, as a survey tool writes it; one row stands there twice."""
    made = LearningFile("wp_concepts 2017 items.csv")
    page = _Page(made)
    page.rows.append(["Semester", "Section", "Student code", "Phase", "Question", "Max points", "Points"])
    for semester in _semesters(2017):
        for one in cohort(semester):
            for phase in PHASES:
                for cell, real in _items(one, phase, "absent"):
                    page.add(
                        one,
                        [_label(semester), one.section.upper(), one.code, phase, f"Question {real['item'][1:]}", POINTS],
                        [(cell, real)],
                    )
    page.rows.append(list(page.rows[-1]))
    return made


def _grouped() -> LearningFile:
    """Pre and post over their items; one total is not the sum, one score is typed twice over."""
    made = LearningFile("WP concepts 2018 results.xlsx")
    for semester in _semesters(2018):
        page = _Page(made, _label(semester))
        page.rows.append([f"wp_concepts, {_label(semester)}"])
        page.rows.append([None, None, "Pre", *[None] * len(ITEMS), "Post"])
        page.rows.append(["Name", "Lab", *[*ITEMS, "Total"] * 2])
        page.rows.append(["Points possible", None, *[*[POINTS] * len(ITEMS), TOTAL_POINTS] * 2])
        for one in cohort(semester):
            scored = [pair for phase in PHASES for pair in (*_items(one, phase, "-"), _total(one, phase, "-"))]
            page.add(one, [one.last_first, section_words(one.section)], scored)
    first = made.sheets[0].rows
    at = next(number for number, row in enumerate(first[4:], 4) if isinstance(row[2], int))
    first[at][2] = 22  # 2, typed twice
    return made


def _side_by_side() -> LearningFile:
    """Totals alone, before and after beside each other."""
    made = LearningFile("2019 wp_concepts.csv")
    page = _Page(made)
    page.rows += [["Concept test, totals out of 20 points"], [], ["Term", "Section", "Last name", "First name", "Pre (20)", "Post (20)"]]
    for semester in _semesters(2019):
        for one in cohort(semester):
            names = one.name.split()[::-1]
            page.add(one, [_label(semester), section_words(one.section), *names], [_total(one, phase, "") for phase in PHASES])
    return made


def _platform() -> LearningFile:
    """A learning platform's export: addresses, a row of points, and only the test before the unit."""
    made = LearningFile("2020 fall online.csv")
    page = _Page(made)
    page.rows.append(["Student", "Email", "Section", "Pre: wp_concepts (48213)", "Final Grade"])
    page.rows.append(["    Points Possible", None, None, TOTAL_POINTS, "(read only)"])
    for one in cohort("2020-fall"):
        first, last = one.name.lower().split()
        page.add(one, [one.last_first, f"{first[0]}.{last}@ellorand.example", section_words(one.section)], [_total(one, "pre")])
        page.rows[-1].append("A")
    return made


def _percent() -> LearningFile:
    """Percent, by codes."""
    made = LearningFile("wp_concepts 2021 percent.ods")
    for semester in _semesters(2021):
        page = _Page(made, _label(semester))
        page.rows.append(["Code", "Section", "Pre %", "Post %"])
        for one in cohort(semester):
            page.add(one, [one.code, one.section.upper()], [_total(one, phase, "excused", 100.0) for phase in PHASES])
    return made


def _of_maximum() -> LearningFile:
    """Scores as 14/20 with a decimal comma here and there, below each other; sections as headings."""
    made = LearningFile("wp_concepts 2022.xlsx")
    page = _Page(made)
    for semester in _semesters(2022):
        for phase in PHASES:
            page.rows += [[f"{_label(semester)}, {phase}-test"], ["Name", "Score"]]
            before = ""
            for one in cohort(semester):
                if one.section != before:
                    page.rows.append([f"Section {one.section.upper()}"])
                    before = one.section
                total = one.total(phase)
                real = _real(phase, None, total, TOTAL_POINTS)
                page.add(one, [one.name], [("–" if total is None else f"{total},0/{TOTAL_POINTS}", real)])
            page.rows.append([])
    return made


def _wide(year: int, file: str) -> LearningFile:
    """A column for each item and a column for the test, as a form's results."""
    made = LearningFile(file)
    page = _Page(made)
    page.rows.append(["Semester", "Lab section", "Test", "Your name", *(f"{item} [{POINTS}]" for item in ITEMS)])
    for semester in _semesters(year):
        for phase in PHASES:
            for one in cohort(semester):
                page.add(one, [_label(semester), one.section.upper(), f"{phase}-test", one.name], _items(one, phase))
    return made


WORDS = ("", "Beginning", "Developing", "Proficient", "Exemplary")


def _rubric(file: str, years: Sequence[int], headers: Sequence[str], shown: Callable[[int], Cell], missing: Cell) -> LearningFile:
    """A column for each outcome, a sheet for each semester."""
    made = LearningFile(file)
    for semester in (semester for year in years for semester in _semesters(year) if semester != "2020-spring"):
        page = _Page(made, _label(semester))
        page.rows.append(["Student", "Section", *headers])
        for one in cohort(semester):
            cells = []
            for code in OUTCOMES[: len(headers)]:
                level = one.levels[code]
                cells.append((missing if level is None else shown(level), {"outcome": code, "level": level}))
            page.add(one, [one.name, section_words(one.section)], cells)
    return made


@cache
def learning_files() -> tuple[LearningFile, ...]:
    """All files of scores and levels, in the order in which they came in."""
    statements = ("Reads the balance pressure of a leaf at the first sign of water", "Units and sign", "fair_contrast", "Field notebook")
    return (
        _sheets_by_phase(),
        _long(),
        _grouped(),
        _side_by_side(),
        _platform(),
        _percent(),
        _of_maximum(),
        _wide(2023, "wp_concepts 2023.csv"),
        _wide(2024, "wp_concepts 2024.xlsx"),
        _wide(2025, "wp_concepts 2025.ods"),
        _rubric("lab rubric 2018-2019.xlsx", (2018, 2019), ("wp_reading", "unit_sign"), lambda level: level, None),
        _rubric("lab rubric 2021-2022.xlsx", (2021, 2022), OUTCOMES[:3], lambda level: f"{level} – {WORDS[level].lower()}", "not scored"),
        _rubric("lab rubric 2023-2025.ods", (2023, 2024, 2025), statements, lambda level: WORDS[level], "absent"),
    )


def learning_truth() -> list[Truth]:
    """One mapping per cell that holds a score or a level, or could: file, sheet, row and column (from 1), student, code, semester, section.

    Of scores: phase, item (None: total), score and max_score in points or percent as written; of levels: outcome and level.
    """
    return [row for made in learning_files() for row in made.truth]
