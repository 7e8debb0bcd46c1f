"""The Cohorts view, for the instructor: how far each class's readings can be trusted, over the semesters, so that teaching can be seen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from dashboards.answer import ROWS_IN_A_TABLE, Answer, Table
from dashboards.figures import marks
from dashboards.figures.panel import Panel
from dashboards.words import count, is_missing, mpa, number, semester_order, semester_words
from ingest.doubts.problem_kinds import KINDS

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices

HEIGHT = 150
MOST_SECTIONS = 400
"""More sections than these are drawn as one mark for each semester."""


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
    Measure("Leaves of a plant differ by (SD), MPa", "within_plant_sd_mpa", 1.0, 2),
    Measure("Variance that goes with who read, %", "observer_share", interval=("observer_share_low", "observer_share_high")),
    Measure("Most used last digit, % above even use", "digit_excess"),
)


def draw(cohorts: pd.DataFrame, problems: pd.DataFrame, choices: Choices, *, why_empty: str = "There is nothing to show.") -> Answer:
    """Draw measures of method over the semesters, one mark per section, or per semester where there are very many.

    Args:
        cohorts: rows of `cohort_quality`; shares 0 to 1, spreads in MPa. Or a row per semester with its `n_sections`: of each measure the
            median of the sections, and its quarters in NAME_low_quarter and NAME_high_quarter.
        problems: code and number of the problems of the chosen semester.
        choices: what the reader chose; its semester is strong.
        why_empty: the sentence to show where there is no row.
    """
    if cohorts.empty:
        return Answer(title="Nothing to show here", reading=why_empty)
    is_pooled = "n_sections" in cohorts
    frame = cohorts if is_pooled else _with_shares(cohorts)
    semesters = sorted(set(frame["semester"]), key=semester_order)
    now = frame[frame["semester"] == choices.semester]
    rows = _placed(frame, semesters)
    source = "A mark is a section; the chosen semester is strong. Bars are 95 % intervals."
    if is_pooled:
        source = (
            f"There are more than {MOST_SECTIONS} sections: a mark is the middle one of a semester's, and its bar holds the middle half "
            "of them. The chosen semester is strong."
        )
    n_sections = int(frame["n_sections"].sum()) if is_pooled else len(frame)
    return Answer(
        title=f"The method over {count(len(semesters), 'semester')}",
        reading=_reading(now, choices),
        fair=[
            "A share of problems speaks of the method, the form and the plants together; compare a course with itself.",
            "Observers are pseudonyms, and no panel shows one alone: this page is for teaching, not for grading.",
        ],
        counts=f"{count(int(frame['n_rows'].sum()), 'row')}, {count(n_sections, 'section')}.",
        panels=[panel for measure in MEASURES if (panel := _panel(measure, rows, semesters, choices)) is not None],
        source=source,
        tables=[_table(frame), _kinds(problems)],
    )


def _with_shares(cohorts: pd.DataFrame) -> pd.DataFrame:
    return cohorts.assign(
        share_usable=cohorts["n_usable"] / cohorts["n_rows"], digit_excess=cohorts["digit_preferred_share"] - cohorts["digit_even_share"]
    )


def _placed(frame: pd.DataFrame, semesters: list[str]) -> list[dict[str, Any]]:
    """The rows with their place `x`: the semester's, and within it the section's."""
    rows: list[dict[str, Any]] = frame.to_dict("records")
    sections: dict[str, list[str]] = {}
    for row in rows:
        sections.setdefault(row["semester"], []).append(row.get("section", ""))
    order = {name: (place, sorted(set(sections[name]))) for place, name in enumerate(semesters)}
    for row in rows:
        place, those = order[row["semester"]]
        row["x"] = place + min(0.3, 0.7 / len(those)) * (those.index(row.get("section", "")) - (len(those) - 1) / 2)
    return rows


def _reading(now: pd.DataFrame, choices: Choices) -> str:
    """The chosen semester in one sentence; what is said of each section stands in the table."""
    when = semester_words(choices.semester)
    if now.empty:
        return f"{when} has no rows of its own."
    rows, usable, doubtful, late = (int(now[name].sum()) for name in ("n_rows", "n_usable", "n_doubtful_endpoint", "n_late"))
    plants = now["n_plants_repeated"].fillna(0)
    spread = ""
    if "pooled_sd_mpa" in now:
        pooled = float(now["pooled_sd_mpa"].iloc[0])
        n = int(plants.sum())
        spread = "" if is_missing(pooled) else _spread(pooled, n)
    elif now["within_plant_sd_mpa"].notna().any():
        pooled = float((now["within_plant_sd_mpa"].fillna(0) ** 2 * plants).sum() / plants[now["within_plant_sd_mpa"].notna()].sum()) ** 0.5
        spread = _spread(pooled, int(plants.sum()))
    return (
        f"In {when}, {usable} of {count(rows, 'row')} count as readings; {doubtful} had a doubtful endpoint, {late} were read late{spread}."
    )


def _spread(pooled_mpa: float, n_plants: int) -> str:
    return f"; leaves of one plant differed by {mpa(pooled_mpa, 2)} (standard deviation within {count(n_plants, 'plant')})"


def _panel(measure: Measure, rows: list[dict[str, Any]], semesters: list[str], choices: Choices) -> Panel | None:
    """One measure over the semesters; None where no section has it."""
    known = [row for row in rows if not is_missing(row[measure.column])]
    if not known:
        return None
    is_pooled = "n_sections" in known[0]
    interval = (f"{measure.column}_low_quarter", f"{measure.column}_high_quarter") if is_pooled else measure.interval
    columns = [measure.column, *(interval or ())]
    values = [measure.factor * float(row[column]) for column in columns for row in rows if not is_missing(row[column])]
    low, high = min(0.0, *values), max(*values, 0.0) if len(values) > 1 else max(values[0], 0.0)
    high = max(high, low + (0.01 if measure.factor == 1.0 else 1.0))
    step = marks.round_step(high - low, 4)
    ticks = [i * step for i in range(int(low // step), int(-(-high // step)) + 1)]
    middles = _middles(semesters)
    panel = Panel(
        name=measure.column,
        title=measure.title,
        height=HEIGHT,
        x_range=(-0.7, len(semesters) - 0.3),
        y_range=(ticks[0] - 0.18 * step, ticks[-1] + 0.15 * step),
        x_ticks={middles[year]: marks.year_words(year, len(middles)) for year in marks.years_told(middles)},
        y_ticks=marks.tick_words(ticks),
        is_in_mpa=measure.factor == 1.0,
    )
    for row in known:
        x, y, is_now = row["x"], measure.factor * row[measure.column], row["semester"] == choices.semester
        alpha = 1.0 if is_now else 0.5
        if interval and not is_missing(row[interval[0]]):
            ends = {"y0": measure.factor * row[interval[0]], "y1": measure.factor * row[interval[1]]}
            panel.add("ink_bars", x0=x, x1=x, width=2 if is_now else 1, alpha=alpha, **ends)
        whose = f"the middle of {count(row['n_sections'], 'section')}" if is_pooled else f"section {row['section']}"
        says = f"{semester_words(row['semester'])}, {whose}: {number(y, max(measure.decimals, 1))} ({row['n_rows']} rows)"
        panel.add("ink_marks", x=x, y=y, shape="circle", size=9 if is_now else 6, alpha=alpha, says=says)
    return panel


def _middles(semesters: list[str]) -> dict[int, float]:
    """The middle of each year's semesters on the axis."""
    places: dict[int, list[int]] = {}
    for place, semester in enumerate(semesters):
        places.setdefault(int(semester[:4]), []).append(place)
    return {year: sum(at) / len(at) for year, at in sorted(places.items())}


