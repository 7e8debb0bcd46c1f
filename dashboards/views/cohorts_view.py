"""The Cohorts view, for the instructor: how far each class's readings can be trusted, over the semesters, so that teaching can be seen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from dashboards.answer import Answer, Table
from dashboards.figures import marks
from dashboards.figures.panel import Panel
from dashboards.words import count, is_missing, mpa, number, semester_order, semester_words
from ingest.doubts.problem_kinds import KINDS

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices

HEIGHT = 150


@dataclass(frozen=True)
class Measure:
    """One panel: its title with the unit, the column, what it is multiplied by, its decimals, and the columns of its interval."""

    title: str
    column: str
    factor: float = 100.0
    decimals: int = 0
    interval: tuple[str, str] | None = None


MEASURES = (
    Measure("Rows that count as readings, %", "share_usable"),
    Measure("Rows set aside, %", "share_set_aside"),
    Measure("Rows flagged, %", "share_flagged"),
    Measure("Doubtful endpoints, %", "share_doubtful_endpoint"),
    Measure("Leaves cut again, %", "share_recut"),
    Measure("Read late after the cut, %", "share_late"),
    Measure("Leaves of one plant differ by (standard deviation), MPa", "within_plant_sd_mpa", 1.0, 2),
    Measure("Variance that goes with who read, %", "observer_share", interval=("observer_share_low", "observer_share_high")),
    Measure("Most used last digit, % above even use", "digit_excess"),
)


def draw(cohorts: pd.DataFrame, problems: pd.DataFrame, choices: Choices, *, why_empty: str = "There is nothing to show.") -> Answer:
    """Draw measures of method over the semesters, one mark per section.

    Args:
        cohorts: rows of `cohort_quality`; shares 0 to 1, spreads in MPa.
        problems: code and number of the problems of the chosen semester.
        choices: what the reader chose; its semester is strong.
        why_empty: the sentence to show where there is no row.
    """
    cohorts = cohorts[cohorts["semester"].str.contains("-")]
    if cohorts.empty:
        return Answer(title="Nothing to show here", reading=why_empty)
    frame = cohorts.assign(
        share_usable=cohorts["n_usable"] / cohorts["n_rows"], digit_excess=cohorts["digit_preferred_share"] - cohorts["digit_even_share"]
    )
    semesters = sorted(set(frame["semester"]), key=semester_order)
    now = frame[frame["semester"] == choices.semester]
    return Answer(
        title=f"The method over {count(len(semesters), 'semester')}",
        reading=_reading(now, choices),
        fair=[
            "A share of problems speaks of the method, the form and the plants together; compare a course with itself.",
            "Observers are pseudonyms, and no panel shows one alone: this page is for teaching, not for grading.",
        ],
        counts=f"{count(int(frame['n_rows'].sum()), 'row')}, {count(len(frame), 'section')}.",
        panels=[_panel(measure, frame, semesters, choices) for measure in MEASURES if frame[measure.column].notna().any()],
        source="A mark is a section; the chosen semester is strong. Bars are 95 % intervals.",
        tables=[_table(frame), _kinds(problems)],
    )


def _reading(now: pd.DataFrame, choices: Choices) -> str:
    """The chosen semester in one sentence; what is said of each section stands in the table."""
    when = semester_words(choices.semester)
    if now.empty:
        return f"{when} has no rows of its own."
    rows, usable, doubtful, late = (int(now[name].sum()) for name in ("n_rows", "n_usable", "n_doubtful_endpoint", "n_late"))
    plants = now["n_plants_repeated"].fillna(0)
    spread = ""
    if now["within_plant_sd_mpa"].notna().any():
        pooled = float((now["within_plant_sd_mpa"].fillna(0) ** 2 * plants).sum() / plants[now["within_plant_sd_mpa"].notna()].sum()) ** 0.5
        spread = f"; leaves of one plant differed by {mpa(pooled, 2)} (standard deviation within {count(int(plants.sum()), 'plant')})"
    return (
        f"In {when}, {usable} of {count(rows, 'row')} count as readings; {doubtful} had a doubtful endpoint, {late} were read late{spread}."
    )


def _panel(measure: Measure, frame: pd.DataFrame, semesters: list[str], choices: Choices) -> Panel:
    columns = [measure.column, *(measure.interval or ())]
    values = [measure.factor * float(value) for column in columns for value in frame[column].dropna()]
    low, high = min(0.0, *values), max(*values, 0.0) if len(values) > 1 else max(values[0], 0.0)
    step = marks.round_step(max(high - low, 0.01 if measure.factor == 1.0 else 1.0), 4)
    ticks = [i * step for i in range(int(low // step), int(-(-high // step)) + 1)]
    years = sorted({int(semester[:4]) for semester in semesters})
    of_semester = {s: (sorted(set(sections)), semesters.index(s)) for s, sections in frame.groupby("semester")["section"]}
    panel = Panel(
        name=measure.column,
        title=measure.title,
        height=HEIGHT,
        x_range=(-0.7, len(semesters) - 0.3),
        y_range=(ticks[0] - 0.1 * step, ticks[-1] + 0.15 * step),
        x_ticks={float(_middle(year, semesters)): marks.year_words(year, len(years)) for year in years},
        y_ticks=marks.tick_words(ticks),
        is_in_mpa=measure.factor == 1.0,
    )
    for row in frame[frame[measure.column].notna()].to_dict("records"):
        sections, place = of_semester[row["semester"]]
        x = place + min(0.3, 0.7 / len(sections)) * (sections.index(row["section"]) - (len(sections) - 1) / 2)
        y, is_now = measure.factor * row[measure.column], row["semester"] == choices.semester
        alpha = 1.0 if is_now else 0.5
        if measure.interval and not is_missing(row[measure.interval[0]]):
            ends = {"y0": measure.factor * row[measure.interval[0]], "y1": measure.factor * row[measure.interval[1]]}
            panel.add("ink_bars", x0=x, x1=x, width=2 if is_now else 1, alpha=alpha, **ends)
        says = f"{semester_words(row['semester'])}, section {row['section']}: {number(y, max(measure.decimals, 1))} ({row['n_rows']} rows)"
        panel.add("ink_marks", x=x, y=y, shape="circle", size=9 if is_now else 6, alpha=alpha, says=says)
    return panel


def _middle(year: int, semesters: list[str]) -> float:
    places = [place for place, semester in enumerate(semesters) if semester.startswith(str(year))]
    return sum(places) / len(places)


def _table(frame: pd.DataFrame) -> Table:
    ordered = frame.assign(order=[semester_order(semester) for semester in frame["semester"]])
    ordered = ordered.sort_values(["order", "section"], ascending=[False, True])
    shown = ordered.assign(when=[semester_words(semester) for semester in ordered["semester"]])
    for measure in MEASURES:
        shown[measure.column] = [number(measure.factor * value, max(measure.decimals, 1)) for value in ordered[measure.column]]
    headings = {"when": "Semester", "section": "Section", "n_rows": "Rows", "n_observers": "Observers"}
    headings |= {measure.column: measure.title for measure in MEASURES} | {"sentence": "In words"}
    numeric = frozenset({"n_rows", "n_observers", *(measure.column for measure in MEASURES)})
    return Table("Sections, the latest first", shown, headings, numeric, frozenset({"sentence"}))


def _kinds(problems: pd.DataFrame) -> Table:
    became = {code: {"flag": "flagged", "set_aside": "set aside"}.get(kind.severity, "") for code, kind in KINDS.items()}
    codes = [str(code) for code in problems["code"]]
    shown = problems.assign(kind=[code.replace("_", " ") for code in codes], became=[became.get(code, "") for code in codes])
    headings = {"kind": "Kind of problem", "became": "What became of the rows", "n": "Times"}
    return Table("Problems of the chosen semester by kind", shown, headings, frozenset({"n"}))
