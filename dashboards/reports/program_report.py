"""The program review: outcomes by cohort with their intervals and targets, gains, method skill as shares, gaps, and what is hidden."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from dashboards.reports import program_figures, program_tables, program_words
from dashboards.reports.parts import Section, Sheet, Told
from dashboards.reports.provenance import came_from
from dashboards.reports.semesters import known_semester
from dashboards.words import count, listed, semester_order, semester_words, sentence
from ingest.errors import ReportRefused

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.reports.report_store import ReportStore
    from ingest.settings import Settings

NOTHING = "No assessment has been loaded yet."


@dataclass(frozen=True)
class Evidence:
    """What a role's file holds of learning, up to the semester of the report; frames without rows where there is nothing."""

    semester: str
    semesters: list[str]
    gains: pd.DataFrame
    outcomes: pd.DataFrame
    items: pd.DataFrame
    method: pd.DataFrame

    def now(self, rows: pd.DataFrame) -> pd.DataFrame:
        """The rows of the report's semester."""
        return rows[rows["semester"] == self.semester] if not rows.empty else rows


def program_sheet(store: ReportStore, settings: Settings, *, semester: str) -> Sheet:
    """The review of one semester and of the trend that leads to it.

    Args:
        store: of the reviewer's file, where small cells are hidden in the data, or of the instructor's, where they are not.
        settings: authors and licence.
        semester: a code, or empty for the latest.

    Raises:
        ReportRefused: the file holds no counts of the cohorts, or nothing of the semester.
    """
    if "cohort_quality" not in store.tables:
        raise ReportRefused("This role's file holds nothing for a program review. Make it with --role reviewer or instructor.")
    known = evidence_of(store, semester)
    info = store.build_info
    is_hidden = info["role"] == "reviewer"
    hidden = program_words.hidden(known, int(str(info["suppression_threshold"]))) if is_hidden else [program_words.NOT_HIDDEN]
    when = semester_words(known.semester)
    sections = [
        _outcomes(known),
        _gains(known),
        *([Section("Items of the instruments", tables=[program_tables.items(known.now(known.items))])] if not known.items.empty else []),
        _method_skill(known),
        Section("Gaps in the evidence", bullets=program_words.gaps(known)),
        Section("What is hidden, and why", hidden),
        Section("How it was reckoned", bullets=program_words.METHOD),
        Section("Where this comes from", came_from(info, settings, _source(known))),
    ]
    lead = [program_words.lead(known)] + ([] if is_hidden else [program_words.NOT_HIDDEN])
    return Sheet(f"Program review, {when}", known.semester, str(info["program_name"]), lead, sections)


def evidence_of(store: ReportStore, semester: str) -> Evidence:
    """Everything up to a semester.

    Raises:
        ReportRefused: there is nothing of the semester.
    """
    method = store.method()
    gains, outcomes, items = (store.learning(table) for table in ("learning_gains", "learning_outcomes", "learning_items"))
    there = {str(each) for rows in (method, gains, outcomes) if not rows.empty for each in rows["semester"]} | set(store.holdings.semesters)
    chosen = known_semester(semester, there)
    semesters = sorted((each for each in there if semester_order(each) <= semester_order(chosen)), key=semester_order)

    def until(rows: pd.DataFrame) -> pd.DataFrame:
        if rows.empty:
            return rows
        place = rows["semester"].map({each: i for i, each in enumerate(semesters)})
        return rows[place.notna()].iloc[place[place.notna()].argsort(kind="stable")]

    return Evidence(chosen, semesters, until(gains), until(outcomes), until(items), until(method))


def _outcomes(known: Evidence) -> Section:
    now = known.now(known.outcomes)
    if known.outcomes.empty:
        return Section("Outcomes", [NOTHING])
    told = [
        Told(program_words.named(statement, outcome), [str(said) for said in rows["sentence"]])
        for (outcome, statement), rows in (now.groupby(["outcome", "statement"]) if not now.empty else ())
    ]
    return Section(
        "Outcomes",
        [] if not now.empty else [f"No outcome has a row in {semester_words(known.semester)}."],
        figure=program_figures.outcomes(known.outcomes, known.semesters, known.semester),
        tables=[program_tables.outcomes(known.outcomes, known.semester)],
        told=told,
    )


def _gains(known: Evidence) -> Section:
    if known.gains.empty:
        return Section("From before to after the unit", [NOTHING])
    told = [Told(str(row.instrument), [str(row.sentence)]) for row in known.now(known.gains).itertuples()]
    return Section(
        "From before to after the unit",
        figure=program_figures.gains(known.gains, known.semesters, known.semester),
        tables=program_tables.gains(known.gains),
        told=told,
    )


def _method_skill(known: Evidence) -> Section:
    return Section(
        "Skill with the method, from the data itself",
        ["A share speaks of skill, form and plants together. Readings of one student are alike, so no interval is given."],
        figure=program_figures.method(known.method, known.semesters, known.semester),
        tables=[program_tables.method(known.method)],
    )


def _source(known: Evidence) -> str:
    n_rows = int(known.method["n_rows"].sum())
    parts = [f"{count(n_rows, 'row')} of readings in {count(len(known.semesters), 'semester')}"]
    if not known.gains.empty or not known.outcomes.empty:
        parts.append(
            f"{count(len(known.gains), 'row')} of gains and {count(len(known.outcomes), 'row')} of outcomes, each of a whole class"
        )
    return f"{sentence(listed(parts))}. No row stands for a person."
