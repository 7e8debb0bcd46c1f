"""The Uploads view, for the instructor: what was received, what was found wrong, and which rows are kept but not used."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dashboards.answer import Answer, Table
from dashboards.words import count, is_missing, listed, semester_words
from ingest.doubts.problem_kinds import KINDS

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices

_SUMS = ["rows_in_file", "rows_accepted", "rows_flagged", "rows_set_aside"]


def draw(uploads: pd.DataFrame, problems: pd.DataFrame, set_aside: pd.DataFrame, choices: Choices) -> Answer:
    """Tables of receipts, problems and set-aside rows, and the sum that accounts for every row of the active uploads."""
    where = f"for {semester_words(choices.semester)}" if choices.semester else "yet"
    if uploads.empty:
        return Answer(
            title="Nothing received",
            reading=f"No file has been loaded {where}. Load one with: tautleaf load FILE",
        )
    active = uploads[uploads["status"] == "active"]
    n_in, n_accepted, n_flagged, n_aside = (int(active[name].sum()) for name in _SUMS)
    out = len(uploads) - len(active)
    in_use = f"{count(len(active), 'upload')} in use, of {count(n_in, 'row')}"
    became = ((n_accepted, "accepted"), (n_flagged, "flagged"), (n_aside, "set aside"))
    reading = f"{in_use}: {', '.join(count(n, what, what) for n, what in became)}."
    return Answer(
        title=f"{count(len(uploads), 'upload')} " + (f"of {semester_words(choices.semester)}" if choices.semester else "of every semester"),
        reading=reading,
        fair=[f"{count(out, 'upload')} replaced or withdrawn: kept as received, not used."] if out else (),
        counts=_reasons(set_aside, n_aside),
        tables=[_receipts(uploads), _problems(problems), _rows(set_aside)],
    )


def _reasons(set_aside: pd.DataFrame, n_aside: int) -> str:
    """How many readings were set aside for each reason; a row may have several. The other rows were no readings."""
    if set_aside.empty:
        return "No row of readings is set aside."
    reasons = set_aside["reasons"].fillna("").str.split(";").explode()
    told = [f"{reason.replace('_', ' ')} ({n})" for reason, n in reasons[reasons != ""].value_counts().items()]
    others = n_aside - len(set_aside)
    rest = ""
    if others > 0:
        rest = f" {count(others, 'more row')} set aside: titles, headings, blank rows, sums, or days of weather."
    return f"{count(len(set_aside), 'reading')} set aside: {listed(told)}.{rest}"


def _receipts(uploads: pd.DataFrame) -> Table:
    shown = uploads.assign(
        short=[upload[:8] for upload in uploads["upload_id"]],
        semesters=uploads["semesters"].fillna("").str.replace(";", ", "),
        received_at=[str(received)[:16].replace("T", " ") for received in uploads["received_at"]],
    )
    headings = {
        "file_name": "File",
        "short": "Upload",
        "kind": "Kind",
        "received_at": "Received (UTC)",
        "status": "Status",
        "semesters": "Semesters",
        "rows_in_file": "Rows",
        "rows_accepted": "Accepted",
        "rows_flagged": "Flagged",
        "rows_set_aside": "Set aside",
    }
    return Table("Receipts, the latest first", shown, headings, frozenset(_SUMS), frozenset({"file_name"}))


def _problems(problems: pd.DataFrame) -> Table:
    headings = {
        "file_name": "File",
        "sheet": "Sheet",
        "row": "Row",
        "column": "Column",
        "value": "Value",
        "severity": "What became of it",
        "message": "What is wrong",
        "suggestion": "What to do",
        "count": "Times",
    }
    shown = problems.assign(
        severity=[_became(severity, code) for severity, code in zip(problems["severity"], problems["code"], strict=True)]
    )
    return Table("Problems", shown, headings, frozenset({"row", "count"}), frozenset({"file_name", "message", "suggestion"}))


def _became(severity: str, code: str) -> str:
    """What became of a row with a problem; a flag of a code that is no longer known says only that."""
    if severity == "flag":
        return "flagged" if code not in KINDS else "flagged, counts" if KINDS[code].usable else "flagged, out of the means"
    return {"set_aside": "set aside", "refuse": "refused"}.get(severity, severity)


def _rows(set_aside: pd.DataFrame) -> Table:
    headings = {
        "file_name": "File",
        "source_sheet": "Sheet",
        "source_row": "Row",
        "reasons": "Set aside because",
        "date": "Date",
        "site": "Site",
        "taxon": "Taxon",
        "reading_as_written": "Reading as written",
        "unit_as_written": "Unit",
        "remark": "Remark",
    }
    shown = set_aside.assign(
        reasons=set_aside["reasons"].fillna("").str.replace("_", " ").str.replace(";", ", "),
        date=["" if is_missing(date) else str(date)[:10] for date in set_aside["date"]],
    )
    return Table("Rows set aside", shown, headings, frozenset({"source_row"}), frozenset({"file_name", "reasons", "remark"}))
