"""The tables of the program review: every number with its interval and its n; a hidden one says that it is hidden."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dashboards.answer import Table
from dashboards.reports.program_figures import METHOD
from dashboards.words import is_missing, number, semester_order, semester_words

if TYPE_CHECKING:
    import pandas as pd

HIDDEN = "hidden"


def outcomes(rows: pd.DataFrame) -> Table:
    """One row per semester, outcome and kind of evidence, the latest first."""
    shown = _latest_first(rows).assign(
        share=lambda frame: [_percent(value) for value in frame["share_attained"]],
        interval=lambda frame: _intervals(frame, "share_ci_low", "share_ci_high", 0, factor=100.0),
        target=lambda frame: [_percent(value) for value in frame["target_share"]],
        met=lambda frame: ["" if is_missing(value) else "yes" if value else "no" for value in frame["is_target_met"]],
        n=lambda frame: [_count(value) for value in frame["n_scored"]],
        unscored=lambda frame: [_count(value) for value in frame["n_unscored"]],
    )
    headings = {"when": "Semester", "outcome": "Outcome", "evidence": "Evidence", "n": "Students scored", "unscored": "Not scored"}
    headings |= {"share": "Attained, %", "interval": "95 % interval, %", "target": "Target, %", "met": "Met", "note": "Note"}
    return _table("Outcomes by cohort, the latest first", shown, headings, {"n", "unscored", "share", "interval", "target"})


def gains(rows: pd.DataFrame) -> Table:
    """One row per semester and instrument, the latest first."""
    shown = _latest_first(rows).assign(
        matched=lambda frame: [_count(value) for value in frame["n_matched"]],
        pre_only=lambda frame: [_count(value) for value in frame["n_pre_only"]],
        post_only=lambda frame: [_count(value) for value in frame["n_post_only"]],
        pre=lambda frame: [_number(value, 1) for value in frame["pre_mean_percent"]],
        post=lambda frame: [_number(value, 1) for value in frame["post_mean_percent"]],
        gain=lambda frame: [_number(value, 2) for value in frame["class_gain"]],
        interval=lambda frame: _intervals(frame, "class_gain_ci_low", "class_gain_ci_high", 2),
        band=lambda frame: ["" if is_missing(value) else str(value) for value in frame["class_gain_band"]],
    )
    headings = {"when": "Semester", "instrument": "Instrument", "matched": "Matched students", "pre_only": "Before only"}
    headings |= {"post_only": "After only", "pre": "Before, %", "post": "After, %", "gain": "Gain of the class"}
    headings |= {"interval": "95 % interval", "band": "Band", "note": "Note"}
    numeric = {"matched", "pre_only", "post_only", "pre", "post", "gain", "interval"}
    return _table("Gains by cohort, the latest first", shown, headings, numeric)


def further_gains(rows: pd.DataFrame) -> Table:
    """One row per semester and instrument, the latest first: other measures of the same gain, each under its own name."""
    shown = _latest_first(rows).assign(
        rise=lambda frame: [_number(value, 1) for value in frame["difference_percent"]],
        rise_interval=lambda frame: _intervals(frame, "difference_ci_low_percent", "difference_ci_high_percent", 1),
        effect=lambda frame: [_number(value, 2) for value in frame["d_av"]],
        effect_interval=lambda frame: _intervals(frame, "d_av_ci_low", "d_av_ci_high", 2),
        mean=lambda frame: [_number(value, 2) for value in frame["gain_mean_of_students"]],
        median=lambda frame: [_number(value, 2) for value in frame["gain_median_of_students"]],
        undefined=lambda frame: [_count(value) for value in frame["n_gain_undefined"]],
        absent=lambda frame: [_count(value) for value in frame["n_absent"]],
    )
    headings = {"when": "Semester", "instrument": "Instrument", "rise": "After minus before, %", "rise_interval": "95 % interval, %"}
    headings |= {"effect": "d_av", "effect_interval": "95 % interval of d_av", "mean": "Mean of students' own gains"}
    headings |= {"median": "Median of them", "undefined": "Full marks before", "absent": "Absent"}
    return _table("Other measures of the gain", shown, headings, set(headings) - {"when", "instrument"})


def items(rows: pd.DataFrame) -> Table:
    """One row per instrument, phase and item of one semester."""
    shown = rows.assign(
        when=lambda frame: [{"pre": "before", "post": "after"}.get(str(phase), str(phase)) for phase in frame["phase"]],
        n=lambda frame: [_count(value) for value in frame["n_scored"]],
        easy=lambda frame: [_percent(value) for value in frame["difficulty"]],
        tells=lambda frame: [_number(value, 2) for value in frame["discrimination"]],
        alike=lambda frame: [_number(value, 2) for value in frame["alpha"]],
        note=_notes,
    )
    headings = {"instrument": "Instrument", "when": "When", "item": "Item", "n": "Students scored", "easy": "Points won, %"}
    headings |= {"tells": "Discrimination", "alike": "Alpha of the instrument", "note": "Note"}
    return _table("Items of the semester", shown, headings, {"n", "easy", "tells", "alike"})


def method(rows: pd.DataFrame) -> Table:
    """One row per semester, the latest first: shares of rows and readings, %."""
    shown = _latest_first(rows)
    for title, counted, of in METHOD:
        shares = []
        for row in shown.to_dict("records"):
            part, whole = row[counted], [row[name] for name in of]
            is_hidden = any(is_missing(value) for value in (part, *whole))
            shares.append(HIDDEN if is_hidden else number(100 * int(part) / sum(map(int, whole)), 1) if sum(whole) else "")
        shown[title] = shares
    shown["n"] = [_count(value) for value in shown["n_rows"]]
    headings = {"when": "Semester", "n": "Rows"} | {title: title for title, _, _ in METHOD}
    return _table("The method by cohort, the latest first", shown, headings, {"n", *(title for title, _, _ in METHOD)})


def _table(caption: str, shown: pd.DataFrame, headings: dict[str, str], numeric: set[str]) -> Table:
    return Table(caption, shown, headings, frozenset(numeric), frozenset({"note"}))


def _latest_first(rows: pd.DataFrame) -> pd.DataFrame:
    order = [semester_order(str(semester)) for semester in rows["semester"]]
    ordered = rows.assign(order=order).sort_values("order", ascending=False, kind="stable")
    return ordered.assign(when=[semester_words(str(semester)) for semester in ordered["semester"]], note=_notes)


def _notes(rows: pd.DataFrame) -> list[str]:
    if "reason" not in rows:
        return [""] * len(rows)
    return ["" if is_missing(reason) else str(reason) for reason in rows["reason"]]


def _count(value: Any) -> str:
    return "" if is_missing(value) else str(int(value))


def _number(value: Any, decimals: int) -> str:
    return "" if is_missing(value) else number(float(value), decimals)


def _percent(value: Any) -> str:
    return "" if is_missing(value) else number(100 * float(value), 0)


def _intervals(rows: pd.DataFrame, low: str, high: str, decimals: int, *, factor: float = 1.0) -> list[str]:
    ends = zip(rows[low], rows[high], strict=True)
    return [
        "" if is_missing(a) or is_missing(b) else f"{number(factor * float(a), decimals)} to {number(factor * float(b), decimals)}"
        for a, b in ends
    ]
