"""What a row below a header is: data, a summary of the rows above, or a note."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date, time
from functools import lru_cache

from ingest.cells.clock import parse_time
from ingest.cells.dates import PartialDate, parse_date
from ingest.cells.numbers import parse_reading
from ingest.files.containers import CellValue
from ingest.folding import fold
from ingest.tables.headers import SUMMARY_WORDS, understand_header
from ingest.units import unit_named

ANCHORS = {"reading", "date", "site", "taxon", "plant", "leaf", "section", "sampling_window", "time_read", "time_cut", "observer"}
PLACING = {"reading", "date", "site", "taxon", "plant"}
LabelsOf = Callable[[str], Mapping[str, str]]
SUMMARY_SIGNS = frozenset({"x̄", "X̄", "x̅", "X̅", "µ", "μ", "σ", "Σ", "∑", "Ø", "⌀"})
STRONG_SUMMARY_WORDS = frozenset(
    {"std", "stderr", "overall", "mean", "average", "avg", "total", "sum", "sd", "stdev", "median", "difference", "range"}
)
_NOTE_WORDS = "note notes legend key source remark nb comment comments values units data measured footnote"
_KEY = re.compile(r"\s*[^\W\d_][^\d:]{1,30}:(?!\d)")
NOTE_WORDS = frozenset(_NOTE_WORDS.split())


class KnownRows:
    """Rows that need no second look: dated, timed, with a number, and without a text that was not in a row of data before.

    Most rows of a long file are such; what is decided of them is what `other_row` would decide.
    """

    def __init__(self, meanings: Mapping[int, str | None]) -> None:
        places = {meaning: place for place, meaning in meanings.items() if meaning}
        clock = places.get("time_read") or places.get("time_cut")
        self._free = {place - 1 for place, meaning in meanings.items() if meaning in ("remark", "observer")}
        needed = [places.get("date"), places.get("reading"), places.get("site") or places.get("taxon"), clock]
        self._needed = [place - 1 for place in needed if place] if all(needed) else []
        self._when = [place - 1 for place in (needed[0], needed[1], clock) if place]
        self._texts: set[CellValue] = set()

    def learn(self, filled: Mapping[int, CellValue]) -> None:
        """Remember the texts of a row that was found to be data."""
        if self._needed and all(place + 1 in filled for place in self._needed):
            self._texts.update(cell for place, cell in filled.items() if place - 1 not in self._free and cell != 0)

    def is_measured(self, cells: Mapping[int, CellValue]) -> bool:
        """True where a day, a clock time and a number stand in their columns: no row of averages has all three."""
        return bool(self._needed) and all(is_value(cells.get(place + 1)) for place in self._when)

    def is_plain(self, cells: Sequence[CellValue]) -> bool:
        """True where a row is like those before it."""
        if not self._needed or len(cells) <= max(self._needed) or any(cells[place] is None for place in self._needed):
            return False
        texts = self._texts
        return all(cell is None or cell in texts or place in self._free for place, cell in enumerate(cells))


def is_value(cell: CellValue) -> bool:
    """True where a cell holds a number, a date or a time, not words."""
    if not isinstance(cell, str):
        return cell is not None
    written = parse_reading(cell, None)
    return (written is not None and written.value is not None) or parse_date(cell) is not None or parse_time(cell) is not None


def is_zero_row(filled: Mapping[int, CellValue]) -> bool:
    """True where formulas that point at blank cells left nothing but zeros (as a date: the last days of 1899)."""
    return len(filled) > 1 and all(_is_zero(cell) for cell in filled.values())


def _is_zero(cell: CellValue) -> bool:
    if isinstance(cell, date):
        return cell.year <= 1900
    return cell in (0, "0", "0.0", "0:00", "00:00", "1/0/1900", "12/30/1899", "1899-12-30") or cell == time(0)


def other_row(
    filled: Mapping[int, CellValue], headers: Mapping[int, str], meanings: Mapping[int, str | None], *, after_summary: bool
) -> str | None:
    """The structural code of a row below a header, or None where it is data: whatever may be data stays data."""
    if states(filled) and not any(meanings.get(place) == "remark" for place in filled):
        return "note_row"
    is_placed = len({meanings.get(place) for place in filled} & PLACING) >= 3
    # A remark may well speak of an average, and a reading be "out of range"; the other cells label the row.
    silent = ("remark", "observer", "reading") if is_placed else ("remark", "observer")
    labels = [cell for place, cell in filled.items() if isinstance(cell, str) and meanings.get(place) not in silent]
    # Behind a row of averages, or without the clock time of a reading, "SE" is a standard error; else it may be the south-eastern plant.
    clocks = [place for place, meaning in meanings.items() if meaning in ("time_read", "time_cut")]
    is_timeless = bool(clocks) and not any(place in filled for place in clocks)
    vocabulary = SUMMARY_WORDS if after_summary or is_timeless or not is_placed else STRONG_SUMMARY_WORDS
    if any(_is_summary_label(cell, vocabulary) for cell in labels):
        return "summary_row"
    if is_placed:
        return None
    observers = [cell for place, cell in filled.items() if isinstance(cell, str) and meanings.get(place) == "observer"]
    if any(_is_summary_label(cell, STRONG_SUMMARY_WORDS) for cell in observers):
        return "summary_row"  # the first column, where "Average" is written, may be the observer's; "Max" may be a name
    inside = {place: cell for place, cell in filled.items() if place in headers}
    has_number = any(not isinstance(cell, str) or re.search(r"\d", cell) for cell in inside.values())
    first = next(iter(filled.values()))
    if len(filled) == 1 and "date" not in meanings.values() and _names_a_day(first):
        return "note_row"  # a day's heading, whatever column it happens to stand in
    if len(filled) == len(inside) == 1 and _heads_a_block(first, meanings.get(next(iter(filled)))):
        return "note_row"
    if len(inside) <= 1 and isinstance(first, str) and (len(first.split()) > 3 or not has_number or _opens_a_note(first)):
        return "note_row"
    if len(filled) <= 2 and not has_number and len(headers) > 4:
        return "note_row"
    return None


def states(filled: Mapping[int, CellValue]) -> bool:
    """True for a row that says what things are, each after a colon, in its cell or the next: "Site: Hilltop", "Window:" "midday"."""
    cells = iter(filled.values())
    for cell in cells:
        if not isinstance(cell, str) or not _KEY.match(cell):
            return False
        if cell.rstrip().endswith(":"):
            next(cells, None)
    return True


def opens_small_table(filled: Mapping[int, CellValue]) -> bool:
    """True for the header of a small table of means: the word mean beside the name of a column, and no number."""
    texts = [cell for cell in filled.values() if isinstance(cell, str)]
    return len(texts) == len(filled) and any(understand_header(text).best in ANCHORS for text in texts if not is_value(text))


def opens_crossed_means(filled: Mapping[int, CellValue], labels: LabelsOf) -> bool:
    """True for the header of a small table below the readings whose columns are sites, plants or units: no reading has such a row."""
    texts = [cell for cell in filled.values() if isinstance(cell, str)]
    if len(texts) < max(2, len(filled)) or any(map(is_value, texts)):
        return False
    if all(unit_named(text) for text in texts):
        return True
    found = [tuple(sorted(labels(text).items())) for text in texts]
    named = [labelled for labelled in found if labelled]
    kinds = {tuple(kind for kind, _ in labelled) for labelled in named}
    return len(named) >= max(2, len(texts) - 1) and len(kinds) == 1 and len(set(named)) == len(named)


def _heads_a_block(cell: CellValue, meaning: str | None) -> bool:
    """True for words alone in a row, below the name of a place, a plant or a day: "Ridge Top, 9/24/2024" is no reading."""
    return (
        isinstance(cell, str) and meaning in ("date", "section", "site", "taxon", "plant") and len(cell.split()) > 1 and not is_value(cell)
    )


def _names_a_day(cell: CellValue) -> bool:
    """True for a whole date, not for a number or a tag such as 1-2 that could be one."""
    if (isinstance(cell, str) and cell.strip().isdecimal()) or isinstance(cell, (int, float)):
        return False
    found = parse_date(cell)
    return found is not None and (not isinstance(found, PartialDate) or found.is_ordered or found.year is not None)


@lru_cache(maxsize=65_536)
def _is_summary_label(cell: str, vocabulary: frozenset[str]) -> bool:
    words = fold(cell).split()
    if cell.strip() in SUMMARY_SIGNS or re.fullmatch(r"[nN]\s*=\s*\d+", cell.strip()):
        return True
    if "".join(words) in vocabulary or words[:2] in (["standard", "error"], ["standard", "deviation"]):
        return True  # "s.e."
    return bool(words) and len(words) <= 5 and (words[0] in vocabulary or words[-1] in STRONG_SUMMARY_WORDS)


def _opens_a_note(text: str) -> bool:
    return text.lstrip().startswith(("*", "†", "(")) or (fold(text).split() or [""])[0] in NOTE_WORDS
