"""The class handout: one semester's figure, its numbers, the questions of the discussion, the method and its cautions; answers apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from dashboards.choices import Choices
from dashboards.offers import settled
from dashboards.reports.parts import Question, Section, Sheet, Told
from dashboards.reports.provenance import came_from
from dashboards.reports.semesters import known_semester
from dashboards.views import class_words
from dashboards.views.catalog import VIEWS
from dashboards.views.discussion import QUESTIONS, RAIN_PREDICTOR
from dashboards.views.summaries import position_means
from dashboards.words import (
    GROUPS,
    POSITIONS,
    WINDOWS,
    count,
    day_words,
    decimals_for,
    listed,
    semester_words,
    sentence,
)
from ingest.errors import ReportRefused

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.answer import Answer
    from dashboards.reports.report_store import ReportStore
    from ingest.settings import Settings

LOOK_AT: Mapping[str, str] = {
    "drier": "Go along one panel at a time. Write down the driest and the wettest position of each group, in MPa.",
    "alike": "Within a panel: are the kinds of plant, the hour and the numbers of plants alike on both sides? Across panels: would −2 MPa "
    "mean the same to a grass and to a tree?",
    "ground": "For each group: lowland minus upland, in MPa. Do the intervals lie clear of each other?",
    "rain": "Suppose that 30 mm fall tonight. Which marks would move, which would stay, and how long would it take? What would you measure "
    "to find out?",
}
"""What to look at for each question of the discussion."""
RESTS_ON: Mapping[str, str] = {"drier": "Group by group", "alike": "Like with like", "ground": "Group by group", "rain": "Line by line"}
"""What stands over the sentences that an answer rests on."""
MOST_MARKS = 3000
"""More marks than these in the figure of an answer, which is over all semesters, make the page heavy, and nobody tells them apart."""
SAFETY = (
    "A pressure chamber holds compressed gas and can throw a leaf, a seal or itself at you. This sheet gives no operating advice: the "
    "maker's manual, your local rules and a trained person beside the chamber come first.",
    "Eye protection for everyone within reach, and no face above the cut.",
    "Never above the rated pressure of chamber, hose and gauge; never opened under pressure; the cylinder secured.",
)
READING_CARE = (
    "An uncovered leaf goes on losing water after the cut: leaves of plants that transpire fast read 0.2 to 0.7 MPa too dry, mostly "
    "within half a minute (Turner & Long 1980).",
    "A false end (bubbles, foam, sap of a crushed or fresh cut, a leak) reads too wet; a leaf that was cut again is no longer the leaf "
    "that was cut.",
    "Torn, senesced or wet leaves do not speak for their plant; a reading that a flag spoils is kept out of the means.",
    "Before dawn, plant and soil are at rest only if no water was lost in the night: that is an assumption.",
    "Whoever reads last reads at another hour, in other light: position, observer and time should not go together.",
)


@dataclass(frozen=True)
class _Class:
    """What was asked of the store for one semester and window."""

    choices: Choices
    answer: Answer
    plants: pd.DataFrame
    contrasts: pd.DataFrame
    decimals: int


def class_sheet(store: ReportStore, settings: Settings, *, semester: str, window: str, with_answers: bool) -> Sheet:
    """The handout of one semester and sampling window.

    Args:
        store: of a file that holds single readings (instructor or student).
        settings: limits that the method names, authors and licence.
        semester: a code, or empty for the latest.
        window: a sampling window, or empty for midday, or else the one with most readings.
        with_answers: whether the sentences of the warehouse follow on a page of their own.

    Raises:
        ReportRefused: the file holds no single readings, or the semester or the window has none.
    """
    if "observations" not in store.tables:
        raise ReportRefused("This role's file holds no single readings. Make the class report with --role student or instructor.")
    choices = _chosen(known_semester(semester, store.holdings.semesters), window, store)
    leaves = store.leaves(choices)
    decimals = decimals_for(store.resolution_mpa([str(code) for code in leaves["chamber"].dropna().unique()]))
    known = _Class(choices, VIEWS["class"].draw(store, choices), store.plants(choices), store.contrasts(choices), decimals)
    sections = [
        Section("The figure", figure=known.answer, across=3),
        Section("The numbers", [_TABLE_NOTE], tables=known.answer.tables),
        Section("Questions", questions=[Question(asks, LOOK_AT[code]) for code, asks in QUESTIONS.items()]),
        Section("How the numbers were made", bullets=_method(store, known, settings)),
        Section("Cautions at the chamber", bullets=SAFETY),
        Section("Cautions with the numbers", bullets=READING_CARE),
        Section("Where this comes from", came_from(store.build_info, settings, _source(store, known))),
    ]
    if with_answers:
        sections += _answers(store, known)
    when = semester_words(choices.semester)
    title = f"Leaf water potential {WINDOWS[choices.window]}, {when}"
    return Sheet(title, choices.semester, str(store.build_info["program_name"]), _lead(store, known), sections)


_TABLE_NOTE = "Means of plants with their 95 % intervals. −1 MPa is a balance pressure of 10 bar, or 145 psi."


def _chosen(semester: str, window: str, store: ReportStore) -> Choices:
    held = {row.window for row in store.holdings.of(semester)}
    there = [each for each in WINDOWS if each in held]
    if window and window not in there:
        raise ReportRefused(
            f"In {semester_words(semester)} nothing was read in the window {window!r}. There are readings of: {listed(there)}."
        )
    return settled(Choices(semester=semester, window=window), store.holdings)


def _lead(store: ReportStore, known: _Class) -> list[str]:
    """When and where it was read, and what rain fell before."""
    days = store.field_days(known.choices)
    sites = set(known.plants[["topographic_position", "site_name"]].itertuples(index=False, name=None))
    where = listed(f"{name} ({place})" for place, name in sorted(sites, key=lambda each: (POSITIONS.index(each[0]), each[1])))
    lines = [f"Read on {listed(day_words(day) for day in days['date'])} at {where}."]
    rain = [
        f"{_span(days['rain_30d_mm'], 'mm', 'mm')} of rain in the 30 days before" if days["rain_30d_mm"].notna().all() else "",
        f"{_span(days['days_since_rain'], 'day')} since the last rain that counts" if days["days_since_rain"].notna().all() else "",
    ]
    told = listed(filter(None, rain))
    return [*lines, sentence(told) + "."] if told else lines


def _span(values: pd.Series, one: str, many: str | None = None) -> str:
    low, high = round(float(values.min())), round(float(values.max()))
    return count(high, one, many) if low == high else f"{low} to {count(high, one, many)}"


def _method(store: ReportStore, known: _Class, settings: Settings) -> list[str]:
    chambers = [
        f"{row.chamber} (gauge in {row.gauge_unit}, step {row.resolution:g}, up to {row.maximum_pressure:g})"
        for row in store.chambers(known.choices).itertuples()
    ]
    window = {"midday": f" Midday is within {settings.midday_hours:g} hours of solar noon at the site."}.get(known.choices.window, "")
    told = [
        "A leaf is cut and put into the pressure chamber; the pressure that brings water back to the cut is the balance pressure. The "
        "water potential is minus that pressure (Scholander et al. 1965): 0 is wet, and the further below, the drier." + window,
        "Leaves of one plant are averaged first: the plant is the unit (Hurlbert 1984). Their mean has Student's 95 % interval, "
        "given from three plants on.",
        "A leaf that showed no water at the highest pressure is a bound: at least as dry as that. Bounds enter no mean; where plants are "
        "bounds, the middle plant stands for the group if it is wetter than every bound.",
        "Lowland minus upland is compared within one group and one part of the day (Welch 1947; by site, paired, mixed or censored where "
        "the data ask for it), with Holm's correction where there are several comparisons. Groups are never tested against each other.",
        f"Rain counts from {settings.effective_rain_mm:g} mm a day on. A reading more than {settings.late_minutes:g} minutes after the cut "
        "is flagged as late.",
    ]
    return [*told, f"Chambers: {'; '.join(chambers)}."] if chambers else told


def _source(store: ReportStore, known: _Class) -> str:
    readings = f"{count(int(known.plants['n_leaves'].sum()), 'reading')} of {count(len(known.plants), 'plant')}"
    return f"{readings}, from {count(store.n_files(known.choices), 'file')} as received, each row accounted for."


def _answers(store: ReportStore, known: _Class) -> list[Section]:
    """What the Class view answers to each question, and under it the sentences of the warehouse that it rests on."""
    means = position_means(known.plants)
    none_apply = known.contrasts.iloc[0:0]
    groups = [group for group in GROUPS if group in set(means["functional_group"])]
    rests_on = {
        "drier": [
            class_words.reading(none_apply, means[means["functional_group"] == group], known.choices, known.decimals) for group in groups
        ],
        "alike": class_words.like_with_like(known.plants, means, none_apply, known.choices),
        "ground": _sentences(known.contrasts, groups),
        "rain": _rain(store, known, groups),
    }
    answers = []
    for number, (code, asks) in enumerate(QUESTIONS.items(), start=1):
        answer = VIEWS["class"].draw(store, replace(known.choices, question=code))
        names = [panel.name for panel in answer.panels]
        is_own = names != [panel.name for panel in known.answer.panels]  # else it shows the readings, which stand above
        n_marks = sum(len(panel.layers["marks"]["x"]) for panel in answer.panels)
        is_heavy = is_own and n_marks > MOST_MARKS
        elsewhere = [f"Its figure has {count(n_marks, 'point')}: look at it in the dashboard."] if is_heavy else []
        answers.append(
            Section(
                f"Answer {number}. {asks}",
                [answer.reading, *elsewhere],
                figure=answer if is_own and not is_heavy else None,
                across=3 if len(answer.panels) > 1 else 1,
                told=[Told(RESTS_ON[code], [said for said in rests_on[code] if said not in answer.reading])],
                is_on_new_page=number == 1,
            )
        )
    return answers


def _sentences(rows: pd.DataFrame, groups: list[str]) -> list[str]:
    """The sentences of rows in the order of the groups."""
    return [str(told) for group in groups for told in rows.loc[rows["functional_group"] == group, "sentence"]]


def _rain(store: ReportStore, known: _Class, groups: list[str]) -> list[str]:
    """What differed between days before and after a rain of this semester, and the lines over rain of all semesters on record."""
    after = store.comparisons(Choices(semester=known.choices.semester, window=known.choices.window, contrast="after_minus_before_rain"))
    told = _sentences(after.assign(functional_group=after["group"]), groups)
    _, lines = store.over_rain(known.choices, RAIN_PREDICTOR)
    fitted = lines[lines["slope"].notna()]
    ends = fitted[fitted["topographic_position"] != "slope"]
    told += _sentences(ends, groups)
    if len(ends) < len(fitted):
        told.append("Lines of the slope, and over other measures of rain, stand in the Rain view.")
    return [*told, "What goes with rain goes with season, heat and growth as well: a line is no cause."]
