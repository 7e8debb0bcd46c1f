"""Tell a file of scores or levels from a file of readings, by its first header."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from itertools import pairwise

from ingest.files.containers import Sheet
from ingest.folding import fold
from ingest.learning.headers import understand
from ingest.learning.scores import parse_score
from ingest.learning.tables import MOST_COLUMNS, Known, filled_cells, header_of, is_of_field_day
from ingest.tables.column_cells import text_of

HEADER_WITHIN = 60  # rows above the first header; no class's export has more


def kind_told(sheets: Sequence[Sheet], names: Mapping[str, Known]) -> str | None:
    """assessment or rubric, by the first header of scores or levels; None where the file holds neither.

    Args:
        sheets: the file's sheets, of which the first rows are looked at.
        names: for each kind, what tells a header that the registers know as an item or an outcome.
    """
    for sheet in sheets:
        rows = [filled_cells(cells[:MOST_COLUMNS]) for cells in sheet.rows[:HEADER_WITHIN]]
        for above, filled in zip([{}, *rows], rows, strict=False):
            found = partial(header_of, filled, above)
            as_rubric = found("rubric", names["rubric"])
            if as_rubric and any(heading.role == "outcome" or names["rubric"](heading.text) for heading in as_rubric.values()):
                return "rubric"
            if as_rubric and any(fold(heading.text) in ("level", "rating", "rubric level") for heading in as_rubric.values()):
                return "rubric"
            if found("assessment", names["assessment"]):
                return "assessment"
    return None


def may_be_learning(sheets: Sequence[Sheet]) -> bool:
    """True where a table names students over numbers and nothing says what the numbers are: scores, levels or something else."""
    for sheet in sheets:
        rows = [filled_cells(cells[:MOST_COLUMNS]) for cells in sheet.rows[:HEADER_WITHIN]]
        for filled, below in pairwise(rows):
            headings = {place: understand(text_of(cell), "assessment") for place, cell in filled.items() if isinstance(cell, str)}
            has_numbers = any(parse_score(cell, None).value is not None for place, cell in below.items() if place in headings)
            if has_numbers and any(heading.is_student for heading in headings.values()) and not is_of_field_day(headings):
                return True
    return False
