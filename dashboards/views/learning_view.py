"""The Learning view, for instructor and reviewer: what cohorts learned, against the program's targets, and what is not known of it."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from dashboards.answer import Answer, Table
from dashboards.choices import Choices
from dashboards.reports import program_figures, program_tables, program_words
from dashboards.reports.cohort_panel import Point, cohort_panel
from dashboards.reports.program_report import Evidence
from dashboards.words import count, is_missing, number, semester_order, semester_words

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.figures.panel import Panel

NOTHING = "No assessment has been loaded yet. Load one with: tautleaf load FILE"
FAIR = (
    "An outcome is set against its own target, and a cohort against the same outcome in other cohorts. Cohorts differ in students, weather "
    "and teachers: a trend shows what changed, not why.",
    "A gain takes only the students who wrote both before and after. The gain of the class is not the mean of the students' own gains.",
    "Skill with the method is read from the field data: shares speak of skill, form and plants together.",
)


@dataclass(frozen=True)
class Learned:
    """What a role's file holds of learning. `hidden_under` is the threshold of its small cells, None where nothing is hidden in it."""

    gains: pd.DataFrame
    outcomes: pd.DataFrame
    items: pd.DataFrame
    method: pd.DataFrame
    hidden_under: int | None = None

    def semesters(self) -> list[str]:
        """Codes of all semesters, the first first."""
        frames = (self.gains, self.outcomes, self.method)
        return sorted({str(each) for frame in frames if not frame.empty for each in frame["semester"]}, key=semester_order)

    def offers(self) -> dict[str, dict[str, str]]:
        """Outcomes and instruments that a reader may choose, and the semesters."""
        stated = {} if self.outcomes.empty else dict(zip(self.outcomes["outcome"], self.outcomes["statement"], strict=True))
        outcomes = {f"{program_words.short(stated[code])} ({code})": code for code in sorted(stated)}
        instruments = {} if self.gains.empty else {code: code for code in sorted(set(self.gains["instrument"]))}
        return {
            "outcome": {"all outcomes": "", **outcomes},
            "instrument": {"all instruments": "", **instruments},
            "semester": {semester_words(code): code for code in reversed(self.semesters())},
        }

    def settled(self, choices: Choices) -> Choices:
        """The choices without what this file does not hold; the latest semester where none of its own is chosen."""
        offered, semesters = self.offers(), self.semesters()
        known = {name: getattr(choices, name) for name in ("outcome", "instrument") if getattr(choices, name) in offered[name].values()}
        semester = choices.semester if choices.semester in semesters or not semesters else semesters[-1]
        return replace(choices, semester=semester, outcome=known.get("outcome", ""), instrument=known.get("instrument", ""))

    def narrowed(self, choices: Choices) -> Learned:
        """The chosen outcome and instrument alone, in the order of the semesters."""
        outcomes, gains, items, method = (_in_order(frame) for frame in (self.outcomes, self.gains, self.items, self.method))
        if choices.outcome:
            outcomes = outcomes[outcomes["outcome"] == choices.outcome]
        if choices.instrument:
            gains, items = (frame if frame.empty else frame[frame["instrument"] == choices.instrument] for frame in (gains, items))
        return replace(self, outcomes=outcomes, gains=gains, items=items, method=method)


def _in_order(frame: pd.DataFrame) -> pd.DataFrame:
    """The first semester first, and rows of one semester as they are."""
    return frame if frame.empty else frame.sort_values("semester", key=lambda each: each.map(semester_order), kind="stable")


def draw(learned: Learned, choices: Choices) -> Answer:
    """Draw outcomes, gains and method over the semesters, the chosen one strong; gaps and what is hidden stand in words.

    Args:
        learned: rows of the learning tables and counts of the method.
        choices: what the reader chose, settled.
    """
    known = learned.narrowed(choices)
    semesters = learned.semesters()
    evidence = Evidence(choices.semester, semesters, known.gains, known.outcomes, known.items, known.method)
    if not semesters:
        return Answer(title="Nothing to show here", reading=NOTHING)
    has_learning = not (learned.gains.empty and learned.outcomes.empty)
    figures = [
        program_figures.outcomes(known.outcomes, semesters, choices.semester) if not known.outcomes.empty else None,
        program_figures.gains(known.gains, semesters, choices.semester) if not known.gains.empty else None,
        program_figures.method(known.method, semesters, choices.semester) if not known.method.empty else None,
    ]
    drawn = [figure for figure in figures if figure is not None]
    sittings = [] if known.gains.empty else _sittings(known.gains, program_figures.since(known.gains, semesters), choices.semester)
    panels = [panel for figure in figures[:2] if figure is not None for panel in figure.panels]
    panels += [*sittings, *(figures[2].panels if figures[2] is not None else [])]
    return Answer(
        title=f"Learning over {count(len(semesters), 'semester')}" if has_learning else "What the field data say of the method",
        reading=_reading(evidence, choices) if has_learning else NOTHING,
        fair=FAIR if has_learning else FAIR[2:],
        unknown=[*(program_words.gaps(evidence) if has_learning else []), *_hidden(known, evidence)],
        counts=_counts(evidence) if has_learning else "",
        panels=panels,
        source=_source([figure.source for figure in drawn], sittings),
        tables=_tables(evidence),
    )


