"""What must hold for every file: order does not matter, every row is accounted for, and no person passes."""

from __future__ import annotations

import random
from typing import Any

import duckdb
import pytest
from hypothesis import HealthCheck, Phase, example, given, settings
from hypothesis import strategies as st

from ingest.home import Home
from ingest.received.accepting import accept
from ingest.received.checked_files import checked_path
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, check, csv_bytes, every_row, meant
from tests.ingest.workbooks import xlsx_bytes

# A check takes a third of a second: few examples, and a failing one is told as it is, without minutes of making it smaller.
FEW = settings(
    max_examples=8,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


@pytest.fixture(scope="module")
def truth(lab: Home) -> list[tuple[Any, ...]]:
    """What the true table says."""
    return meant(check(lab, csv_bytes(TRUE_ROWS)))


@FEW
@given(columns=st.permutations(range(len(HEADERS))), rows=st.permutations(range(len(TRUE_ROWS))))
def test_the_order_of_columns_and_rows_changes_no_reading(
    columns: list[int], rows: list[int], lab: Home, truth: list[tuple[Any, ...]]
) -> None:
    data = csv_bytes([[TRUE_ROWS[row][column] for column in columns] for row in rows], [HEADERS[column] for column in columns])
    assert meant(check(lab, data)) == truth


@FEW
@given(cut=st.integers(1, len(TRUE_ROWS) - 1), is_workbook=st.booleans())
def test_a_file_in_two_parts_says_what_the_whole_says(cut: int, is_workbook: bool, lab: Home, truth: list[tuple[Any, ...]]) -> None:
    parts = [TRUE_ROWS[:cut], TRUE_ROWS[cut:]]
    if is_workbook:
        sheets = {f"Sheet{number}": [HEADERS, *part] for number, part in enumerate(parts, start=1)}
        assert meant(check(lab, xlsx_bytes(sheets), "class.xlsx")) == truth
    else:
        assert sorted((row for part in parts for row in meant(check(lab, csv_bytes(part)))), key=repr) == truth


ODD = st.sampled_from(
    ["", " ", "18", "-3", ">40", "mean", "Average", "note: odd", "2024-09-17", "ridge", "Date", "13:05", "a", "??", "0", "NA", "1,2"]
)
ANY_ROW = st.lists(ODD, max_size=11)


@settings(FEW, max_examples=20)
@given(inserted=st.lists(st.tuples(st.integers(0, len(TRUE_ROWS) + 1), ANY_ROW), max_size=6))
@example(inserted=[(0, []), (3, list(HEADERS)), (8, ["Mean", "", "", "", "", "", "", "", "18"])])
@example(inserted=[(1, [" ", "Date", "0", "Average", "-3", "??", "18", "18", "-3"])])  # headers of two columns of readings
def test_every_row_of_every_file_is_accounted_for_once(inserted: list[tuple[int, list[str]]], lab: Home) -> None:
    lines: list[list[str]] = [list(HEADERS), *map(list, TRUE_ROWS)]
    for place, row in inserted:
        lines.insert(place, row)
    checked = check(lab, csv_bytes(lines[1:], lines[0]))
    filled = [number for number, line in enumerate(lines, start=1) if any(cell.strip() for cell in line)]
    rows = every_row(checked)
    assert list(dict.fromkeys(row["source_row"] for row in rows)) == list(range(1, max(filled) + 1))
    assert len({(row["source_row"], row["source_cell"]) for row in rows}) == len(rows)  # once, or once for each reading in a row
    assert [row["row_number"] for row in rows] == list(range(1, len(rows) + 1))
    counts = checked.receipt.rows
    assert counts["in_file"] == counts["accepted"] + counts["flagged"] + counts["set_aside"] == len(rows)
    for kept in rows:
        assert (kept["status"] == "set_aside") is bool(kept["reasons"])
        if kept["status"] != "set_aside" and not checked.receipt.is_refused:
            assert all(kept[name] is not None for name in ("semester", "section", "date", "site", "taxon", "balance_pressure_mpa"))
            assert kept["water_potential_mpa"] == -kept["balance_pressure_mpa"] <= 0


# Invented names that are no words of the lab, of one to three parts, and what stands for them in a file.
SYLLABLES = ["Zor", "vex", "Quil", "mab", "Thrud", "osk", "Wyn", "plim", "Gaff", "urb"]
NAME = st.lists(st.sampled_from(SYLLABLES), min_size=2, max_size=3).map(lambda parts: "".join(parts).capitalize())
PERSON = st.tuples(NAME, NAME)
# 0.9500000000000001 MPa holds 5000000, and is nobody.
STUDENT = st.integers(1_000_000, 9_999_999).filter(lambda number: "0000" not in str(number))


def written_by(first: str, last: str, number: int, chance: random.Random) -> dict[str, list[list[Any]]]:
    """A workbook in which a person stands in every place that a class writes one."""
    full, mail, identity = f"{first} {last}", f"{first}.{last}@school.example", f"s{number}"
    remarks = [f"recut by {first}", f"ask {mail}", f"{full} read it", f"no water says {last}", identity, "slow", f"{last}'s leaf"]
    rows: list[list[Any]] = []
    for row, remark in zip(TRUE_ROWS, remarks, strict=True):
        rows.append([*row[:7], full, mail, number, row[8], remark])
    rows[0][5] = f"{first} 1"
    rows[1][10] = f"no water says {full} at 40"
    rows[2][10] = f"{full}"
    rows[3][2] = chance.choice(["a", f"a {first}"])
    header = [*HEADERS[:8], "E-mail", "Student number", *HEADERS[8:]]
    return {f"{first}'s sheet": [[f"Instructor {full}, {mail}"], [], header, *rows, [], ["Mean", "", f"{full}"], [f"* typed in by {full}"]]}


@FEW
@given(person=PERSON, number=STUDENT, chance=st.randoms(use_true_random=False))
def test_no_person_of_a_file_passes_into_what_is_kept_or_answered(
    person: tuple[str, str], number: int, chance: random.Random, home: Home
) -> None:
    first, last = person
    checked = check(home, xlsx_bytes(written_by(first, last, number, chance)), f"{last} readings.xlsx")
    texts = [checked.receipt.as_text(), repr(checked.receipt.as_dict()), checked.recipe.as_toml(checked.receipt.open_questions())]
    texts.append(repr(checked.columns))
    if not checked.receipt.is_refused:
        accept(home, checked, _adding())
        for kind in ("readings", "problems"):
            with duckdb.connect() as connection:
                path = str(checked_path(home.checked, kind, str(checked.receipt.upload_id)))
                texts.append(repr(connection.execute("SELECT * FROM read_parquet(?)", [path]).fetchall()))
        texts.extend(path.read_text("utf-8") for path in home.recipes.glob("*.toml"))
    for text in texts:
        folded = text.casefold()
        for secret in (first, last, f"{first}.{last}", "school.example", str(number)):
            assert secret.casefold() not in folded, f"{secret} in {text}"


def _adding() -> Any:
    from ingest.received.accepting import Disposal

    return Disposal(adds=True)


@FEW
@given(bar=st.integers(0, 76).map(lambda half: half / 2), kind=st.sampled_from(["zero", "blank", "bound", "value"]))
def test_zero_is_measured_blank_is_missing_and_never_reached_is_a_bound(bar: float, kind: str, lab: Home) -> None:
    cell = {"zero": "0", "blank": "", "bound": f">{bar}", "value": f"{bar}"}[kind]
    row = every_row(check(lab, csv_bytes([(*TRUE_ROWS[0][:8], cell, ""), TRUE_ROWS[1]])))[1]
    expected = {"zero": (0.0, False), "blank": (None, None), "bound": (bar / 10, True), "value": (bar / 10, False)}[kind]
    pressure = row["balance_pressure_mpa"]
    assert (None if pressure is None else round(pressure, 9), row["below_limit"]) == expected
    assert (row["status"] == "set_aside") is (kind == "blank")
