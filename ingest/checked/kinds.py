"""The kinds of upload: what a checked file of each holds, what it covers, and how two of them are compared."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from ingest.checked.file_columns import ASSESSMENT_COLUMNS, READING_COLUMNS, RUBRIC_COLUMNS, WEATHER_COLUMNS

if TYPE_CHECKING:
    from ingest.checked.receipts import Receipt
    from ingest.received.uploads import Upload


@dataclass(frozen=True)
class UploadKind:
    """One kind of upload.

    Attributes:
        columns: of its checked file, name to type in DuckDB.
        covers: the field of a receipt and of an upload that says what it covers.
        names: the columns that tell its rows apart; `values` those that a correction may change; `written` what stands in the cell.
        shown: the columns by which a change is told, after the cell.
        is_by_day: a record that covers days of the same thing shares nothing with another of other days, and agrees where values do.
    """

    columns: Mapping[str, str]
    covers: Literal["sections", "gauges", "covers"]
    names: tuple[str, ...] = ()
    values: tuple[str, ...] = ()
    written: str = "value_as_written"
    shown: tuple[str, ...] = ()
    is_by_day: bool = False

    def covered(self, one: Receipt | Upload) -> set[str]:
        """What a receipt or an upload covers."""
        found: str | list[str] = getattr(one, self.covers)
        return set(filter(None, found.split(";") if isinstance(found, str) else found))


_READING_NAMES = ("semester", "section", "date", "sampling_window", "site", "taxon", "plant", "leaf")
_READING_VALUES = (
    "reading_as_written",
    "unit_as_written",
    "time_cut",
    "time_read",
    "chamber",
    "endpoint",
    "leaf_state",
    "observer",
    "remark",
)
_STUDENT = ("semester", "section", "student")

KINDS_OF_UPLOAD: Mapping[str, UploadKind] = {
    "readings": UploadKind(
        READING_COLUMNS, "sections", _READING_NAMES, _READING_VALUES, "reading_as_written", ("date", "site", "taxon", "plant", "leaf")
    ),
    "weather": UploadKind(WEATHER_COLUMNS, "gauges", ("gauge", "date", "element"), is_by_day=True),
    "assessment": UploadKind(
        *(ASSESSMENT_COLUMNS, "covers", (*_STUDENT, "instrument", "phase", "item"), ("score_as_written", "max_score")),
        *("score_as_written", ("instrument", "phase", "item")),
    ),
    "rubric": UploadKind(
        RUBRIC_COLUMNS, "covers", (*_STUDENT, "outcome"), ("level_as_written",), "level_as_written", ("semester", "outcome")
    ),
}
