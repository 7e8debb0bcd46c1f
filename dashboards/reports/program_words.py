"""What the program review says: how many targets were met, which evidence is missing, what is hidden, and how it was reckoned."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dashboards.words import count, is_missing, listed, semester_words, sentence, shortened

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.reports.program_report import Evidence

NOT_HIDDEN = (
    "Not suppressed: this was made from the instructor's file and shows small groups too. For readers outside of the course, make it from "
    "the reviewer's file."
)
METHOD = (
    "Gains take only students who wrote both before and after (matched); those of one occasion are counted aside. The normalized gain "
    "of the class is (mean after − mean before) / (100 − mean before), in percent of the points (Hake 1998): below 0.3 low, up to 0.7 "
    "medium, from there high. It is not the mean of the students' own gains. Under ten matched students nothing is inferred.",
    "An outcome is attained by a student at or above its target score or level. Absent and unscored students are left out of the share and "
    "counted aside; the share has Wilson's interval (Wilson 1927; Newcombe 1998).",
    "Difficulty is the share of points won; discrimination the correlation of an item with the rest of its instrument; alpha is over the "
    "students who answered every item.",
    "Cohorts differ in students, weather and teachers. A trend over cohorts shows what changed, not why.",
)

_MOST_OF_A_STATEMENT = 40  # characters, among choices and in running text
_MOST_NAMED = 4  # semesters in a row that a reader takes in


def named(statement: str, outcome: str) -> str:
    """An outcome as the program states it, its code behind."""
    return f"{statement.strip().rstrip('.')} ({outcome})"


def short(statement: str, most: int = _MOST_OF_A_STATEMENT) -> str:
    """The first words of a statement, where there is no room for all."""
    return shortened(statement.strip().rstrip("."), most)


def lead(known: Evidence) -> str:
    """How many targets were met in the semester, in one sentence."""
    when = semester_words(known.semester)
    now = known.now(known.outcomes)
    if known.outcomes.empty:
        return "No assessment has been loaded yet: this review shows only what the field data say of the method."
    judged = now[now["is_target_met"].notna()] if not now.empty else now
    without = _without_evidence(now)
    tail = f" {sentence(count(len(without), 'outcome has', 'outcomes have'))} no evidence." if without else ""
    if judged.empty:
        return f"In {when} no outcome can be set against its target.{tail}"
    n_met = sum(bool(value) for value in judged["is_target_met"])
    reached = "was reached" if len(judged) == 1 else "were reached"
    return f"In {when}, {n_met} of {count(len(judged), 'target')} {reached}.{tail}"


def gaps(known: Evidence) -> list[str]:
    """What evidence is missing, in the semester and before it, each gap a sentence; one sentence where there is none."""
    when = semester_words(known.semester)
    if known.outcomes.empty and known.gains.empty:
        return ["No assessment and no rubric has been loaded, of any semester."]
    now = known.now(known.outcomes)
    told = _without(known)
    if known.now(known.gains).empty:
        told.append(f"No instrument was written before and after in {when}.")
    told += _thin(now)
    assessed = _assessed(known)
    bare = [semester_words(each) for each in known.semesters if each not in assessed]
    if bare:
        told.append(f"Semesters without any assessment: {listed(bare)}.")
    return told or ["Every outcome has evidence, and every semester an assessment."]


def hidden(known: Evidence, threshold: int) -> list[str]:
    """What the file hides, why, and how much of it, from a file in which small cells are hidden in the data."""
    told = [
        f"Counts of fewer than {threshold} are hidden in the data, with every share and interval made of them, and whatever would let a "
        "hidden one be worked out; a share that would tell of nearly all or nearly none is told as a bound. No row stands for a "
        "person, and no name or pseudonym is in the file. The institution's office decides the number."
    ]
    rows = {"outcomes": known.outcomes, "gains": known.gains, "items": known.items}
    counted = {what: int(each["is_suppressed"].fillna(False).sum()) for what, each in rows.items() if "is_suppressed" in each}
    there = [f"{n} of {count(len(rows[what]), 'row')} of {what}" for what, n in counted.items() if n]
    method = [semester_words(str(row.semester)) for row in known.method.itertuples() if any(is_missing(value) for value in row[1:])]
    if there:
        told.append(f"Hidden here: {listed(there)}.")
    if method:
        where = listed(method) if len(method) <= _MOST_NAMED else f"{len(method)} of {count(len(known.method), 'semester')}"
        told.append(f"Of the method, some counts are hidden in {where}.")
    if not there and not method:
        told.append("Nothing had to be hidden here.")
    return told


def _without_evidence(rows: pd.DataFrame) -> list[str]:
    return [] if rows.empty else [str(each) for each in rows.loc[rows["evidence"] == "none", "outcome"]]


def _assessed(known: Evidence) -> set[str]:
    """Semesters with a gain or with evidence of some outcome."""
    some = known.outcomes[known.outcomes["evidence"] != "none"] if not known.outcomes.empty else known.outcomes
    return {str(each) for rows in (known.gains, some) if not rows.empty for each in rows["semester"]}


def _without(known: Evidence) -> list[str]:
    """Which outcomes have no evidence, of the report's semester and of those with an assessment of others."""
    if known.outcomes.empty:
        return []
    looked_at = _assessed(known) | {known.semester}
    none = known.outcomes[(known.outcomes["evidence"] == "none") & known.outcomes["semester"].isin(looked_at)]
    told = []
    for (outcome, statement), rows in none.groupby(["outcome", "statement"]):
        when = [semester_words(str(each)) for each in rows["semester"]]
        told.append(f"{named(statement, outcome)}: no evidence in {'any semester' if len(when) == len(looked_at) else listed(when)}.")
    return told


def _thin(rows: pd.DataFrame) -> list[str]:
    """Outcomes with evidence, of which some students have no score; what an assessment and a rubric lack of one outcome in one sentence."""
    if "n_unscored" not in rows:
        return []
    some = rows[(rows["evidence"] != "none") & (rows["n_unscored"].fillna(0) > 0)]
    told: dict[str, list[str]] = {}
    for row in some.itertuples():
        lacking = f"{row.evidence}: {count(int(row.n_unscored), 'student')} without a score"
        told.setdefault(named(row.statement, row.outcome), []).append(lacking)
    return [f"{outcome}, {'; '.join(lacking)}." for outcome, lacking in told.items()]