def _source(said: list[str], sittings: list[Panel]) -> str:
    """How to read the figures; what several say is said once."""
    sentences = [sentence for source in said for sentence in re.split(r"(?<=\.) ", source)]
    if sittings:
        sentences.append("Before and after are mean scores, percent of the points, from the dash to the mark.")
    return " ".join(dict.fromkeys(sentences))


def _reading(evidence: Evidence, choices: Choices) -> str:
    """What was chosen, in the warehouse's words; else how many targets were met."""
    gains, outcomes = evidence.now(evidence.gains), evidence.now(evidence.outcomes)
    told = [str(said) for said in outcomes["sentence"]] if choices.outcome and not outcomes.empty else [program_words.lead(evidence)]
    if (choices.instrument or not choices.outcome) and not gains.empty:
        told += [str(said) for said in gains["sentence"][:1]]
    return " ".join(told)


def _hidden(known: Learned, evidence: Evidence) -> list[str]:
    if known.hidden_under is None:
        return [
            "This page is of the instructor's file and shows small groups too: for readers outside of the course there is the reviewer's."
        ]
    return program_words.hidden(evidence, known.hidden_under)


def _counts(evidence: Evidence) -> str:
    """Students of the semester, as far as they are told."""
    when, gains, outcomes = semester_words(evidence.semester), evidence.now(evidence.gains), evidence.now(evidence.outcomes)
    told = [f"{row.instrument}: {words}" for row in gains.itertuples() if (words := program_figures.matched_words(row))]
    if not outcomes.empty:
        scored = outcomes[(outcomes["evidence"] != "none") & outcomes["n_scored"].notna()]
        of_each: dict[str, list[str]] = {}
        for row in scored.itertuples():
            of_each.setdefault(program_words.short(row.statement), []).append(
                f"{row.evidence}: {count(int(row.n_scored), 'student')} scored"
            )
        told += [f"{outcome}, {', '.join(each)}" for outcome, each in of_each.items()]
    return f"{when}. {'; '.join(told)}." if told else f"{when}: no number of students is told."


def _sittings(gains: pd.DataFrame, semesters: list[str], chosen: str) -> list[Panel]:
    """Mean scores before and after, one panel per instrument: a bar from the dash to the mark."""
    panels = []
    for instrument, mine in gains.groupby("instrument"):
        known = mine[mine["pre_mean_percent"].notna() & mine["post_mean_percent"].notna()]
        hidden = [str(each) for each in mine.loc[mine["is_suppressed"], "semester"]] if "is_suppressed" in mine else []
        points = []
        for row in known.itertuples():
            before, after = float(row.pre_mean_percent), float(row.post_mean_percent)
            says = f"{number(before, 0)} % before, {number(after, 0)} % after; {program_figures.matched_words(row)}"
            points.append(Point(str(row.semester), after, before, after, says))
        if not (points or hidden):
            continue
        title = f"{instrument}: before and after, %"
        panel = cohort_panel(f"{instrument} scores", title, points, semesters, chosen, top=100.0, hidden=hidden)
        for point in points:
            says = f"{semester_words(point.semester)}: {number(point.low, 0)} % before"
            alpha = 1.0 if point.semester == chosen else 0.55
            panel.add("ink_marks", x=float(semesters.index(point.semester)), y=point.low, shape="dash", size=12, alpha=alpha, says=says)
        panels.append(panel)
    return panels


def _tables(evidence: Evidence) -> list[Table]:
    said, items = _said(evidence), evidence.now(evidence.items)
    return [
        *([] if said is None else [said]),
        *([] if evidence.outcomes.empty else [program_tables.outcomes(evidence.outcomes, evidence.semester)]),
        *([] if evidence.gains.empty else program_tables.gains(evidence.gains)),
        *([] if items.empty else [program_tables.items(items)]),
        *([] if evidence.method.empty else [program_tables.method(evidence.method)]),
    ]


def _said(evidence: Evidence) -> Table | None:
    """Every outcome and gain of the semester in words."""
    import pandas as pd

    gains, outcomes = evidence.now(evidence.gains), evidence.now(evidence.outcomes)
    rows = (
        [{"what": program_words.named(row.statement, row.outcome), "sentence": row.sentence} for row in outcomes.itertuples()]
        if not outcomes.empty
        else []
    )
    rows += [{"what": str(row.instrument), "sentence": row.sentence} for row in gains.itertuples()] if not gains.empty else []
    rows = [row for row in rows if not is_missing(row["sentence"])]
    headings = {"what": "Outcome or instrument", "sentence": "In words"}
    caption = f"{semester_words(evidence.semester)} in words"
    return Table(caption, pd.DataFrame(rows), headings, wordy=frozenset({"sentence"})) if rows else None
