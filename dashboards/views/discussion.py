"""The questions of a discussion, in order: each is answered by a figure and a sentence, or by why there is no fair answer.

No question tests one group against another. What the warehouse has estimated is told, and nothing is estimated here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from dashboards.answer import Answer, Table
from dashboards.views import class_words, compare_view, rain_view
from dashboards.views.summaries import position_means
from dashboards.words import GROUPS, WINDOWS, count, groups_words, is_missing, listed, mpa, number, semester_words, sentence

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices
    from dashboards.store import Store

QUESTIONS: Mapping[str, str] = {
    "drier": "Who is drier?",
    "alike": "Are they alike enough to compare?",
    "ground": "High ground or low, and by how much?",
    "rain": "What would rain change?",
}
"""In the order in which a class should ask them, by the code in the address."""
QUESTION_WORDS: Mapping[str, str] = {
    "the readings": "",
    "who is drier?": "drier",
    "alike enough to compare?": "alike",
    "high ground or low?": "ground",
    "what would rain change?": "rain",
}
"""Words of the choice and its code; without a question the view shows the readings."""
RAIN_PREDICTOR = "antecedent_index_mm"
_HISTORY_WIDTH, _CONTRAST_WIDTH, _RAIN_WIDTH = 400, 200, 220


def answer(store: Store, choices: Choices, readings: Answer, plants: pd.DataFrame, decimals: int) -> Answer:
    """The answer to the chosen question, from what the store knows.

    Args:
        store: the store of the role.
        choices: what the reader chose; `question` is one of `QUESTIONS`.
        readings: the Class view under the same choices, whose figure stands where there is no fair answer.
        plants: rows of `plant_values` under the same choices; not empty.
        decimals: decimals in MPa that the gauges support.
    """
    if choices.question == "drier":
        return drier(readings, plants, choices, decimals)
    if choices.question == "alike":
        history = store.comparisons(replace(choices, contrast="across_groups", taxon=""))
        return alike(readings, plants, history[(history["side_a"] == choices.site) | (choices.site == "")], choices, decimals)
    if choices.question == "ground":
        return ground(readings, plants, store.comparisons(replace(choices, contrast="")), choices, decimals)
    points, lines = store.over_rain(choices, RAIN_PREDICTOR)
    return rain(readings, points, lines, store.index_on(choices, plants["date"].unique()), choices, decimals)


def drier(readings: Answer, plants: pd.DataFrame, choices: Choices, decimals: int) -> Answer:
    """The driest and the wettest column as read; whether they may be compared is the next question."""
    means = position_means(plants)
    known = means[means["kind"] != "none"].sort_values("value_mpa", kind="stable")
    unknown = [f"{_column(row)} ({row.n_below_limit} of {row.n_plants})" for row in means[means["kind"] == "none"].itertuples()]
    bounds = f" How dry these are is not known, for too many plants never reached an endpoint: {listed(unknown)}." if unknown else ""
    if len(known) < 2:
        why = f"only one column of plants has a middle to speak of.{bounds}" if unknown else "only one group stands at one position here."
        return _unfair(readings, choices, why, "Choose more groups, sites or sections, or look at each reading below.")
    first, last = (f"{_column(row)}, {_level(row, decimals)}" for row in known.iloc[[0, -1]].itertuples())
    said = f"{sentence(_when(choices))}, the driest as read are the {first}; the wettest are the {last}.{bounds}"
    return replace(readings, title=QUESTIONS["drier"], reading=f"{said} Whether these may be compared is the next question.")


def _column(row: Any) -> str:
    return f"{row.topographic_position} {GROUPS[row.functional_group]}"


def _level(row: Any, decimals: int) -> str:
    """A column's mean with its n, or its middle plant where some are bounds."""
    if row.kind == "mean":
        return f"{mpa(row.value_mpa, decimals)} (mean of {count(row.n_plants, 'plant')})"
    return (
        f"{mpa(row.value_mpa, decimals)} (middle of {count(row.n_plants, 'plant')}, {row.n_below_limit} of them drier than could be shown)"
    )


