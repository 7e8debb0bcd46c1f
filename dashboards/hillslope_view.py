"""The Hillslope view: lowland minus upland in every season, within a group, with its interval or the reason why there is none."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dashboards import hillslope_figure
from dashboards.answer import Answer, Table
from dashboards.words import GROUPS, WINDOWS, count, mpa, number, semester_order, semester_words, sentence

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices


def draw(contrasts: pd.DataFrame, choices: Choices, *, decimals: int = 2, why_empty: str = "There is nothing to show.") -> Answer:
    """Draw lowland minus upland, MPa (above 0: the lowland was wetter), one row of `fair_contrasts` per season and group."""
    if contrasts.empty:
        return Answer(title="Nothing to show here", reading=why_empty)
    contrasts = contrasts.sort_values("functional_group", key=lambda names: names.map(list(GROUPS).index))
    known = contrasts[contrasts["difference_mpa"].notna()]
    groups = [group for group in GROUPS if group in set(contrasts["functional_group"])]
    without = len(contrasts) - len(known)
    fair = ["Each difference is within one group and one part of the day; plants are the unit, and leaves of a plant are averaged first."]
    if len(groups) > 1:
        fair.append("A wider gap in one group than in another is no measure of greater stress.")
    if without:
        fair.append(f"{count(without, 'season has', 'seasons have')} no contrast in a group: a cross on the line of 0; the table says why.")
    return Answer(
        title=_title(known, choices),
        reading=_reading(known, contrasts, choices, decimals),
        fair=fair,
        counts=f"{count(len(known), 'contrast')} from {count(int(known[['n_plants_low', 'n_plants_high']].sum().sum()), 'plant')}.",
        panels=hillslope_figure.panels(contrasts, choices, decimals) if not known.empty else (),
        source="Lowland minus upland, water potential (MPa): above the line of 0 the lowland was wetter, below it the upland.",
        tables=[_table(contrasts, decimals)],
    )


def _title(known: pd.DataFrame, choices: Choices) -> str:
    if known.empty:
        return "No season allows the comparison yet"
    sure = int((known["ci_low_mpa"] > 0).sum())
    against = int((known["ci_high_mpa"] < 0).sum())
    start = f"The lowland was clearly wetter in {sure} of {count(len(known), 'comparison')}"
    return start + (f", clearly drier in {against}" if against else "")


def _reading(known: pd.DataFrame, contrasts: pd.DataFrame, choices: Choices, decimals: int) -> str:
    now = contrasts[contrasts["semester"] == choices.semester]
    when = f"{sentence(WINDOWS.get(choices.window, ''))} in {semester_words(choices.semester)}"
    measured = now[now["difference_mpa"].notna()]
    if measured.empty:
        reasons = sorted({str(reason) for reason in now["reason"].dropna()})
        return f"{when} there is no contrast" + (f": {reasons[0].rstrip('.')}." if reasons else ".")
    told = [
        f"{GROUPS[str(row.functional_group)]} {mpa(row.difference_mpa, decimals, sign=True)} ("
        + (
            ""
            if row.ci_low_mpa != row.ci_low_mpa
            else f"{number(row.ci_low_mpa, decimals, sign=True)} to {number(row.ci_high_mpa, decimals, sign=True)}; "
        )
        + f"{int(row.n_plants_low)} and {int(row.n_plants_high)} plants)"
        for row in measured.itertuples()
    ]
    return f"{when}, lowland minus upland: {'; '.join(told)}."


def _table(contrasts: pd.DataFrame, decimals: int) -> Table:
    ordered = contrasts.sort_values("semester", key=lambda names: names.map(semester_order), ascending=False)
    shown = ordered.assign(
        when=[semester_words(semester) for semester in ordered["semester"]],
        group=[sentence(GROUPS[group]) for group in ordered["functional_group"]],
        **{
            name: [number(value, decimals, sign=name.startswith(("difference", "ci_"))) for value in ordered[name]]
            for name in ("difference_mpa", "ci_low_mpa", "ci_high_mpa", "mean_low_mpa", "mean_high_mpa")
        },
    )
    headings = {
        "when": "Semester",
        "group": "Group",
        "difference_mpa": "Lowland minus upland, MPa",
        "ci_low_mpa": "95 % interval from, MPa",
        "ci_high_mpa": "to, MPa",
        "mean_low_mpa": "Lowland, MPa",
        "n_plants_low": "Plants",
        "mean_high_mpa": "Upland, MPa",
        "n_plants_high": "Plants",
        "sentence": "In words",
    }
    numeric = frozenset(headings) - {"when", "group", "sentence"}
    return Table("Lowland minus upland, the latest first", shown, headings, numeric, frozenset({"sentence"}))
