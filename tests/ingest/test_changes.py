"""What a corrected file changes: every cell by its sheet and address, old and new as written, and each row that is new or gone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import Any

import pytest

from ingest.checked.receipts import SHOWN_ALIKE
from ingest.checking import Asked, Checked, check_bytes
from ingest.errors import ReplacementUnclear
from ingest.home import Home
from ingest.received.accepting import Disposal, accept
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, check, csv_bytes
from tests.ingest.workbooks import xlsx_bytes

pytestmark = pytest.mark.usefixtures("opened_here")

FIRST, SECOND, THIRD, FOURTH = TRUE_ROWS[:4]
UNNUMBERED = "of the earlier file (2024-09-17, ridge, ange)"


def changed(home: Home, before: bytes, after: bytes, name: str = "class.csv") -> Checked:
    """The second file, checked against the first that is loaded."""
    accept(home, check(home, before, name))
    second = check(home, after, name)
    with suppress(ReplacementUnclear):
        accept(home, second)
    return second


def told(checked: Checked) -> list[tuple[Any, ...]]:
    return [tuple(change[name] for name in ("cell", "column", "before", "after")) for change in checked.receipt.changes]


CORRECTIONS: dict[str, tuple[Sequence[Sequence[str]], list[tuple[str, str, str, str]]]] = {
    "a reading": ([(*FIRST[:8], "19.5", ""), SECOND, THIRD], [("I2", "reading_as_written", "18.5", "19.5")]),
    "a site, as written": ([FIRST, (*SECOND[:3], "Long swale", *SECOND[4:]), THIRD], [("D3", "site", "ridge", "Long swale")]),
    "a site and its spelling": ([FIRST, (*SECOND[:3], "Hilltop", *SECOND[4:]), THIRD], []),
    "a date": ([("2024-09-19", *FIRST[1:]), SECOND, THIRD], [("A2", "date", "2024-09-17", "2024-09-19")]),
    "a leaf's number": ([(*FIRST[:6], "7", *FIRST[7:]), SECOND, THIRD], [("G2", "leaf", "1", "7")]),
    "a remark": ([FIRST, SECOND, (*THIRD[:9], "recut")], [("J4", "remark", "none", "recut")]),
    "a plant and a reading": (
        [FIRST, SECOND, (*THIRD[:4], "codr", *THIRD[5:8], "20", "")],
        [("E4", "taxon", "ange", "codr"), ("I4", "reading_as_written", "21.5", "20")],
    ),
    "a row more": ([FIRST, FOURTH, SECOND, THIRD], [("I3", "row", "none", "12")]),
    "a row less": ([FIRST, THIRD], [("I3", "row", "19", "none")]),
    "another order": ([THIRD, SECOND, FIRST], []),
    "another order and a reading": ([THIRD, (*SECOND[:8], "9", ""), FIRST], [("I3", "reading_as_written", "19", "9")]),
}


@pytest.mark.parametrize("what", CORRECTIONS)
def test_a_correction_names_each_cell_with_both_values_as_written(what: str, home: Home) -> None:
    rows, expected = CORRECTIONS[what]
    assert told(changed(home, csv_bytes([FIRST, SECOND, THIRD]), csv_bytes(rows))) == expected


def test_an_observer_is_a_pseudonym_in_a_change_too(home: Home) -> None:
    second = changed(home, csv_bytes([FIRST, SECOND]), csv_bytes([(*FIRST[:7], "Zabreth Orn", *FIRST[8:]), SECOND]))
    ((cell, column, before, after),) = told(second)
    assert (cell, column, before[:4], after[:4]) == ("H2", "observer", "obs_", "obs_")
    assert "Zabreth" not in str(second.receipt.as_dict()) + second.receipt.as_text()


def test_a_cell_is_named_with_its_sheet(home: Home) -> None:
    rows = [list(HEADERS), *map(list, TRUE_ROWS[:3])]
    before = xlsx_bytes({"Section A": rows})
    rows[2][8] = "19.1"
    second = changed(home, before, xlsx_bytes({"Section A": rows}), "class.xlsx")
    (change,) = second.receipt.changes
    assert (change["sheet"], change["row"], change["cell"]) == ("Section A", 3, "I3")
    assert second.receipt.as_text().endswith("changed: sheet Section A, I3 (2024-09-17, ridge, ange, plant 1, leaf 2): 19 → 19.1")


UNTOLD: dict[str, tuple[list[str], list[str], list[tuple[str, str, str]]]] = {
    "one of three": (["12", "19", "14"], ["12", "19.1", "14"], [("I3 (2024-09-17, ridge, ange)", "19", "19.1")]),
    "one of three alike": (["12", "12", "12"], ["12", "13", "12"], [("I3 (2024-09-17, ridge, ange)", "12", "13")]),
    "two of three": (
        ["12", "19", "14"],
        ["13", "19", "15"],
        [("I2 (2024-09-17, ridge, ange)", "12", "13"), ("I4 (2024-09-17, ridge, ange)", "14", "15")],
    ),
    "the first gone and the last corrected": (
        ["12", "19", "14"],
        ["19", "15"],
        [("I3 (2024-09-17, ridge, ange)", "14", "15"), (f"I2 {UNNUMBERED}", "12", "none")],
    ),
    "one of three alike gone": (["12", "12", "12"], ["12", "12"], [(f"I4 {UNNUMBERED}", "12", "none")]),
    "one more alike": (["12", "12"], ["12", "12", "12"], [("I4 (2024-09-17, ridge, ange)", "none", "12")]),
    "one before them": (["12", "14"], ["10", "12", "14"], [("I2 (2024-09-17, ridge, ange)", "none", "10")]),
    "another order": (["12", "19", "14"], ["14", "12", "19"], []),
}  # fmt: skip


@pytest.mark.parametrize("what", UNTOLD)
def test_rows_that_nothing_tells_apart_are_told_apart_by_their_place(what: str, home: Home) -> None:
    before, after, expected = UNTOLD[what]
    old, new = (csv_bytes([(*FIRST[:4], "ange", "", "", FIRST[7], reading, "") for reading in readings]) for readings in (before, after))
    second = changed(home, old, new)
    assert [(change["place"], change["before"], change["after"]) for change in second.receipt.changes] == expected


def test_at_most_twenty_alike_are_printed_and_all_are_in_the_json(home: Home) -> None:
    before = [(*FIRST[:5], str(number), "1", FIRST[7], "12", "") for number in range(40)]
    after = [(*row[:8], "13", "") for row in before[:35]] + [(*FIRST[:5], "99", "1", FIRST[7], "12", "")]
    second = changed(home, csv_bytes(before), csv_bytes(after))
    lines = list(second.receipt.change_lines())
    assert len([line for line in lines if line.startswith("  changed: ")]) == SHOWN_ALIKE
    assert f"  and {36 - SHOWN_ALIKE} more like it" in lines
    assert len([line for line in lines if line.startswith("  gone: ")]) == 4
    assert len(second.receipt.as_dict()["changes"]) == 35 + 1 + 4


def rain(days: Mapping[str, str]) -> bytes:
    return ("Date,Rain (mm)\n" + "".join(f"{day},{value}\n" for day, value in days.items())).encode()


def test_a_weather_correction_names_the_row_and_days_new_or_gone_between(home: Home) -> None:
    first = {"2024-09-01": "0", "2024-09-02": "4.5", "2024-09-04": "3", "2024-09-05": "1"}
    second = {"2024-08-31": "2", "2024-09-01": "0", "2024-09-02": "4.6", "2024-09-03": "7", "2024-09-05": "1", "2024-09-06": "9"}
    one = check_bytes(home, rain(first), "rain.csv", Asked(gauge="hut"))
    accept(home, one)
    two = check_bytes(home, rain(second), "rain.csv", Asked(gauge="hut"))
    accept(home, two, Disposal(replaces=(str(one.receipt.upload_id),)))
    assert list(two.receipt.change_lines()) == [
        "  changed: row 4 (hut, 2024-09-02, PRCP): 4.5 → 4.6",
        "  new: row 5 (hut, 2024-09-03, PRCP): none → 7",
        "  gone: row 4 (hut, 2024-09-04, PRCP) of the earlier file: 3 → none",
    ]


def test_a_day_more_between_contradicts_nothing_and_another_value_does(home: Home) -> None:
    accept(home, check_bytes(home, rain({"2024-09-01": "0", "2024-09-03": "1"}), "rain.csv", Asked(gauge="hut")))
    filled = {"2024-09-01": "0", "2024-09-02": "5", "2024-09-03": "1"}
    accept(home, check_bytes(home, rain(filled), "rain.csv", Asked(gauge="hut")))
    with pytest.raises(ReplacementUnclear):
        accept(home, check_bytes(home, rain({**filled, "2024-09-02": "6"}), "rain.csv", Asked(gauge="hut")))
