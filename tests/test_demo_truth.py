"""The demo's files against the truth that made them: every reading right, in its place, or set aside for a reason that is true."""

from __future__ import annotations

import shutil
from collections import Counter
from statistics import fmean
from typing import Any

import pytest

from demo_years.learning_files import learning_truth
from demo_years.make import HERE, LEARNING, truth
from demo_years.vocabulary import register_rows
from ingest.cells.people import student_pseudonym
from ingest.checking import Checked, check_path
from ingest.files.containers import letter
from ingest.home import Home, init_home
from ingest.learning.people import one_name

TRUTH: dict[str, list[dict[str, Any]]] = {}
for one in truth():
    TRUTH.setdefault(str(one["file"]), []).append(dict(one))


@pytest.fixture(scope="module")
def demo_registers(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """A home with the demo's registers and nothing loaded."""
    home = init_home(tmp_path_factory.mktemp("truth") / "home", code="thessowin", timezone="America/Chicago")
    for register in (HERE / "registers").glob("*.csv"):
        shutil.copyfile(register, home.registers / register.name)
    return home


def rows_of(checked: Checked) -> dict[tuple[str | None, int], dict[str, Any]]:
    """The checked rows by sheet and row of the file."""
    columns = checked.columns
    return {
        (columns["source_sheet"][index], columns["source_row"][index]): {name: values[index] for name, values in columns.items()}
        for index in range(len(columns["source_row"]))
    }


def differences(real: dict[str, Any], row: dict[str, Any]) -> dict[str, tuple[Any, Any]]:
    """What of a reading differs between the truth and the checked row, by column."""
    expected = {
        "semester": real["semester"],
        "section": real["section"],
        "date": real["date"],
        "site": real["site"],
        "taxon": real["taxon"],
        "plant": real["plant"],
        "leaf": real["leaf"],
        "sampling_window": real["window"],
        "endpoint": real["endpoint"],
        "unit_as_written": real["unit"],
    }
    wrong = {name: (value, row[name]) for name, value in expected.items() if row[name] != value}
    if (real["leaf_state"] == "senesced") != (row["leaf_state"] == "senesced"):
        wrong["leaf_state"] = (real["leaf_state"], row["leaf_state"])
    if real["balance_pressure_mpa"] is None or row["balance_pressure_mpa"] is None:
        wrong |= {} if real["balance_pressure_mpa"] == row["balance_pressure_mpa"] else {"pressure": (real, row)}
    elif abs(real["balance_pressure_mpa"] - row["balance_pressure_mpa"]) > 1e-9:
        wrong["pressure"] = (real["balance_pressure_mpa"], row["balance_pressure_mpa"])
    return wrong


@pytest.mark.parametrize("file", sorted(TRUTH))
def test_every_reading_of_a_demo_file_is_what_the_class_read(file: str, demo_registers: Home) -> None:
    checked = check_path(demo_registers, HERE / "files" / file)
    assert not checked.receipt.is_refused, checked.receipt.as_text()
    rows = rows_of(checked)
    # A sheet's name is kept without persons, so sheets are told by their order, which is the truth's too.
    sheets = dict(zip(dict.fromkeys(real["sheet"] for real in TRUTH[file]), dict.fromkeys(sheet for sheet, _ in rows), strict=False))
    wrong, aside = [], 0
    for real in TRUTH[file]:
        row = rows[sheets[real["sheet"]], real["row"]]
        if row["status"] == "set_aside":
            aside += 1
            continue
        if found := differences(real, row):
            wrong.append((real["row"], found))
    assert wrong == []
    assert aside <= 0.1 * len(TRUTH[file])
    assert checked.receipt.rows["in_file"] == sum(checked.receipt.rows[name] for name in ("accepted", "flagged", "set_aside"))


LEARNED: dict[str, list[dict[str, Any]]] = {}
for one in learning_truth():
    LEARNED.setdefault(str(one["file"]), []).append(dict(one))
NAMED_BY_CODE = ("wp_concepts 2017 items.csv", "wp_concepts 2021 percent.ods")


@pytest.mark.parametrize("file", sorted(LEARNED))
def test_every_score_and_level_of_a_demo_file_is_what_the_class_wrote(file: str, demo_registers: Home) -> None:
    checked = check_path(demo_registers, HERE / "files" / LEARNING / file)
    assert not checked.receipt.is_refused, checked.receipt.as_text()
    columns = checked.columns
    rows = [{name: values[index] for name, values in columns.items()} for index in range(len(columns["row_number"]))]
    cells = {(row["source_sheet"], row["source_cell"]): row for row in rows if row["source_cell"]}
    sheets = dict(
        zip(dict.fromkeys(real["sheet"] for real in LEARNED[file]), dict.fromkeys(row["source_sheet"] for row in rows), strict=True)
    )
    wrong, aside = [], 0
    for real in LEARNED[file]:
        row = cells[sheets[real["sheet"]], f"{letter(real['column'])}{real['row']}"]
        aside += row["status"] == "set_aside"
        student = real["code"] if file in NAMED_BY_CODE else real["student"]
        expected = {
            **{name: real[name] for name in ("semester", "section", "phase", "item", "outcome", "score", "level") if name in real},
            "student": student_pseudonym(demo_registers.key(), "thessowin", one_name(student)),
        }
        if real.get("score") is not None:
            expected["max_score"] = real["max_score"]
        found = {name: (value, row[name]) for name, value in expected.items() if row[name] != pytest.approx(value)}
        wrong.extend([(real["row"], real["column"], found)] if found and row["status"] != "set_aside" else [])
    assert wrong == []
    assert aside <= 1
    assert {row["instrument"] for row in rows if row.get("phase")} <= {"wp_concepts"}


def test_the_demo_learns_more_from_year_to_year_and_leaves_its_gaps() -> None:
    totals: dict[tuple[int, str], list[float]] = {}
    for real in learning_truth():
        if "phase" in real and real["score"] is not None:
            totals.setdefault((int(real["semester"][:4]), real["phase"]), []).append(real["score"] / real["max_score"])
    before, after = (
        {year: fmean(totals[year, phase]) for year in range(2016, 2026) if (year, phase) in totals} for phase in ("pre", "post")
    )
    gains = {year: (after[year] - before[year]) / (1 - before[year]) for year in after}
    assert 2020 in before
    assert 2020 not in after
    assert fmean(gains[year] for year in range(2021, 2026)) > fmean(gains[year] for year in range(2016, 2020)) + 0.1
    assert all(0.0 < gain < 0.8 for gain in gains.values())
    sizes = Counter(real["semester"] for real in {(real["semester"], real["student"]): real for real in learning_truth()}.values())
    assert all(14 <= size <= 34 for size in sizes.values())
    assert len(sizes) == 19
    assessed = {real["outcome"] for real in learning_truth() if "outcome" in real} | {
        row["outcome"] for row in register_rows("outcomes") if row["items"]
    }
    assert {row["outcome"] for row in register_rows("outcomes")} - assessed == {"soil_depth"}
