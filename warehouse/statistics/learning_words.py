"""Sentences on learning: gains of a class, attainment of an outcome, items of an instrument. None names a cause or a student."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from warehouse.statistics.wording import counted, listed, number, semester_words

if TYPE_CHECKING:
    from warehouse.statistics.attainment import Attainment
    from warehouse.statistics.items import ItemAnalysis
    from warehouse.statistics.learning import LearningGain

SITTINGS = {"pre": "before the unit", "post": "after the unit"}


def gain_sentence(found: LearningGain, semester: str, instrument: str) -> str:
    """What a class gained on an instrument, on how many students, or why it cannot be said."""
    when = f"In {semester_words(semester)}"
    only = [f"{n} who took it only {words}" for n, words in ((found.n_pre_only, "before"), (found.n_post_only, "after")) if n]
    left_out = f"; left out: {listed(only)}" if only else ""
    if found.pre_mean_percent is None or found.post_mean_percent is None:
        return f"{when}, the gain on {instrument} is not known: {lowered(found.reason)}{left_out}."
    said = (
        f"{when}, {counted(found.n_matched, 'student')} took {instrument} before and after, and the mean went from"
        f" {percent(found.pre_mean_percent)} to {percent(found.post_mean_percent)} of the points"
    )
    if found.class_gain is not None:
        said += f", a class gain of {number(found.class_gain)} of what was left to gain"
        if found.class_gain_ci_low is not None and found.class_gain_ci_high is not None:
            ends = f"95 % interval {number(found.class_gain_ci_low)} to {number(found.class_gain_ci_high)}"
            said += f" ({ends}; {found.class_gain_band})"
    return f"{said}{f' ({lowered(found.reason)})' if found.reason else ''}{left_out}."


def attainment_sentence(
    found: Attainment, counts: tuple[int, int, int | None], target_share: float | None, evidence: str, statement: str, semester: str
) -> str:
    """How many attained an outcome, against the target, or why it cannot be said; `counts` are scored, unscored, attained."""
    n_scored, n_unscored, n_attained = counts
    when, what = semester_words(semester), quoted(statement)
    if found.share_attained is None or found.share_ci_low is None or found.share_ci_high is None:
        return f"In {when}, nothing can be said of {what}: {lowered(found.reason)}."
    by = "by the rubric" if evidence == "rubric" else "by the assessment after the unit"
    ends = f"95 % interval {percent(100 * found.share_ci_low)} to {percent(100 * found.share_ci_high)}"
    share = f"{percent(100 * found.share_attained)}, {ends}"
    said = f"In {when}, {n_attained} of {counted(n_scored, 'scored student')} attained {what} {by} ({share})"
    if target_share is not None:
        said += f"; {target_words(found.share_ci_low, found.share_ci_high, target_share)}"
    return f"{said}{f'; not scored: {n_unscored}' if n_unscored else ''}."


def target_words(low: float, high: float, target_share: float) -> str:
    """Where the interval lies beside the target: what the class shows may be chance where it holds the target."""
    target = f"the target of {percent(100 * target_share)}"
    if low >= target_share:
        return f"the interval lies at or above {target}"
    return f"the interval lies below {target}" if high < target_share else f"the interval includes {target}"


def item_sentence(found: ItemAnalysis, semester: str, instrument: str, phase: str) -> str:
    """How hard an item was and how it goes along with the others, or why it cannot be said."""
    which = f"item {quoted(found.item)} of {instrument}, {SITTINGS.get(phase, phase)} in {semester_words(semester)}"
    if found.difficulty is None:
        return f"Of {which}, nothing is known: nobody was scored."
    said = f"{counted(found.n_scored, 'student')} reached {percent(100 * found.difficulty)} of the points of {which}"
    if found.discrimination is None:
        return f"{said}; how it goes along with the other items is not known: {lowered(found.reason)}."
    related = f"its correlation with the sum of the other items is {number(found.discrimination)}"
    return f"{said}; {related} among {counted(found.n_complete, 'student')} with every item scored."


def percent(value: float) -> str:
    """A percentage without decimals: "62 %"."""
    return f"{number(value, 0)} %"


def quoted(text: str) -> str:
    """A program's own words in quotation marks, without their full stop."""
    return f"“{text.strip().rstrip('.')}”"


