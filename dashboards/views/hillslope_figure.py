"""The panels of the Hillslope view: a difference and its interval per season, over the years or over the water before it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from dashboards.figures import marks
from dashboards.figures.panel import Panel
from dashboards.words import GROUPS, is_missing, mpa, number, semester_words, sentence, those_in

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices

HEIGHT = 170
_SHOWN = ("semester", "x", "difference_mpa", "ci_low_mpa", "ci_high_mpa", "reason")
_IN_YEAR = {"winter": 0.05, "spring": 0.3, "summer": 0.5, "fall": 0.75}


@dataclass(frozen=True)
class Across:
    """What stands across instead of the years: its column, in words, how its values are written, and who had much and little of it."""

    column: str
    words: str
    times: float
    unit: str
    least: str


ACROSS: Mapping[str, str] = {"through the years": "", "against antecedent rain": "index", "against modelled soil water": "soil"}
"""Words of the choice and its code in `CONDITIONS`."""

CONDITIONS: Mapping[str, Across] = {
    "index": Across("antecedent_index_mm", "antecedent rain index, mm", 1.0, "mm", "the least antecedent rain"),
    "soil": Across(
        "upland_relative_water", "soil water of the upland, % of what plants can take (model)", 100.0, "%", "the driest upland soil"
    ),
}


def across_of(code: str) -> Across | None:
    """What stands across; None where the years do."""
    return CONDITIONS.get(code)


def placed(contrasts: pd.DataFrame, across: Across | None) -> pd.DataFrame:
    """The contrasts with their place `x`: the year and the part of it, or the water before the readings; null where that is not known."""
    if across is None:
        return contrasts.assign(x=contrasts["year"].astype(float) + contrasts["season"].map(_IN_YEAR).fillna(0.5))
    return contrasts.assign(x=contrasts[across.column].astype(float) * across.times)


def panels(contrasts: pd.DataFrame, choices: Choices, decimals: int) -> list[Panel]:
    """A panel per functional group; the chosen semester strong, a cross where there is no contrast. `contrasts` are `placed`."""
    groups = those_in(GROUPS, contrasts["functional_group"])
    values = [0.0, *(float(v) for name in ("ci_low_mpa", "ci_high_mpa", "difference_mpa") for v in contrasts[name].dropna())]
    step = marks.round_step(max(max(values) - min(values), 0.2), 5)
    first, last = int(min(values) // step), int(-(-max(values) // step))
    ticks = [i * step for i in range(first, last + 1)]
    (left, right), x_ticks = _axis(contrasts, across_of(choices.across))
    drawn = []
    for group in groups:
        panel = Panel(
            name=group,
            title=sentence(GROUPS[group]),
            height=HEIGHT,
            x_range=(left, right),
            y_range=(min(ticks[0], *values) - 0.06 * step, max(ticks[-1], *values) + 0.06 * step),
            x_ticks=x_ticks,
            y_ticks=marks.tick_words(ticks, sign=True),
        )
        panel.add("ink_bars", x0=left, y0=0.0, x1=right, y1=0.0, width=1.2, alpha=1.0)
        mine = contrasts.loc[(contrasts["functional_group"] == group) & contrasts["x"].notna(), list(_SHOWN)]
        for row in mine.itertuples(index=False):
            _add(panel, row, decimals, is_chosen=row.semester == choices.semester)
        drawn.append(panel)
    return drawn


def _axis(contrasts: pd.DataFrame, across: Across | None) -> tuple[tuple[float, float], dict[float, str]]:
    if across is None:
        years = range(int(contrasts["year"].min()), int(contrasts["year"].max()) + 1)
        return (float(years[0]), float(years[-1] + 1)), {year + 0.5: marks.year_words(year, len(years)) for year in marks.years_told(years)}
    most = max([1.0, *(float(x) for x in contrasts["x"].dropna()), 0.0])
    step = marks.round_step(most, 6)
    return (-0.04 * most, 1.04 * most), {i * step: number(i * step, 0 if step >= 1 else 1) for i in range(int(most / step) + 1)}


def _add(panel: Panel, row: Any, decimals: int, *, is_chosen: bool) -> None:
    x, alpha = float(row.x), 1.0 if is_chosen else 0.6
    when = semester_words(str(row.semester))
    if is_missing(row.difference_mpa):
        panel.add("ink_marks", x=x, y=0.0, shape="x", size=10, alpha=alpha, says=f"{when}: no contrast. {row.reason}")
        return
    says = f"{when}: {mpa(row.difference_mpa, decimals, sign=True)}"
    if not is_missing(row.ci_low_mpa):
        says += f" ({number(row.ci_low_mpa, decimals, sign=True)} to {number(row.ci_high_mpa, decimals, sign=True)})"
        panel.add("ink_bars", x0=x, y0=row.ci_low_mpa, x1=x, y1=row.ci_high_mpa, width=3 if is_chosen else 1.5, alpha=alpha)
    panel.add("ink_marks", x=x, y=row.difference_mpa, shape="circle", size=9 if is_chosen else 6, alpha=alpha, says=says)