def alike(readings: Answer, plants: pd.DataFrame, history: pd.DataFrame, choices: Choices, decimals: int) -> Answer:
    """Within a group yes, where the same kinds stand at every position; between groups no: each is set against its own history."""
    shared = class_words.kinds_at_positions(plants)
    by_kind: dict[tuple[str, str], list[str]] = {}
    for group, kinds in shared.items():
        if kinds:
            by_kind.setdefault(_likeness(kinds), []).append(group)
    told = [f"{found[0]} in {groups_words(by_kind[found])} ({found[1]})" for found in _LIKENESS if found in by_kind]
    parts = [f"{sentence(_when(choices))}, within a group: {'; '.join(told)}."]
    drawn = compare_view.draw(history, replace(choices, contrast="across_groups"), decimals=decimals)
    if sum(bool(kinds) for kinds in shared.values()) > 1:
        instead = "the figure sets each against its own earlier seasons instead" if drawn.panels else "none has earlier seasons enough yet"
        parts.append(f"Between groups: no, for a grass and a tree at the same potential are not under the same stress; {instead}.")
    known = history[history["own_history_percentile"].notna()]
    if not known.empty:
        row = known.loc[(known["own_history_percentile"] - 50).abs().idxmax()]
        share = f"{number(row['own_history_percentile'], 0)} % of its {int(row['n_history_semesters'])} earlier seasons"
        parts.append(f"Farthest from its own middle: {row['who']} at {row['first']}, drier than in {share}.")
    figure = drawn if drawn.panels else readings
    whole = [f"What is set against earlier seasons is the whole cohort, not section {choices.section} alone."] if choices.section else []
    return replace(
        figure,
        title=QUESTIONS["alike"],
        reading=" ".join(parts),
        fair=[*whole, *drawn.fair, *class_words.unlike(plants)] if drawn.panels else readings.fair,
        counts=readings.counts,
        tables=[_kinds_table(shared, plants), *(drawn.tables if drawn.panels else readings.tables)],
        panel_width=_HISTORY_WIDTH if drawn.panels else None,
    )


_LIKENESS = (
    ("yes", "the same kinds at every position"),
    ("in part", "some kinds stand at every position"),
    ("no", "other kinds at each position"),
    ("nothing to compare", "one position only"),
)


def _likeness(kinds: Mapping[str, set[str]]) -> tuple[str, str]:
    same, part, other, single = _LIKENESS
    if len(kinds) < 2:
        return single
    everywhere = set.intersection(*kinds.values())
    return same if everywhere == set.union(*kinds.values()) else part if everywhere else other


def _kinds_table(shared: Mapping[str, Mapping[str, set[str]]], plants: pd.DataFrame) -> Table:
    import pandas as pd

    rows = []
    for group, kinds in shared.items():
        if kinds:
            everywhere = set.intersection(*kinds.values())
            n = plants[plants["functional_group"] == group].groupby("topographic_position")["plant_key"].nunique()
            rows.append(
                {
                    "group": sentence(GROUPS[group]),
                    "likeness": sentence(": ".join(_likeness(kinds))),
                    "everywhere": listed(sorted(everywhere)),
                    "elsewhere": listed(sorted(set.union(*kinds.values()) - everywhere)) if len(kinds) > 1 else "",
                    "plants": "; ".join(f"{position} {n[position]}" for position in kinds),
                }
            )
    headings = {"group": "Group", "likeness": "Alike", "everywhere": "Kinds at every position", "elsewhere": "Kinds at some positions only"}
    headings["plants"] = "Plants"
    return Table("What stands at which position", pd.DataFrame(rows), headings, wordy=frozenset({"likeness", "everywhere", "elsewhere"}))


