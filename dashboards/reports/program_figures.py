"""The figures of the program review: shares, gains and method over the cohorts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from dashboards.answer import Answer
from dashboards.reports.cohort_panel import Point, cohort_panel
from dashboards.reports.program_words import short
from dashboards.words import count, is_missing, number, sentence

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.figures.panel import Panel

METHOD = (
    ("Rows that count as readings, %", "n_usable", ("n_rows",)),
    ("Rows flagged, %", "n_flagged", ("n_rows",)),
    ("Rows set aside, %", "n_set_aside", ("n_rows",)),
    ("Readings with a doubtful endpoint, %", "n_doubtful_endpoint", ("n_accepted", "n_flagged")),
    ("Readings taken late after the cut, %", "n_late", ("n_accepted", "n_flagged")),
)
"""Title, what is counted, and of how many: the sum of these counts."""

MOST_OF_A_TITLE = 48

LEAST_TOP_PERCENT = 5.0
"""Small shares are drawn on a scale to here at least, so that a share of 1 % does not look like much."""


def outcomes(rows: pd.DataFrame, semesters: list[str], chosen: str) -> Answer | None:
    """Share of students at or above the target of each outcome, one panel per outcome and kind of evidence; None where none is known."""
    panels = []
    shown = since(rows[rows["evidence"] != "none"], semesters)
    for (outcome, evidence), mine in rows.groupby(["outcome", "evidence"]):
        points = [point for row in mine.to_dict("records") if (point := _attained(row)) is not None]
        hidden = sorted(set(_suppressed(mine)) - {point.semester for point in points})
        if points or hidden:
            targets = mine["target_share"].dropna()
            target = None if targets.empty else 100 * float(targets.iloc[-1])
            # What tells two panels of one outcome apart comes first: a phone cuts a long title at its end. No two titles may be the same.
            title = f"{sentence(str(evidence))}, %: {short(str(mine['statement'].iloc[-1]), MOST_OF_A_TITLE)} ({outcome})"
            panels.append(cohort_panel(f"{outcome} {evidence}", title, points, shown, chosen, target=target, top=100.0, hidden=hidden))
    says = "Share of students who attained the outcome, %. Bars are 95 % Wilson intervals; the level line is the program's target."
    if any("dash" in panel.layers["ink_marks"]["shape"] for panel in panels):
        says += " A stroke is a bound: the share itself is hidden, and lies along its bar."
    return _answer("Outcomes over the cohorts", panels, says)


def _suppressed(rows: pd.DataFrame) -> list[str]:
    """Semesters whose numbers are hidden in the data; none in the instructor's file."""
    return [str(each) for each in rows.loc[rows["is_suppressed"], "semester"]] if "is_suppressed" in rows else []


def _attained(row: Mapping[Any, Any]) -> Point | None:
    """The share of a cohort, or the bound that the reviewer's file tells in its place; None where it tells neither."""
    semester, n = str(row["semester"]), row["n_scored"]
    of = "" if is_missing(n) else f" of {count(int(n), 'student')}"
    if not is_missing(row["share_attained"]):
        share = 100 * float(row["share_attained"])
        return Point(semester, share, _end(row["share_ci_low"], 100), _end(row["share_ci_high"], 100), f"{number(share, 0)} %{of}")
    for name, words, edge in (("share_at_least", "at least", 100.0), ("share_at_most", "at most", 0.0)):
        if not is_missing(row.get(name)):
            bound = 100 * float(row[name])
            says = f"{words} {number(bound, 0)} %{of}"
            return Point(semester, bound, min(bound, edge), max(bound, edge), says, is_bound=True)
    return None


def gains(rows: pd.DataFrame, semesters: list[str], chosen: str) -> Answer | None:
    """Normalized gain of the class on each instrument; None where none is known."""
    panels = []
    for instrument, mine in rows.groupby("instrument"):
        points = [
            Point(
                str(row.semester),
                float(row.class_gain),
                _end(row.class_gain_ci_low, 1),
                _end(row.class_gain_ci_high, 1),
                f"{number(float(row.class_gain), 2)}, {matched_words(row)}",
            )
            for row in mine[mine["class_gain"].notna()].itertuples()
        ]
        hidden = _suppressed(mine)
        if points or hidden:
            title = f"{instrument}: gain of the class"
            panels.append(cohort_panel(str(instrument), title, points, since(rows, semesters), chosen, top=1.0, hidden=hidden))
    return _answer("Gains over the cohorts", panels, "Normalized gain: a share of what was left to gain; bars are 95 % intervals.")


def matched_words(row: Any) -> str:
    """On how many students a gain stands, as far as the role's file tells; blank where it does not."""
    if hasattr(row, "n_matched"):
        return count(int(row.n_matched), "matched student")
    return "" if is_missing(row.n_matched_at_least) else f"at least {count(int(row.n_matched_at_least), 'matched student')}"


def method(rows: pd.DataFrame, semesters: list[str], chosen: str) -> Answer | None:
    """Shares of rows and readings that speak of the method; None where all are hidden."""
    panels = []
    for title, counted, of in METHOD:
        points, hidden = [], []
        for row in rows.to_dict("records"):
            part, whole = row[counted], [row[name] for name in of]
            if any(is_missing(value) for value in (part, *whole)):
                hidden.append(str(row["semester"]))
            elif sum(whole):
                share = 100 * int(part) / sum(int(value) for value in whole)
                points.append(Point(row["semester"], share, None, None, f"{number(share, 1)} %, {int(part)} of {sum(map(int, whole))}"))
        if points:
            panels.append(cohort_panel(counted, title, points, semesters, chosen, top=LEAST_TOP_PERCENT, hidden=hidden))
    return _answer("The method over the cohorts", panels, "A mark is a cohort: all sections of a semester.")


def since(rows: pd.DataFrame, semesters: list[str]) -> list[str]:
    """The semesters from the first that has a row on."""
    there = set(rows["semester"])
    return semesters[next((i for i, semester in enumerate(semesters) if semester in there), 0) :]


def _end(value: Any, factor: float) -> float | None:
    return None if is_missing(value) else factor * float(value)


def _answer(title: str, panels: list[Panel], source: str) -> Answer | None:
    if any(panel.layers["words"]["text"] for panel in panels):
        source += " A question mark: hidden, so that it tells of nobody."
    counts = f"{sentence(count(len(panels), 'panel'))}, one mark per semester."
    return Answer(title=title, reading="", panels=panels, source=source, counts=counts) if panels else None
