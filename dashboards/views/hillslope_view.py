"""The Hillslope view: lowland minus upland in every season, within a group, with its interval or the reason why there is none."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dashboards.answer import ROWS_IN_A_TABLE, Answer, Table
from dashboards.figures import marks
from dashboards.views import hill_section, hillslope_figure
from dashboards.words import GROUPS, POSITIONS, WINDOWS, count, is_missing, mpa, number, semester_order, semester_words, sentence, those_in

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices
    from dashboards.views.hillslope_figure import Across


FEWEST_SEASONS = 6
"""Fewer seasons than these are not parted into a drier and a wetter half."""


def draw(
    contrasts: pd.DataFrame, sites: pd.DataFrame, choices: Choices, *, decimals: int = 2, why_empty: str = "There is nothing to show."
) -> Answer:
    """Draw lowland minus upland, MPa (above 0: the lowland was wetter), and the hill as a section.

    Args:
        contrasts: one row of `fair_contrasts` per season and group, with `antecedent_index_mm` (mm) and `upland_relative_water` (a share).
        sites: the sites with their heights and soil, as `hill_section.section` takes them.
        choices: what the reader chose; `across` says what stands across.
        decimals: decimals in MPa that the gauges support.
        why_empty: the sentence to show where there is no contrast.
    """
    if contrasts.empty:
        return Answer(title="Nothing to show here", reading=why_empty)
    across = hillslope_figure.across_of(choices.across)
    contrasts = hillslope_figure.placed(contrasts, across)
    contrasts = contrasts.sort_values("functional_group", key=lambda names: names.map(list(GROUPS).index))
    known = contrasts[contrasts["difference_mpa"].notna()]
    hill = hill_section.section(sites, choices.semester)
    return Answer(
        title=_title(known, choices),
        reading=_reading(known, contrasts, choices, decimals) + ("" if across is None else _halves(known, across, decimals)),
        fair=_fair(contrasts, known, across) + hill_section.told(sites, choices.semester),
        counts=f"{count(len(known), 'contrast')} from {count(int(known[['n_plants_low', 'n_plants_high']].sum().sum()), 'plant')}.",
        panels=[*([] if known.empty else hillslope_figure.panels(contrasts, choices, decimals)), *([] if hill is None else [hill])],
        key=marks.key_html(those_in(POSITIONS, sites["topographic_position"]), has_bounds=False, plants=False, means=False),
        source="Lowland minus upland, water potential (MPa): above the line of 0 the lowland was wetter, below it the upland"
        + ("." if across is None else f"; across: {across.words}."),
        tables=[_table(contrasts, across, decimals), hill_section.table(sites, choices.semester)],
    )


def _fair(contrasts: pd.DataFrame, known: pd.DataFrame, across: Across | None) -> list[str]:
    fair = ["Each difference is within one group and one part of the day; plants are the unit, and leaves of a plant are averaged first."]
    if contrasts["functional_group"].nunique() > 1:
        fair.append("A wider gap in one group than in another is no measure of greater stress.")
    without = len(contrasts) - len(known)
    if without:
        fair.append(f"{count(without, 'season has', 'seasons have')} no contrast in a group: a cross on the line of 0; the table says why.")
    if across is not None:
        fair.append("No line is fitted: what goes with rain goes with season, heat and growth as well, and that is no cause.")
        n_unplaced = int(contrasts["x"].isna().sum())
        if n_unplaced:
            fair.append(f"{count(n_unplaced, 'season is', 'seasons are')} not drawn: {across.words.split(',')[0]} is not known for them.")
    return fair


def _halves(known: pd.DataFrame, across: Across, decimals: int) -> str:
    """The middle difference of the drier and of the wetter half of the seasons, in the group that has most of them."""
    placed = known[known["x"].notna()]
    if placed.empty:
        return ""
    group = str(placed["functional_group"].value_counts().idxmax())
    mine = placed[placed["functional_group"] == group].sort_values("x", kind="stable")
    n = len(mine) // 2
    if len(mine) < FEWEST_SEASONS:
        return f" {sentence(GROUPS[group])} have too few seasons ({len(mine)}) to part the dry from the wet."
    dry, wet = mine.iloc[:n], mine.iloc[n:]
    middle = [mpa(float(half["difference_mpa"].median()), decimals, sign=True) for half in (dry, wet)]
    most = number(float(dry["x"].max()), 0) + "\u00a0" + across.unit
    return (
        f" In the {n} seasons with {across.least} (up to {most}) the middle difference of {GROUPS[group]} was {middle[0]}, "
        f"in the {len(wet)} others {middle[1]}."
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


def _table(contrasts: pd.DataFrame, across: Across | None, decimals: int) -> Table:
    ordered = contrasts.sort_values("semester", key=lambda names: names.map(semester_order), ascending=False).head(ROWS_IN_A_TABLE)
    shown = ordered.assign(
        across=["" if is_missing(x) else number(float(x), 0) for x in ordered["x"]],
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
    if across is not None:
        headings = {"when": headings.pop("when"), "group": headings.pop("group"), "across": sentence(across.words)} | headings
    numeric = frozenset(headings) - {"when", "group", "sentence"}
    return Table("Lowland minus upland, the latest first", shown, headings, numeric, frozenset({"sentence"}), n_rows=len(contrasts))
