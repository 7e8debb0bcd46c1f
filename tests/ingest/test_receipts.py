"""What a receipt prints stays short, whatever many rows and questions a file raises; all of it is in the JSON."""

from __future__ import annotations

import json

from ingest.checked.receipts import SHOWN_ALIKE
from ingest.doubts.questions import MOST_NAMES
from ingest.home import Home
from tests.ingest.small_lab import check, csv_bytes, table_of


def test_a_column_that_is_no_column_of_sites_is_asked_about_once(lab: Home) -> None:
    """Thousands of unknown names are not thousands of questions: the column was taken for what it is not."""
    many = MOST_NAMES + 1
    names = [f"creek {number:05d} spot" for number in range(many)]
    receipt = check(lab, table_of(Site=names)).receipt
    (question,) = receipt.open_questions()
    assert (question.code, question.count, question.answers) == ("names_hardly_known", many, ("columns.site=HEADER",))
    assert question.message.startswith(f"{many} different names in 'Site' are in no register, the first in creek 00000 spot")
    few = check(lab, table_of(Site=names[:30])).receipt
    assert few.as_text().count("No site is called") == SHOWN_ALIKE
    assert "and 10 more like it" in few.as_text()
    assert len(few.as_dict()["questions"]) == 30


def test_a_wide_table_asks_an_unknown_name_once(lab: Home) -> None:
    header = ("Date", "Time", "Section", "Site", "Species", "Plant", "Leaf 1 (bar)", "Leaf 2 (bar)", "Leaf 3 (bar)")
    rows = [("2024-09-17", "13:05", "a", "far creek", "ange", str(plant), "18", "9", "12") for plant in (1, 2)]
    (found,) = check(lab, csv_bytes(rows, header)).receipt.problems
    assert (found.code, found.count) == ("site_unknown", 6)


def test_headings_by_the_hundred_are_not_all_printed(lab: Home) -> None:
    rows: list[tuple[str, ...]] = []
    for number in range(100):
        rows += [("Site: Ridge top" if number % 2 else "Site: Long swale",), ("2024-09-17", "13:05", "a", "ange", str(number), "1", "18")]
    receipt = check(lab, csv_bytes(rows, ("Date", "Time", "Section", "Species", "Plant", "Leaf", "Pressure (bar)"))).receipt
    assert receipt.as_text().count(" is a heading: ") == SHOWN_ALIKE
    assert "and 80 more like it" in receipt.as_text()
    assert json.dumps(receipt.as_dict()).count(" is a heading: ") == 100
