"""A file against several uploads at once: what is told of each is what comparing every row of the file with it would tell."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ingest.checked.changed import Change, Changes
from ingest.checked.kinds import KINDS_OF_UPLOAD
from ingest.checked.receipts import SHOWN_ALIKE, Receipt
from ingest.checking import Asked, Checked
from ingest.doubts.recipes import Recipe
from ingest.errors import ReplacementUnclear
from ingest.home import Home
from ingest.received.accepting import Disposal, accept
from ingest.received.changes import changes
from ingest.received.days_compared import DaysCompared
from ingest.received.ledger import Received
from ingest.received.rows_compared import WHERE, Row, RowsCompared, as_text
from tests.ingest.small_lab import TRUE_ROWS, check, csv_bytes

READINGS = KINDS_OF_UPLOAD["readings"]
COLUMNS = (*WHERE, *READINGS.names, *READINGS.values, "values_as_written")
DAY = dt.date(2024, 9, 17)


class EveryRowCompared(RowsCompared):
    """The slow way: every row of the file is laid beside every row of the upload."""

    def _looked_at(self, before: Iterable[Row]) -> list[int]:
        return list(self._in_use)


class EveryDayCompared(DaysCompared):
    """The slow way: every day of the record is looked at."""

    def _within(self, spans: Mapping[tuple[Any, Any], tuple[str, str]]) -> list[Row]:
        of_spans = [(row, spans.get((row["gauge"], row["element"]))) for row in self._rows]
        return [row for row, span in of_spans if span and span[0] <= row["date"] <= span[1]]


def reading(row: int, *, site: str | None, plant: str | None, leaf: str | None, value: str, sheet: str | None = None) -> Row:
    blank: Row = dict.fromkeys(READINGS.columns)
    named = {"semester": "2024-fall", "section": "a", "date": DAY, "site": site, "plant": plant, "leaf": leaf}
    return blank | named | {"reading_as_written": value, "source_sheet": sheet, "source_row": row, "status": "accepted", "row_number": row}


def file_of(rows: Sequence[Row]) -> Checked:
    columns = {name: [row[name] for row in rows] for name in READINGS.columns}
    return Checked(Receipt("class.csv", "", "readings"), columns, Recipe(), b"", "class.csv", Asked())


few = st.sampled_from([None, "1", "2"])
rows_of_a_file = st.lists(
    st.builds(reading, st.integers(2, 6), site=few, plant=few, leaf=few, value=st.sampled_from("xy"), sheet=st.sampled_from([None, "S"])),
    max_size=7,
)


@settings(max_examples=80)
@given(rows_of_a_file, st.lists(rows_of_a_file, min_size=1, max_size=3), st.data())
def test_what_is_told_is_what_comparing_every_row_tells(rows: list[Row], uploads: list[list[Row]], data: st.DataObject) -> None:
    aside = data.draw(st.sets(st.integers(0, 6)))
    checked = file_of([row | {"status": "set_aside" if at in aside else "accepted"} for at, row in enumerate(rows)])
    earlier = [[as_text({name: row[name] for name in COLUMNS}) for row in upload] for upload in uploads]
    quick, slow = (way(READINGS, checked, COLUMNS, earlier) for way in (RowsCompared, EveryRowCompared))
    assert [list(quick.against(upload)) for upload in earlier] == [list(slow.against(upload)) for upload in earlier]


days_of_a_record = st.lists(
    st.fixed_dictionaries(
        {
            "gauge": st.sampled_from(["hut", "dam"]),
            "date": st.sampled_from([None, *(f"2024-09-0{day}" for day in range(1, 6))]),
            "element": st.sampled_from(["PRCP", "TMAX"]),
            "value_as_written": st.sampled_from(["0", "1"]),
            "source_row": st.just("2"),
        }
    ),
    max_size=12,
)


@settings(max_examples=80)
@given(days_of_a_record, st.lists(days_of_a_record, min_size=1, max_size=2))
def test_what_is_told_is_what_comparing_every_day_tells(rows: list[Row], uploads: list[list[Row]]) -> None:
    quick, slow = DaysCompared(rows), EveryDayCompared(rows)
    assert [list(quick.against(upload)) for upload in uploads] == [list(slow.against(upload)) for upload in uploads]


OTHER = TRUE_ROWS[4]
AT_ONCE: dict[str, tuple[Sequence[Sequence[str]], dict[str, list[str]]]] = {
    "both as they are": (
        [TRUE_ROWS[0], TRUE_ROWS[1], OTHER],
        {"a.csv": ["new I4 9.5"], "b.csv": ["new I2 18.5", "new I3 19"]},
    ),
    "a reading of each corrected": (
        [(*TRUE_ROWS[0][:8], "18", ""), TRUE_ROWS[1], (*OTHER[:8], "9", "")],
        {"a.csv": ["reading_as_written I2 18", "new I4 9"], "b.csv": ["reading_as_written I4 9", "new I2 18", "new I3 19"]},
    ),
    "a row of the first gone, one of the second more": (
        [TRUE_ROWS[1], OTHER, TRUE_ROWS[5]],
        {"a.csv": ["gone I2 none", "new I3 9.5", "new I4 >38"], "b.csv": ["new I2 19", "new I4 >38"]},
    ),
}


@pytest.mark.usefixtures("opened_here")
@pytest.mark.parametrize("what", AT_ONCE)
def test_a_file_of_both_sections_is_told_against_each_of_their_files(what: str, home: Home) -> None:
    rows, expected = AT_ONCE[what]
    for name, loaded in (("a.csv", TRUE_ROWS[:2]), ("b.csv", [OTHER])):
        accept(home, check(home, csv_bytes(loaded), name))
    both = check(home, csv_bytes(rows), "both.csv")
    uploads = Received(home).uploads()
    assert {
        upload.file_name: [told(one) for one in found] for upload, found in zip(uploads, changes(home, both, uploads), strict=True)
    } == expected
    with pytest.raises(ReplacementUnclear, match=f"{sum(map(len, expected.values()))} values differ"):
        accept(home, both)
    assert accept(home, both, Disposal(tuple(upload.upload_id for upload in uploads)))
    assert [told(one) for one in both.receipt.changes] == [line for lines in expected.values() for line in lines]


def told(change: dict[str, Any]) -> str:
    if change["column"] != "row":
        return f"{change['column']} {change['cell']} {change['after']}"
    return f"{'new' if change['before'] == 'none' else 'gone'} {change['cell']} {change['after']}"


def test_rows_that_are_new_are_told_only_where_they_are_looked_at() -> None:
    asked: list[int] = []

    def new_row(at: int) -> Change:
        asked.append(at)
        return {"place": f"I{at}", "column": "row", "before": "none", "after": "12"}

    gone = [{"place": "I2 of the earlier file", "column": "row", "before": "9", "after": "none"}]
    receipt = Receipt("class.csv", "", "readings")
    receipt.changes = Changes.joined([Changes([], range(3000), new_row), Changes(gone, range(3000, 6000), new_row)])
    lines = list(receipt.change_lines())
    assert (lines[0], lines[20], lines[21]) == (
        "  new: I0: none → 12",
        "  and 5980 more like it",
        "  gone: I2 of the earlier file: 9 → none",
    )
    assert asked == list(range(SHOWN_ALIKE))
    assert len(receipt.changes) == 6001
    assert [change["place"] for change in receipt.changes[2999:3002]] == ["I2999", "I2 of the earlier file", "I3000"]
    assert receipt.changes[-1]["place"] == "I5999"
    with pytest.raises(IndexError):
        receipt.changes[6001]