def lowered(reason: str | None) -> str:
    """A reason to stand within a sentence: no capital, no full stop."""
    return "" if not reason else (reason[:1].lower() + reason[1:]).rstrip(".")


HIDDEN = "hidden, so that it tells of nobody"


def hidden_outcome_sentence(
    row: Mapping[str, Any], n: int | None, at_least: float | None, at_most: float | None, is_met: bool | None
) -> str:
    """An outcome of which a reviewer may know a bound, or nothing. `row` is one of learning_outcomes, `n` the scored students if shown."""
    when, what = semester_words(row["semester"]), quoted(row["statement"])
    by = "by the rubric" if row["evidence"] == "rubric" else "by the assessment after the unit"
    bound = bound_words(at_least, at_most)
    if n is None or not bound:
        whom = "few students" if n is None else counted(n, "student")
        return f"In {when}, {whom} {'was' if n == 1 else 'were'} scored on {what} {by}; how many attained it is {HIDDEN}."
    said = f"In {when}, {bound} of {counted(n, 'scored student')} attained {what} {by}; the exact number is {HIDDEN}"
    if row["target_share"] is None:
        return f"{said}."
    target = f"the target of {percent(100 * row['target_share'])}"
    if is_met is None:
        return f"{said}, and so is whether {target} was met."
    return f"{said}; it is {'at or above' if is_met else 'below'} {target}."


def reviewed_gain_sentence(row: Mapping[str, Any], at_least: int | None, reason: str | None) -> str:
    """A class's gain as a reviewer may know it: on at least so many students, None where that is hidden too."""
    when = f"In {semester_words(row['semester'])}"
    if not at_least:
        why = HIDDEN if at_least is None else f"not known: {lowered(reason)}"
        return f"{when}, the gain on {row['instrument']} is {why}."
    said = (
        f"{when}, at least {counted(at_least, 'student')} took {row['instrument']} before and after, and the mean went from"
        f" {percent(row['pre_mean_percent'])} to {percent(row['post_mean_percent'])} of the points"
    )
    if row["class_gain"] is not None:
        said += f", a class gain of {number(row['class_gain'])} of what was left to gain"
    if row["class_gain_ci_low"] is None or row["class_gain_ci_high"] is None:
        return f"{said} ({lowered(reason)})."
    ends = f"95 % interval {number(row['class_gain_ci_low'])} to {number(row['class_gain_ci_high'])}"
    return f"{said} ({ends}; {row['class_gain_band']})."


def reviewed_item_sentence(row: Mapping[str, Any]) -> str:
    """An item as a reviewer may know it."""
    sitting = SITTINGS.get(row["phase"], row["phase"])
    which = f"of the points of item {quoted(row['item'])} of {row['instrument']}, {sitting} in {semester_words(row['semester'])}"
    if row.get("difficulty") is not None:
        said, related = f"About {percent(100 * row['difficulty'])} {which}, were reached", row["discrimination"]
        return f"{said}." if related is None else f"{said}; its correlation with the sum of the other items is {number(related)}."
    bound = bound_words(row["difficulty_at_least"], row["difficulty_at_most"])
    if not bound:
        return f"How many {which}, were reached is {HIDDEN}."
    return f"{bound[:1].upper() + bound[1:]} {which}, were reached; the share is {HIDDEN}."


def bound_words(at_least: float | None, at_most: float | None) -> str:
    """A bound of a share, 0 to 1: "at least 60 %"; blank without one."""
    if at_least is not None:
        return f"at least {percent(100 * at_least)}"
    return "" if at_most is None else f"at most {percent(100 * at_most)}"
