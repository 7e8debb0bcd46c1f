"""The tables of the program review: every number with its interval and its n, in the columns that the role's file has.

The reviewer's file tells less than the instructor's: a share of few students as a bound, and some counts not at all.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from dashboards.answer import ROWS_IN_A_TABLE, Table
from dashboards.reports.program_figures import METHOD
from dashboards.reports.program_words import named
from dashboards.words import is_missing, number, semester_order, semester_words

if TYPE_CHECKING:
    import pandas as pd

HIDDEN = "hidden"
Row = Mapping[Any, Any]


@dataclass(frozen=True)
class Column:
    """A column: its heading, how a row's cell is said, and what the file must hold for it."""

    heading: str
    says: Callable[[Row], str]
    needs: str
    is_number: bool = True


def _text(heading: str, name: str, words: Mapping[Any, str] | None = None) -> Column:
    return Column(heading, lambda row: "" if is_missing(row[name]) else (words or {}).get(row[name], str(row[name])), name, is_number=False)


def _count(heading: str, name: str) -> Column:
    return Column(heading, lambda row: "" if is_missing(row[name]) else str(int(row[name])), name)


def _number(heading: str, name: str, decimals: int) -> Column:
    return Column(heading, lambda row: "" if is_missing(row[name]) else number(float(row[name]), decimals), name)


def _interval(heading: str, low: str, high: str, decimals: int, *, factor: float = 1.0) -> Column:
    def says(row: Row) -> str:
        if is_missing(row[low]) or is_missing(row[high]):
            return ""
        return f"{number(factor * float(row[low]), decimals)} to {number(factor * float(row[high]), decimals)}"

    return Column(heading, says, low)


def _share(heading: str, exact: str, bound: str) -> Column:
    """A share, %; where the file tells a bound instead, that it is one."""

    def says(row: Row) -> str:
        for name, words in ((exact, ""), (f"{bound}_at_least", "at least "), (f"{bound}_at_most", "at most ")):
            if not is_missing(row.get(name)):
                return words + number(100 * float(row[name]), 0)
        return ""

    return Column(heading, says, exact)


SEMESTER = Column("Semester", lambda row: semester_words(str(row["semester"])), "semester", is_number=False)
OUTCOME = Column("Outcome", lambda row: named(row["statement"], row["outcome"]), "outcome", is_number=False)
NOTE = _text("Note", "reason")
OUTCOMES = (
    SEMESTER,
    OUTCOME,
    _text("Evidence", "evidence"),
    _count("Students scored", "n_scored"),
    _count("Not scored", "n_unscored"),
    _share("Attained, %", "share_attained", "share"),
    _interval("95 % interval, %", "share_ci_low", "share_ci_high", 0, factor=100.0),
    Column("Target, %", lambda row: "" if is_missing(row["target_share"]) else number(100 * float(row["target_share"]), 0), "target_share"),
    _text("Met", "is_target_met", {True: "yes", False: "no"}),
    NOTE,
)
GAINS = (
    SEMESTER,
    _text("Instrument", "instrument"),
    _count("Matched students", "n_matched"),
    _count("Matched students, at least", "n_matched_at_least"),
    _count("Before only", "n_pre_only"),
    _count("After only", "n_post_only"),
    _number("Before, %", "pre_mean_percent", 0),
    _number("After, %", "post_mean_percent", 0),
    _number("Gain of the class", "class_gain", 2),
    _interval("95 % interval", "class_gain_ci_low", "class_gain_ci_high", 2),
    _text("Band", "class_gain_band"),
    NOTE,
)
FURTHER_GAINS = (
    SEMESTER,
    _text("Instrument", "instrument"),
    _number("After minus before, %", "difference_percent", 1),
    _interval("95 % interval, %", "difference_ci_low_percent", "difference_ci_high_percent", 1),
    _number("d_av", "d_av", 2),
    _interval("95 % interval of d_av", "d_av_ci_low", "d_av_ci_high", 2),
    _number("Mean of students' own gains", "gain_mean_of_students", 2),
    _number("Median of them", "gain_median_of_students", 2),
    _count("Full marks before", "n_gain_undefined"),
    _count("Absent", "n_absent"),
)
ITEMS = (
    _text("Instrument", "instrument"),
    _text("When", "phase", {"pre": "before", "post": "after"}),
    _text("Item", "item"),
    _count("Students scored", "n_scored"),
    _share("Points won, %", "difficulty", "difficulty"),
    _number("Discrimination", "discrimination", 2),
    _number("Alpha of the sitting", "alpha", 2),
    NOTE,
)


def outcomes(rows: pd.DataFrame, semester: str) -> Table:
    """One row per semester, outcome and kind of evidence, the latest first; gaps only of the report's semester, to be read at all."""
    shown = rows[(rows["evidence"] != "none") | (rows["semester"] == semester)]
    return _table("Outcomes by cohort, the latest first", latest_first(shown), OUTCOMES)


def gains(rows: pd.DataFrame) -> list[Table]:
    """One row per semester and instrument, the latest first; and, where the file has them, other measures of the same gain."""
    ordered = latest_first(rows)
    first = _table("Gains by cohort, the latest first", ordered, GAINS)
    return [first, _table("Other measures of the gain", ordered, FURTHER_GAINS)] if "d_av" in rows else [first]


def items(rows: pd.DataFrame) -> Table:
    """One row per instrument, sitting and item of one semester."""
    return _table("Items of the semester", rows, ITEMS)


def method(rows: pd.DataFrame) -> Table:
    """One row per semester, the latest first: shares of rows and readings, %."""
    shares = [Column(title, _of(counted, whole), counted) for title, counted, whole in METHOD]
    return _table("The method by cohort, the latest first", latest_first(rows), (SEMESTER, _count("Rows", "n_rows"), *shares))


def _of(counted: str, whole: Sequence[str]) -> Callable[[Row], str]:
    def says(row: Row) -> str:
        if any(is_missing(row[name]) for name in (counted, *whole)):
            return HIDDEN
        of = sum(int(row[name]) for name in whole)
        return number(100 * int(row[counted]) / of, 1) if of else ""

    return says


def latest_first(rows: pd.DataFrame) -> pd.DataFrame:
    """The rows with the latest semester first, those of a semester as they were."""
    order = [semester_order(str(semester)) for semester in rows["semester"]]
    return rows.iloc[sorted(range(len(rows)), key=lambda i: order[i], reverse=True)]


def _table(caption: str, rows: pd.DataFrame, columns: Sequence[Column]) -> Table:
    import pandas as pd

    kept = [column for column in columns if column.needs in rows]
    cells = [[column.says(row) for column in kept] for row in rows.head(ROWS_IN_A_TABLE).to_dict("records")]
    names = [column.heading for column in kept]
    numeric = frozenset(column.heading for column in kept if column.is_number)
    frame, headings = pd.DataFrame(cells, columns=names), {name: name for name in names}
    return Table(caption, frame, headings, numeric, frozenset({NOTE.heading, OUTCOME.heading}), n_rows=len(rows))
