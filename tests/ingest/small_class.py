"""A small invented class for the tests: its outcomes, one true table of scores and one of levels, and files that say the same."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from ingest.checking import Asked, Checked, check_bytes
from ingest.home import Home
from tests.ingest.small_lab import every_row, small_lab

HEAD = (
    "outcome,statement,aliases,instrument,items,target_score_percent,"
    "levels,level_words,target_level,target_share_percent,from_semester,note"
)
OUTCOMES = f"""{HEAD}
wp_reading,Reads the gauge at the endpoint,Gauge reading,wp_quiz,Q1;Q2,70,4,Beginning;Developing;Proficient;Exemplary,3,75,,
fair_contrast,Compares like with like,,wp_quiz,Q3,70,4,Beginning;Developing;Proficient;Exemplary,3,75,,
field_notes,Keeps field notes,,,,,4,,3,80,,
"""
STUDENTS = ("Ola Quist", "Rhun Pell", "Zabreth Imm", "Vorrin Dask", "Nell Ythane")
WORDS = ("quist", "pell", "zabreth", "imm", "vorrin", "dask", "ythane", "rhun", "nell")
"""Words of the students' names, in none of which the lab has a word of its own."""
ITEMS = ("Q1", "Q2", "Q3")
MAXIMA = {"Q1": 2.0, "Q2": 2.0, "Q3": 4.0}
# Student by phase to the scores of the three items; None where the student was not there.
SCORES: Mapping[str, Mapping[str, tuple[float, ...] | None]] = {
    "Ola Quist": {"pre": (1, 0, 2), "post": (2, 2, 3.5)},
    "Rhun Pell": {"pre": (0, 1, 1), "post": (1, 2, 4)},
    "Zabreth Imm": {"pre": (2, 1, 3), "post": None},
    "Vorrin Dask": {"pre": None, "post": (2, 1, 2)},
    "Nell Ythane": {"pre": (1, 1, 0.5), "post": (1, 1, 3)},
}
LEVELS: Mapping[str, Mapping[str, int | None]] = {
    "Ola Quist": {"wp_reading": 3, "fair_contrast": 2},
    "Rhun Pell": {"wp_reading": 4, "fair_contrast": 3},
    "Zabreth Imm": {"wp_reading": 1, "fair_contrast": None},
    "Vorrin Dask": {"wp_reading": 2, "fair_contrast": 4},
    "Nell Ythane": {"wp_reading": 3, "fair_contrast": 3},
}
Row = Sequence[object]


def small_class(root: Path) -> Home:
    """The small lab with outcomes."""
    home = small_lab(root)
    (home.registers / "outcomes.csv").write_text(OUTCOMES, "utf-8")
    return home


def csv_of(rows: Sequence[Row]) -> bytes:
    """Rows as comma-separated text."""
    import csv

    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows([["" if cell is None else cell for cell in row] for row in rows])
    return text.getvalue().encode()


def xlsx_of(**sheets: Sequence[Row]) -> bytes:
    """Sheets of a workbook by name; `_` in a name is a blank."""
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        page = book.create_sheet(name.replace("_", " "))
        for row in rows:
            page.append(list(row))
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def check(home: Home, data: bytes, name: str = "wp_quiz pre 2024-fall.csv", *answers: str, kind: str | None = None) -> Checked:
    """Check a file's bytes with answers as on the command line."""
    return check_bytes(home, data, name, Asked(tuple(answers), kind))


def scores_of(checked: Checked) -> dict[tuple[Any, ...], Any]:
    """Each loaded score by student's number, phase and item (None: total): the score and its maximum; students in the order of the file."""
    assert not checked.receipt.is_refused, checked.receipt.as_text()
    rows = [row for row in every_row(checked) if row["status"] != "set_aside"]
    return {(row["student"], row["phase"], row["item"]): (row["score"], row["max_score"]) for row in rows}


def wide(phase: str, header: Row | None = None) -> list[Row]:
    """One row a student with a column per item and the total."""
    rows: list[Row] = [header or ["Student", *(f"{item} ({MAXIMA[item]:g} pts)" for item in ITEMS), "Total"]]
    for name in STUDENTS:
        scores = SCORES[name][phase]
        rows.append([name, *(scores or [None] * 3), sum(scores) if scores else None])
    return rows
