"""Which semester a report is of."""

from __future__ import annotations

from collections.abc import Collection

from dashboards.words import listed, semester_order
from ingest.errors import ReportRefused


def known_semester(semester: str, there: Collection[str]) -> str:
    """The semester if the file holds it, or the latest where none is named.

    Raises:
        ReportRefused: there is no such semester; the message names those that there are.
    """
    ordered = sorted(there, key=semester_order)
    if not ordered:
        raise ReportRefused("There is no semester to report on yet. Load a class's file with: tautleaf load FILE")
    if semester and semester not in there:
        raise ReportRefused(f"There is nothing of the semester {semester!r}. The semesters are {listed(ordered)}.")
    return semester or ordered[-1]
