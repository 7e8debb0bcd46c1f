"""What a file leaves in doubt is asked once: on a terminal, in the recipe, or on the command line; never where nobody can answer."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from ingest.doubts.answers import TO_FILL_IN, split_answer
from ingest.doubts.recipes import save_recipe
from ingest.home import Home
from ingest.received.ledger import Received
from tautleaf import app
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, check, csv_bytes, loaded_rows, refusals, table_of, tree_hash
from tests.ingest.terminal import typed
from tests.ingest.workbooks import xlsx_bytes

pytestmark = pytest.mark.usefixtures("opened_here")

NO_UNIT = (*HEADERS[:8], "Pressure", "Remarks")
ASKS = "Number or word: "
REMEMBER = "[y/N]: "


def doubtful(folder: Path) -> Path:
    """A file with a question about the unit, one about the dates and one about a site."""
    dates = ["9/10/2024", "10/9/2024"] * 4
    rows = [(date, *row[1:3], "meadow" if row[3] == "ridge" else row[3], *row[4:]) for date, row in zip(dates, TRUE_ROWS, strict=False)]
    path = folder / "class.csv"
    path.write_bytes(csv_bytes(rows, NO_UNIT))
    return path


def test_a_person_answers_and_goes_on(home: Home, tmp_path: Path) -> None:
    """Several questions in a row, wrong answers asked again, a number, a word; then the command that loads the file so."""
    path = doubtful(tmp_path)
    before = tree_hash(home.root)
    keys = [(ASKS, "7\n"), (ASKS, "furlong\n"), (ASKS, "bar\n"), (ASKS, "2\n"), (ASKS, "ridge\n"), (REMEMBER, "y\n")]
    shown, code = typed(["check", str(path), "--home", str(home.root)], keys)
    assert code == 0, shown
    assert "'7' is none of these: type a number from 1 to 6" in shown
    assert "class.csv: can be loaded" in shown
    assert "'meadow' will be remembered in sites.csv as another spelling of ridge when the file is loaded" in shown
    assert "To load it with these answers: tautleaf load" in shown
    assert "--answer reading.unit=bar --answer dates.order=month-first --answer alias.site.meadow=ridge" in shown
    assert tree_hash(home.root) == before


def test_what_is_left_open_stays_open_and_ctrl_c_stops(home: Home, tmp_path: Path) -> None:
    path = doubtful(tmp_path)
    before = tree_hash(home.root)
    words = ["check", str(path), "--home", str(home.root)]
    shown, code = typed(words, [(ASKS, "bar\n"), (ASKS, "\n"), (ASKS, "\x04")])
    assert code == 1
    assert "class.csv: refused; to load it, say whether the day or the month comes first" in shown
    assert "No unit is written" not in shown.rpartition("refused;")[2]
    shown, code = typed(words, [(ASKS, "\x03")])
    assert code == 130
    assert "Traceback" not in shown
    assert tree_hash(home.root) == before


def test_load_asks_remembers_and_shows_what_a_correction_changes(home: Home, tmp_path: Path) -> None:
    path = doubtful(tmp_path)
    words = ["load", str(path), "--home", str(home.root)]
    shown, code = typed(words, [(ASKS, "\x03")])
    assert (code, Received(home).uploads()) == (130, [])
    assert "Traceback" not in shown
    keys = [(ASKS, "bar\n"), (ASKS, "month-first\n"), (ASKS, "ridge\n")]
    shown, code = typed(words, [*keys, (REMEMBER, "y\n")])
    assert code == 0, shown
    assert "'meadow' is remembered in sites.csv" in shown
    assert "ridge,Ridge top,upland,Up;Hilltop;meadow," in (home.registers / "sites.csv").read_text("utf-8")
    path.write_bytes(path.read_bytes().replace(b"18.5", b"18.6"))  # the site is known now, unit and order are this file's own doubts
    shown, code = typed(words, [*keys[:2], ("[y/N]: ", "n\n")])
    assert code == 1
    assert "changed: I2 (2024-09-10, ridge, ange, plant 1, leaf 1): 18.5 → 18.6" in shown
    assert "--replaces" in shown
    shown, code = typed(words, [*keys[:2], ("[y/N]: ", "y\n")])
    assert (code, [upload.status for upload in Received(home).uploads()]) == (0, ["replaced", "active"])


def test_nothing_is_asked_without_a_terminal_or_in_json(home: Home, tmp_path: Path) -> None:
    path = doubtful(tmp_path)
    result = CliRunner().invoke(app, ["check", str(path), "--home", str(home.root)], input="bar\n")
    assert (result.exit_code, ASKS in result.stdout) == (1, False)
    shown, code = typed(["check", str(path), "--home", str(home.root), "--json"], [])
    questions = json.loads(shown)["receipts"][0]["questions"]
    assert (code, [question["code"] for question in questions]) == (1, ["unit_missing", "date_order_unclear", "site_unknown"])


SHEETS_WITHOUT_UNIT = {name: [list(NO_UNIT), *map(list, TRUE_ROWS)] for name in ("Tuesday", "Thursday")}
ONE_OF_TWO = {"Tuesday": [list(HEADERS), *map(list, TRUE_ROWS[:3])], "Lab v1.2": [list(NO_UNIT), *map(list, TRUE_ROWS[3:])]}


def test_one_answer_is_asked_for_once(lab: Home) -> None:
    (question,) = check(lab, xlsx_bytes(SHEETS_WITHOUT_UNIT), "class.xlsx").receipt.open_questions()
    assert (question.count, question.keys, len(question.places)) == (14, ("reading.unit",), 2)
    assert question.text().startswith("sheet Tuesday, row 1 and sheet Thursday, row 1, 14 rows: No unit is written")
    rows = table_of(Site=["meadow"] * 36, Species=["ange"] * 35 + ["tall thistle"])
    site, taxon = check(lab, rows).receipt.open_questions()
    assert (site.count, site.text()) == (36, "36 rows: No site is called meadow. Which site is it, or none of them?")
    assert (taxon.count, taxon.answers[0]) == (1, "alias.taxon.tall thistle=ange")


def test_an_answer_for_one_sheet_leaves_the_other_in_its_own_unit(lab: Home) -> None:
    data = xlsx_bytes(ONE_OF_TWO)
    (question,) = check(lab, data, "class.xlsx").receipt.open_questions()
    assert question.keys == ("only.Lab v1.2.reading.unit",)
    rows = loaded_rows(check(lab, data, "class.xlsx", "only.Lab v1.2.reading.unit=psi"))
    assert {(row["source_sheet"], row["unit_as_written"]) for row in rows} == {("Tuesday", "bar"), ("Lab v1.2", "psi")}


# What a file holds, and the answer to each question that it raises: every code that an answer settles.
ANSWERED: list[tuple[str, bytes, dict[str, str]]] = [
    ("column_missing", csv_bytes([row[1:] for row in TRUE_ROWS], HEADERS[1:]), {"constants.date": "2024-09-17"}),
    ("column_missing", csv_bytes(TRUE_ROWS, ("Wann", *HEADERS[1:])), {"columns.date": "column A"}),
    (
        "column_missing",
        csv_bytes([(*row, row[3]) for row in TRUE_ROWS], (*HEADERS[:3], "Wo", *HEADERS[4:], "Wohin")),
        {"columns.site": "column D"},
    ),
    ("column_missing", csv_bytes([(*row[:3], *row[4:]) for row in TRUE_ROWS], HEADERS[:3] + HEADERS[4:]), {"constants.site": "ridge"}),
    ("column_unclear", csv_bytes([(*row, row[0]) for row in TRUE_ROWS], (*HEADERS, "Date")), {"columns.date": "column K"}),
    ("unit_missing", csv_bytes(TRUE_ROWS, NO_UNIT), {"reading.unit": "bar"}),
    ("unit_missing", xlsx_bytes(ONE_OF_TWO), {"only.Lab v1.2.reading.unit": "bar"}),
    ("unit_unclear", csv_bytes(TRUE_ROWS, (*HEADERS[:8], "psi", "Remarks")), {"reading.unit": "bar"}),
    ("unit_doubtful", table_of(**{"Pressure (bar)": [f"{120 + n}" for n in range(12)]}), {"reading.unit": "psi"}),
    ("quantity_unclear", table_of(**{"Pressure (bar)": ["-18", "-19", "20"]}), {"reading.quantity": "potential"}),
    ("date_order_unclear", table_of(Date=["9/10/2024", "10/9/2024"]), {"dates.order": "day-first"}),
    ("year_missing", table_of(Date=["Sep 17", "Sep 19"]), {"constants.semester": "2024-fall"}),
    ("clock_unclear", table_of(Time=["1:05", "6:10"]), {"clock.hours": "afternoon"}),
    (
        "window_missing",
        csv_bytes([(row[0], *row[2:]) for row in TRUE_ROWS], (HEADERS[0], *HEADERS[2:])),
        {"constants.sampling_window": "midday"},
    ),
    (
        "semester_unknown",
        csv_bytes([(*row, "Fall 2031") for row in TRUE_ROWS], (*HEADERS, "Semester")),
        {"constants.semester": "2024-fall"},
    ),
    (
        "section_missing_everywhere",
        csv_bytes([row[:2] + row[3:] for row in TRUE_ROWS], HEADERS[:2] + HEADERS[3:]),
        {"constants.section": "a"},
    ),
    ("section_unknown", table_of(Section=["Tues", "Tues"]), {"alias.section.Tues": "a"}),
    ("site_unknown", table_of(Site=["far creek = wet", "ridge"]), {"alias.site.far creek = wet": "ridge"}),
    ("taxon_unknown", table_of(Species=["tall thistle", "ange"]), {"names.taxon.tall thistle": "set aside"}),
    (
        "label_unknown",
        csv_bytes(
            [("2024-09-17", "13:05", "a", "ange", str(plant), "18", "9", "12") for plant in (1, 2, 3)],
            ("Date", "Time", "Section", "Species", "Plant", "Ridge top (bar)", "Long swale (bar)", "Far creek (bar)"),
        ),
        {"names.site.far creek": "set aside"},
    ),
]


@pytest.mark.parametrize(("code", "data", "answers"), ANSWERED, ids=[f"{case[0]} {next(iter(case[2]))}" for case in ANSWERED])
def test_a_recipe_saved_with_its_open_questions_loads_the_file_once_they_are_answered(
    code: str, data: bytes, answers: dict[str, str], home: Home
) -> None:
    """Every kind of question: asked with that answer among its own, left blank in the recipe, filled in, and loaded alike."""
    checked = check(home, data)
    receipt = checked.receipt
    questions = receipt.open_questions()
    assert code in [question.code for question in questions]
    offered = dict.fromkeys(answer for question in questions for answer in question.answers)
    free = [split_answer(answer)[0] for answer in offered if split_answer(answer)[1] in TO_FILL_IN]
    assert all(f"{key}={value}" in offered or key in free for key, value in answers.items()), offered
    path = save_recipe(home.recipes, checked.recipe, questions, receipt.sha256, receipt.file)
    assert refusals(check(home, data)) == refusals(checked)  # blank lines are no answers
    text = path.read_text("utf-8")
    for key, value in answers.items():
        text, count = re.subn(rf'^("{re.escape(key)}" = )""', rf'\g<1>"{value}"', text, flags=re.MULTILINE)
        assert count == 1, text
    path.write_text(text, "utf-8")
    by_recipe = check(home, data)
    path.unlink()
    by_command = check(home, data, "class.csv", *(f"{key}={value}" for key, value in answers.items()))
    assert loaded_rows(by_recipe) == loaded_rows(by_command) != []
    assert by_recipe.receipt.fingerprint == by_command.receipt.fingerprint


def test_an_answer_in_a_recipe_holds_for_its_file_alone(home: Home) -> None:
    checked = check(home, csv_bytes(TRUE_ROWS, NO_UNIT), "class.csv", "reading.unit=bar")
    save_recipe(home.recipes, checked.recipe)
    assert refusals(check(home, csv_bytes(TRUE_ROWS, NO_UNIT))) == []
    assert refusals(check(home, csv_bytes(TRUE_ROWS[:3], NO_UNIT))) == ["unit_missing"]


def test_a_header_that_names_nothing_known_is_pointed_out(lab: Home) -> None:
    header = ("Wann", "Uhr", "Kurs", "Wo", "Art", "Nummer", "Blatt", "Wer", "Druck", "Anders")
    data = csv_bytes(TRUE_ROWS, header)
    (question,) = check(lab, data).receipt.open_questions()
    assert (question.code, question.answers) == ("no_table", ("sheets.header_row=ROW",))
    said = [
        "date=Wann",
        "time_read=Uhr",
        "section=Kurs",
        "site=Wo",
        "taxon=Art",
        "plant=Nummer",
        "leaf=Blatt",
        "observer=Wer",
        "reading=Druck",
    ]
    answers = ["sheets.header_row=1", "reading.unit=bar", *(f"columns.{one}" for one in said)]
    assert len(loaded_rows(check(lab, data, "class.csv", *answers))) == len(TRUE_ROWS)