def ground(readings: Answer, plants: pd.DataFrame, compared: pd.DataFrame, choices: Choices, decimals: int) -> Answer:
    """Lowland minus upland within each group, with its interval; or why there is none."""
    if choices.section or choices.site:
        why = "high ground is set against low over the whole cohort and all sites, not within a part of it."
        return _unfair(
            readings, choices, why, "Choose all sections and all sites; or look at these readings, which are of this part alone."
        )
    known = compared[compared["difference_mpa"].notna()]
    if known.empty:
        reasons = sorted({str(reason) for reason in compared["reason"].dropna()})
        why = f"{reasons[0].rstrip('.')}." if reasons else "no group or kind of plant was read on high and low ground both."
        return _unfair(readings, choices, why, "Ask who is drier, or how unusual each is for itself ('Are they alike enough to compare?').")
    drawn = compare_view.draw(compared, replace(choices, contrast=""), decimals=decimals)
    said = str(known["sentence"].iloc[0]) if len(compared) == 1 else _grounds(compared, choices, decimals)
    return replace(
        drawn,
        title=QUESTIONS["ground"],
        reading=said,
        fair=[*drawn.fair, *class_words.unlike(plants)],
        source="Lowland minus upland, water potential (MPa): above the line of 0 the high ground was drier, below it the low ground.",
        panel_width=_CONTRAST_WIDTH,
    )


def _grounds(compared: pd.DataFrame, choices: Choices, decimals: int) -> str:
    """Every group in one sentence: drier on which ground and by how much, open, or without a contrast."""
    told: dict[str, list[str]] = {}
    for row in compared.itertuples():
        who = str(row.who)
        if is_missing(row.difference_mpa):
            told.setdefault("there is no fair contrast of", []).append(who)
        elif is_missing(row.ci_low_mpa) or row.ci_low_mpa <= 0 <= row.ci_high_mpa:
            told.setdefault("it is open in", []).append(who)
        else:
            ends = sorted((abs(row.ci_low_mpa), abs(row.ci_high_mpa)))
            interval = f"{number(ends[0], decimals)} to {number(ends[1], decimals)}"
            which = "high" if row.difference_mpa > 0 else "low"
            told.setdefault(f"the {which} ground was drier in", []).append(
                f"{who} by {mpa(abs(row.difference_mpa), decimals)} (95 % interval {interval})"
            )
    return f"{sentence(_when(choices))}, {'; '.join(f'{start} {listed(names)}' for start, names in told.items())}."


def rain(
    readings: Answer, points: pd.DataFrame, lines: pd.DataFrame, index: tuple[float, float] | None, choices: Choices, decimals: int
) -> Answer:
    """Potential over the rain that had fallen, and how much had fallen before this semester's readings (`index`, mm, from and to)."""
    drawn = rain_view.draw(points, lines, replace(choices, against="index"), decimals=decimals)
    if drawn.is_empty:
        return _unfair(readings, choices, drawn.reading, "Load the gauge's record, or ask high ground or low.")
    stood = ""
    if index is not None:
        low, high = (number(end, 0) for end in index)
        stood = f" {sentence(_when(choices))} the index stood at {low if low == high else f'{low} to {high}'} mm."
    every = "These points and lines are of every semester and section, so that there are dry days and wet ones to compare."
    panels = [replace(panel, name=f"rain {panel.name}") for panel in drawn.panels]
    said = f"{drawn.reading}{stood}"
    return replace(drawn, title=QUESTIONS["rain"], reading=said, fair=[every, *drawn.fair], panels=panels, panel_width=_RAIN_WIDTH)


def _when(choices: Choices) -> str:
    """Part of the day and semester, as the warehouse's sentences begin."""
    part = f", section {choices.section}" if choices.section else ""
    return f"{WINDOWS.get(choices.window, '')} in {semester_words(choices.semester)}{part}"


def _unfair(readings: Answer, choices: Choices, why: str, instead: str) -> Answer:
    """No fair answer: why, what can be asked instead, and the readings themselves to look at."""
    return replace(readings, title=QUESTIONS[choices.question], reading=f"There is no fair answer here: {why} {instead}")
