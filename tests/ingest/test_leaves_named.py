"""A remark on a row of several leaves marks the leaf that it names; where that is not plain, all of them."""

from __future__ import annotations

import pytest

from ingest.cells.leaves_named import of_leaf
from ingest.cells.remarks import understand_remark
from ingest.home import Home
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, check, csv_bytes, loaded_rows

ALL = "123"
# Remark, and the leaves of which it speaks.
PLAIN = [
    ("leaf 2 dead", "2"), ("L2 broke", "2"), ("L2: recut", "2"), ("the 2nd leaf was dead", "2"),
    ("replicate 3 brown", "3"), ("leaf #2 dead", "2"),
    ("broke on leaf 2", "2"), ("leaf 2 and 3 dead", "23"), ("leaf 2 and leaf 3 dead", "23"), ("neither leaf 1 nor leaf 2 reached", "12"),
    ("leaf 2 slipped, cut at 13:20", "2"), ("rep2 leak", "2"),
]  # fmt: skip
UNCLEAR = [
    "dead", "only leaf 2 reached", "all but leaf 2 dead", "leaf 5 dead", "leaf 2 min late", "leaves 1-3 dead", "leaf 1 to 3 dead",
    "leaf a bit brown", "leaf 1 higher than leaf 2", "not leaf 1 but leaf 2 dead", "leaf 2 dead & leaf 3 broke",
    "leaf 2 dead, the others too", "leaf A dead",
]  # fmt: skip


@pytest.mark.parametrize(("remark", "leaves"), [*PLAIN, *((remark, ALL) for remark in UNCLEAR)])
def test_a_remark_speaks_of_the_leaves_that_it_plainly_names_else_of_all(remark: str, leaves: str) -> None:
    assert [of_leaf(remark, leaf, set(ALL)) for leaf in ALL] == [remark if leaf in leaves else "" for leaf in ALL]


def test_each_part_of_a_sentence_and_each_sentence_speaks_for_itself() -> None:
    said = [of_leaf("leaf 1 fine, leaf 2 dead and leaf 3 slipped; cloudy", leaf, set(ALL)) for leaf in ALL]
    assert said == ["leaf 1 fine cloudy", "leaf 2 dead cloudy", "leaf 3 slipped; cloudy"]
    assert [of_leaf("leaf B dead", leaf, {"a", "b"}) for leaf in "ab"] == ["", "leaf B dead"]


def test_the_number_of_a_leaf_is_no_pressure() -> None:
    assert understand_remark("leaf 2 no bubbles by 38 bar").limit == (38.0, "bar")


def test_only_the_named_leaf_of_a_row_carries_the_mark_and_the_receipt_says_so(home: Home) -> None:
    names = [name for name in HEADERS[:8] if name != "Leaf"]
    remarks = ("leaf 2 dead", "only leaf 1 dead", "")
    rows = [[*TRUE_ROWS[0][:5], str(plant), "Ola Quist", "18", "19", remark] for plant, remark in enumerate(remarks)]
    checked = check(home, csv_bytes(rows, (*names, "Leaf 1 (bar)", "Leaf 2 (bar)", "Remarks")))
    marks = {(row["source_row"], row["leaf"]): (row["flags"], row["usable"], row["remark"]) for row in loaded_rows(checked)}
    assert marks[2, "1"] == ("", True, None)
    assert marks[2, "2"] == ("leaf_senesced", False, "leaf 2 dead")
    assert [marks[3, leaf][0] for leaf in "12"] == ["leaf_senesced"] * 2
    assert "leaf 2 dead" in next(row["values_as_written"] for row in loaded_rows(checked) if row["leaf"] == "1")
    notes = [note for table in checked.receipt.tables for note in table.notes if note.startswith("remark")]
    assert notes == [
        "remark: 1 of the rows name a leaf, and what is said of it holds for that leaf alone",
        "remark: 1 of the rows name leaves unclearly, and hold for all leaves of the row",
    ]