def _table(frame: pd.DataFrame) -> Table:
    is_pooled = "n_sections" in frame
    order = [semester_order(semester) for semester in frame["semester"]]
    ordered = frame.assign(order=order) if is_pooled else frame.assign(order=order).sort_values("section")
    ordered = ordered.sort_values("order", ascending=False, kind="stable").head(ROWS_IN_A_TABLE)
    shown = ordered.assign(
        when=[semester_words(semester) for semester in ordered["semester"]],
        **{each.column: [number(each.factor * value, max(each.decimals, 1)) for value in ordered[each.column]] for each in MEASURES},
    )
    who = (
        {"n_sections": "Sections", "n_rows": "Rows"} if is_pooled else {"section": "Section", "n_rows": "Rows", "n_observers": "Observers"}
    )
    headings = {"when": "Semester", **who, **{measure.column: measure.title for measure in MEASURES}}
    numeric = frozenset({"n_sections", "n_rows", "n_observers", *(measure.column for measure in MEASURES)})
    if is_pooled:
        return Table("Semesters, the latest first; medians of their sections", shown, headings, numeric)
    words = frozenset({"sentence"})
    return Table("Sections, the latest first", shown, headings | {"sentence": "In words"}, numeric, words, n_rows=len(frame))


def _kinds(problems: pd.DataFrame) -> Table:
    became = {code: {"flag": "flagged", "set_aside": "set aside"}.get(kind.severity, "") for code, kind in KINDS.items()}
    codes = [str(code) for code in problems["code"]]
    shown = problems.assign(kind=[code.replace("_", " ") for code in codes], became=[became.get(code, "") for code in codes])
    headings = {"kind": "Kind of problem", "became": "What became of the rows", "n": "Times"}
    return Table("Problems of the chosen semester by kind", shown, headings, frozenset({"n"}))
