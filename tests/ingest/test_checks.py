"""Every problem that a row or a file of readings can have: raised by a small file, placed to the cell, with what to do."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest

from ingest.doubts.problem_kinds import KINDS
from ingest.home import Home
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, check, csv_bytes, every_row, found_of, refusals, table_of
from tests.ingest.workbooks import xlsx_bytes

pytestmark = pytest.mark.usefixtures("opened_here")

SOURCES = Path(__file__).parents[2]
Case = tuple[str, Mapping[str, str], str, str | None]

# code, columns of a row that raises it, the header where it is placed, the value as written
ROWS: list[Case] = [
    ("reading_missing", {"Pressure (bar)": ""}, "Pressure (bar)", None),
    ("reading_unreadable", {"Pressure (bar)": "18 19"}, "Pressure (bar)", "18 19"),
    ("reading_absurd", {"Pressure (bar)": "200"}, "Pressure (bar)", "200"),
    ("negative_pressure", {"Pressure (bar)": "-18"}, "Pressure (bar)", "-18"),
    ("above_chamber_maximum", {"Pressure (bar)": "41", "Chamber": "grey"}, "Pressure (bar)", "41"),
    ("bound_without_limit", {"Pressure (bar)": "no water"}, "Pressure (bar)", None),
    ("upper_bound", {"Pressure (bar)": "<2"}, "Pressure (bar)", "<2"),
    ("unit_unknown_here", {"Unit": "furlong"}, "Unit", None),
    ("date_missing", {"Date": ""}, "Date", None),
    ("date_unreadable", {"Date": "2024-02-31"}, "Date", "2024-02-31"),
    ("date_in_no_semester", {"Date": "2024-07-01"}, "Date", "2024-07-01"),
    ("date_in_future", {"Date": "2199-09-17"}, "Date", "2199-09-17"),
    ("site_missing", {"Site": ""}, "Site", None),
    ("taxon_missing", {"Species": ""}, "Species", None),
    ("section_missing", {"Section": ""}, "Section", None),
    ("endpoint_doubtful", {"Remarks": "leak"}, "Pressure (bar)", "18.5"),
    ("leaf_recut", {"Remarks": "recut"}, "Remarks", "recut"),
    ("remark_against_reading", {"Pressure (bar)": ">30", "Remarks": "no water by 550 psi"}, "Pressure (bar)", ">30"),
    ("remark_names_another", {"Remarks": "second try 21"}, "Remarks", "second try 21"),
    ("remark_unread", {"Remarks": "strange leaf"}, "Remarks", "strange leaf"),
    ("unit_against_column", {"Pressure (bar)": "1.8 MPa"}, "Pressure (bar)", "1.8 MPa"),
    ("reading_zero", {"Pressure (bar)": "0"}, "Pressure (bar)", "0"),
    ("reading_taken_back", {"Remarks": "do not use"}, "Remarks", "do not use"),
    ("leaf_senesced", {"Remarks": "dead leaf"}, "Remarks", "dead leaf"),
    ("leaf_state_doubtful", {"Remarks": "dead?"}, "Remarks", "dead?"),
    ("leaf_state_unreadable", {"Leaf state": "blue"}, "Leaf state", None),
    ("leaf_partly_senesced", {"Leaf state": "yellow"}, "Leaf state", "yellow"),
    ("endpoint_unreadable", {"Endpoint": "perhaps so"}, "Endpoint", None),
    ("endpoint_not_reached", {"Pressure (bar)": ">38"}, "Pressure (bar)", ">38"),
    ("reading_doubtful", {"Pressure (bar)": "18?"}, "Pressure (bar)", "18?"),
    ("reading_mistyped", {"Pressure (bar)": "l8.5"}, "Pressure (bar)", "l8.5"),
    ("bound_doubtful", {"Pressure (bar)": "17.5", "Remarks": "gave up, no water"}, "Pressure (bar)", "17.5"),
    ("window_unknown", {"Time": ""}, "Window", None),
    ("time_unreadable", {"Time": "13h61"}, "Time", "13h61"),
    ("window_unreadable", {"Window": "sooner"}, "Window", None),
    ("window_against_clock", {"Window": "morning"}, "Window", "13:05"),
    ("predawn_after_sunrise", {"Window": "predawn", "Time": "10:00"}, "Time", "10:00"),
    ("time_at_night", {"Time": "00:40"}, "Time", "00:40"),
    ("time_after_sunset", {"Time": "23:10"}, "Time", "23:10"),
    ("time_order", {"Time cut": "13:30"}, "Time", "13:05"),
    ("late_reading", {"Time cut": "12:55"}, "Time", "10"),
    ("outside_usual_range", {"Pressure (bar)": "0.5"}, "Pressure (bar)", "0.5"),
    ("site_doubtful", {"Site": "ridge?"}, "Site", None),
    ("taxon_doubtful", {"Species": "ANGE ?"}, "Species", None),
    ("site_alike", {"Site": "Long swal"}, "Site", None),
    ("taxon_alike", {"Species": "Andropogon gerardi"}, "Species", None),
    ("chamber_unknown", {"Chamber": "violet"}, "Chamber", None),
    ("unit_against_chamber", {"Pressure (bar)": "18.5", "Chamber": "red"}, "Pressure (bar)", "18.5"),
    ("text_shortened", {"Plant": "7" * 60}, "Plant", None),
]  # fmt: skip
EXTRA = ("Unit", "Chamber", "Leaf state", "Endpoint", "Window", "Time cut")


@pytest.fixture(scope="module")
def case_file(lab: Home) -> tuple[list[dict[str, object]], list[dict[str, object]]]:
    """One file that holds every case as a row of its own among good rows, checked once: its problems and its rows."""
    names = [*HEADERS, *EXTRA]
    rows = []
    for number, (_, columns, _, _) in enumerate(ROWS, start=1):
        base = dict(zip(HEADERS, TRUE_ROWS[0], strict=True)) | {"Plant": str(number)}
        rows.append([{**dict.fromkeys(EXTRA, ""), **base, **columns}[name] for name in names])
    good = [[*TRUE_ROWS[0][:5], str(number), *TRUE_ROWS[0][6:], *[""] * len(EXTRA)] for number in range(500, 560)]
    checked = check(lab, csv_bytes([*rows, *good], names))
    assert not checked.receipt.is_refused, checked.receipt.as_text()
    return [found.as_dict() for found in checked.receipt.problems], every_row(checked)


@pytest.mark.parametrize(("number", "case"), list(enumerate(ROWS, start=2)), ids=[case[0] for case in ROWS])
def test_a_row_s_problem_is_placed_and_says_what_to_do(
    number: int, case: Case, case_file: tuple[list[dict[str, object]], list[dict[str, object]]]
) -> None:
    code, _, header, value = case
    problems, rows = case_file
    (found,) = [one for one in problems if one["row"] == number and one["code"] == code]
    assert (found["severity"], found["column"]) == (KINDS[code].severity, header)
    if value is not None:
        assert found["value"] == value
    names = [*HEADERS, *EXTRA]
    if header in names:
        assert found["cell"] == f"{chr(65 + names.index(header))}{number}"
    assert found["message"]
    assert "?" not in str(found["message"]).replace(str(found["value"]), "")  # a question mark stands for a word that was not given
    assert found["suggestion"]
    row = rows[number - 1]
    assert row["source_row"] == number
    kept, listed = ("set_aside", "reasons") if KINDS[code].severity == "set_aside" else ("flagged", "flags")
    assert code in str(row[listed]).split(";")
    assert row["status"] == kept or row["reasons"]
    assert row["usable"] is (row["status"] != "set_aside" and all(KINDS[one].usable for one in str(row["flags"]).split(";") if one))


def test_good_rows_beside_bad_ones_stay_good(case_file: tuple[list[dict[str, object]], list[dict[str, object]]]) -> None:
    _, rows = case_file
    assert {(row["status"], row["flags"]) for row in rows if str(row["plant"]).startswith("5") and len(str(row["plant"])) == 3} == {
        ("accepted", "")
    }


def test_repeated_leaves_are_told_by_row(lab: Home) -> None:
    same = TRUE_ROWS[0]
    other = (*same[:8], "20", "")
    unnumbered = (*same[:5], "", "", *same[7:])
    again = check(lab, csv_bytes([same, same]))
    assert (found_of(again, "row_repeated").row, found_of(again, "row_repeated").message) == (
        3,
        "the same leaf with the same reading as row 2",
    )
    twice = check(lab, csv_bytes([same, other]))
    assert [(found.row, found.cell) for found in twice.receipt.problems if found.code == "leaf_twice"] == [(3, "I3"), (2, "I2")]
    loose = check(lab, csv_bytes([unnumbered, unnumbered]))
    assert found_of(loose, "row_repeated_unnumbered").row == 3
    assert loose.receipt.rows["flagged"] == 1


def test_sign_unit_and_semester_of_single_rows(lab: Home) -> None:
    numbers = [str(number) for number in range(1, 13)]
    potentials = table_of(**{"Pressure (bar)": "", "Water potential (MPa)": ["1.8", *["-1.8"] * 11], "Plant": numbers})
    potentials = potentials.replace(b"Pressure (bar),", b"Remark two,")
    found = found_of(check(lab, potentials), "positive_potential")
    assert (found.row, found.value, found.severity) == (2, "1.8", "set_aside")
    mixed = csv_bytes(
        [(*TRUE_ROWS[0][:8], "18 bar", ""), *[(*TRUE_ROWS[0][:5], "9", str(n), "", "18", "") for n in (2, 3)]],
        (*HEADERS[:8], "Pressure", "Unit"),
    )
    assert found_of(check(lab, mixed.replace(b",18,\n", b",18,bar\n", 1)), "unit_missing_here").row == 4
    doubt = table_of(**{"Pressure (bar)": "90"})
    (lab.registers / "chambers.csv").write_text("chamber,aliases,gauge_unit,resolution,maximum_pressure\n", "utf-8")
    assert "as psi it would be a potential" not in found_of(check(lab, doubt), "unit_doubt").message
    assert found_of(check(lab, doubt), "unit_doubt").value == "90"
    outside = check(lab, table_of(Date="2024-12-20"), "Fall 2024.csv")
    assert found_of(outside, "date_outside_semester").value == "2024-12-20"


def test_names_set_aside_by_the_recipe_set_their_rows_aside(lab: Home) -> None:
    data = table_of(Site=["ridge", "Bog"], Species=["ange", "ange"])
    checked = check(lab, data, "class.csv", "names.site.Bog=set aside")
    assert [row["reasons"] for row in every_row(checked)][1:] == ["", "site_set_aside"]
    data = table_of(Species=["ange", "moss"])
    assert [row["reasons"] for row in every_row(check(lab, data, "class.csv", "names.taxon.moss=set aside"))][1:] == ["", "taxon_set_aside"]


def test_a_tag_that_became_a_date_is_told(lab: Home) -> None:
    row = [*TRUE_ROWS[0][:5], date(2024, 3, 4), *TRUE_ROWS[0][6:]]
    found = found_of(check(lab, xlsx_bytes({"Sheet1": [HEADERS, row]}), "class.xlsx"), "tag_turned_into_date")
    assert (found.cell, found.severity) == ("F2", "flag")


def test_a_day_of_another_semester_among_many_of_one_is_doubted(lab: Home) -> None:
    data = table_of(Date=[*["2024-09-17"] * 6, "2024-03-12"], Plant=[str(number) for number in range(1, 8)])
    found = found_of(check(lab, data), "date_in_other_semester")
    assert (found.row, found.value) == (8, "2024-03-12")
    even = table_of(Date=[*["2024-09-17"] * 4, *["2024-03-12"] * 3], Plant=[str(number) for number in range(1, 8)])
    assert not any(found.code == "date_in_other_semester" for found in check(lab, even).receipt.problems)


def test_two_columns_of_plants_that_disagree_are_told(lab: Home) -> None:
    data = csv_bytes([(*row, "big bluestem" if row[4] == "ange" else "bur oak") for row in TRUE_ROWS], (*HEADERS, "Common name"))
    assert [found.row for found in check(lab, data).receipt.problems if found.code == "taxon_against_name"] == [5, 7]


def test_a_heading_over_a_block_is_no_reading(lab: Home) -> None:
    columns = (*HEADERS[:3], *HEADERS[4:])
    rows = [(*row[:3], *row[4:]) for row in TRUE_ROWS]
    checked = check(lab, csv_bytes([("Site: Ridge top",), *rows[:4], ("Site: Long swale",), *rows[4:]], columns))
    assert checked.receipt.reasons["heading_row"] == 2, checked.receipt.as_text()
    assert [row["site"] for row in every_row(checked) if row["status"] != "set_aside"] == ["ridge"] * 4 + ["swale"] * 3


def test_real_dates_beside_texts_that_a_program_could_not_turn_are_doubted(lab: Home) -> None:
    rows: list[list[object]] = [[date(2024, 10, 9), *TRUE_ROWS[0][1:]], ["17/9/2024", *TRUE_ROWS[2][1:]]]
    found = found_of(check(lab, xlsx_bytes({"Sheet1": [list(HEADERS), *rows]}), "class.xlsx"), "date_maybe_turned")
    assert (found.cell, found.severity) == ("A2", "set_aside")


def test_a_column_of_readings_under_an_unknown_name_beside_known_ones_is_asked(lab: Home) -> None:
    header = ("Date", "Time", "Section", "Species", "Plant", "Ridge top (bar)", "Long swale (bar)", "Far creek (bar)")
    rows = [("2024-09-17", "13:05", "a", "ange", str(plant), "18", "9", "12") for plant in (1, 2, 3)]
    checked = check(lab, csv_bytes(rows, header))
    assert "label_unknown" in refusals(checked)
    assert "Far creek" in found_of(checked, "label_unknown").message


def test_structural_rows_have_their_codes(lab: Home) -> None:
    data = b"Field lab\n\n" + csv_bytes(TRUE_ROWS) + b"\nMean,,,,,,,,16,\n* recut twice at the most of all\n"
    checked = check(lab, data)
    assert checked.receipt.reasons == {"blank_row": 2, "title_row": 1, "header_row": 1, "summary_row": 1, "note_row": 1}
    assert all(row["is_structural"] for row in every_row(checked) if row["reasons"])


# code of a refusal, what the file holds, a word of the answer that settles it
REFUSED: list[tuple[str, bytes, str]] = [
    ("no_table", b"a,b,c\n1,2,3\n", "header row"),
    ("no_rows", csv_bytes([]), "write the readings"),
    ("column_missing", csv_bytes([row[1:] for row in TRUE_ROWS], HEADERS[1:]), "columns.date"),
    ("column_unclear", csv_bytes([(*row, row[0]) for row in TRUE_ROWS], (*HEADERS, "Date")), "columns.date"),
    ("unit_missing", csv_bytes(TRUE_ROWS, (*HEADERS[:8], "Pressure", "Remarks")), "reading.unit"),
    ("unit_unclear", csv_bytes(TRUE_ROWS, (*HEADERS[:8], "psi", "Remarks")), "reading.unit"),
    ("unit_doubtful", table_of(**{"Pressure (bar)": [f"{120 + n}" for n in range(12)]}), "reading.unit=psi"),
    ("quantity_unclear", table_of(**{"Pressure (bar)": ["-18", "-19", "20"]}), "reading.quantity"),
    ("date_order_unclear", table_of(Date=["9/10/2024", "10/9/2024"]), "dates.order"),
    ("year_missing", table_of(Date=["Sep 17", "Sep 19"]), "constants.semester"),
    ("clock_unclear", table_of(Time=["1:05", "6:10"]), "clock.hours"),
    ("window_missing", csv_bytes([(row[0], *row[2:]) for row in TRUE_ROWS], (HEADERS[0], *HEADERS[2:])), "constants.sampling_window"),
    ("semester_unknown", csv_bytes([(*row, "Fall 2031") for row in TRUE_ROWS], (*HEADERS, "Semester")), "add Fall 2031"),
    ("section_missing_everywhere", csv_bytes([row[:2] + row[3:] for row in TRUE_ROWS], HEADERS[:2] + HEADERS[3:]), "constants.section"),
    ("section_unknown", table_of(Section="q"), "alias.section.q"),
    ("site_unknown", table_of(Site="meadow"), "alias.site.meadow"),
    ("taxon_unknown", table_of(Species="tall thistle"), "alias.taxon.tall thistle"),
    ("readings_are_formulas", table_of(**{"Pressure (bar)": ["=H2*14.5", "=H3*14.5"]}), "open it in a spreadsheet program"),
    ("no_readings_left", table_of(**{"Pressure (bar)": ["", ""]}), "look at the reasons"),
]  # fmt: skip


@pytest.mark.parametrize(("code", "data", "answer"), REFUSED, ids=[case[0] for case in REFUSED])
def test_a_file_s_open_question_refuses_it_and_says_how_to_answer(code: str, data: bytes, answer: str, lab: Home) -> None:
    checked = check(lab, data)
    assert checked.receipt.verdict == "refused"
    assert code in refusals(checked), checked.receipt.as_text()
    found = found_of(checked, code)
    assert answer in found.suggestion
    assert "?" not in found.message
    assert found.message in checked.receipt.as_text()


def test_a_row_that_the_file_says_does_not_count_is_flagged(lab: Home) -> None:
    data = csv_bytes([(*row, "false" if index == 0 else "true") for index, row in enumerate(TRUE_ROWS)], (*HEADERS, "usable"))
    assert (found_of(check(lab, data), "reading_not_usable").row, "reading_not_usable") == (2, "reading_not_usable")


def test_every_code_is_raised_somewhere_in_the_sources() -> None:
    """A code that nothing raises is a promise that nobody keeps. Some codes are made of a column and an ending."""
    made = {f"{column}_{ending}" for column in ("site", "taxon") for ending in ("missing", "unknown", "alike", "doubtful", "set_aside")} | {
        "date_missing"
    }
    sources = "\n".join(
        path.read_text("utf-8") for path in (SOURCES / "ingest").rglob("*.py") if path.name not in ("problem_kinds.py", "refusals.py")
    )
    assert [code for code in KINDS if code not in made and not re.search(rf"[\"']{code}[\"']", sources)] == []


def test_every_code_of_readings_is_named_by_a_test() -> None:
    folder = SOURCES / "tests"
    texts = "\n".join(path.read_text("utf-8") for suffix in ("py", "toml") for path in folder.rglob(f"*.{suffix}"))
    kept = [code for code in KINDS if not code.startswith(("weather_", "gauge_", "register_"))]
    assert [code for code in kept if f'"{code}"' not in texts] == []


def test_what_the_contract_does_not_allow_is_named_with_what_it_allows(lab: Home) -> None:
    """A tag grows beyond its length when its words become marks: the one way in which a parsed cell breaks the contract."""
    tag = " 1 ".join("Q" * 12)
    found = found_of(check(lab, table_of(Plant=[tag, "2"])), "contract_broken")
    assert (found.column, found.cell, found.severity) == ("Plant", "F2", "set_aside")
    assert "is not allowed here: a text" in found.message
