"""The panels of the Hillslope view: a difference and its interval per season, over the line of no difference."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dashboards import marks
from dashboards.panel import Panel
from dashboards.words import GROUPS, is_missing, mpa, number, semester_words, sentence

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices

HEIGHT = 170
_IN_YEAR = {"winter": 0.05, "spring": 0.3, "summer": 0.5, "fall": 0.75}


def panels(contrasts: pd.DataFrame, choices: Choices, decimals: int) -> list[Panel]:
    """A panel per functional group; the chosen semester strong, a cross where there is no contrast."""
    groups = [group for group in GROUPS if group in set(contrasts["functional_group"])]
    values = [0.0, *(float(v) for name in ("ci_low_mpa", "ci_high_mpa", "difference_mpa") for v in contrasts[name].dropna())]
    step = marks.round_step(max(max(values) - min(values), 0.2), 5)
    first, last = int(min(values) // step), int(-(-max(values) // step))
    ticks = [i * step for i in range(first, last + 1)]
    years = range(int(contrasts["year"].min()), int(contrasts["year"].max()) + 1)
    drawn = []
    for group in groups:
        panel = Panel(
            name=group,
            title=sentence(GROUPS[group]),
            height=HEIGHT,
            x_range=(float(years[0]), float(years[-1] + 1)),
            y_range=(min(ticks[0], *values) - 0.06 * step, max(ticks[-1], *values) + 0.06 * step),
            x_ticks={year + 0.5: marks.year_words(year, len(years)) for year in years},
            y_ticks=marks.tick_words(ticks, sign=True),
        )
        panel.add("ink_bars", x0=years[0], y0=0.0, x1=years[-1] + 1, y1=0.0, width=1.2, alpha=1.0)
        for row in contrasts[contrasts["functional_group"] == group].itertuples():
            _add(panel, row, decimals, is_chosen=row.semester == choices.semester)
        drawn.append(panel)
    return drawn


def _add(panel: Panel, row: Any, decimals: int, *, is_chosen: bool) -> None:
    x, alpha = int(row.year) + _IN_YEAR.get(str(row.season), 0.5), 1.0 if is_chosen else 0.6
    when = semester_words(str(row.semester))
    if is_missing(row.difference_mpa):
        panel.add("ink_marks", x=x, y=0.0, shape="x", size=10, alpha=alpha, says=f"{when}: no contrast. {row.reason}")
        return
    says = f"{when}: {mpa(row.difference_mpa, decimals, sign=True)}"
    if not is_missing(row.ci_low_mpa):
        says += f" ({number(row.ci_low_mpa, decimals, sign=True)} to {number(row.ci_high_mpa, decimals, sign=True)})"
        panel.add("ink_bars", x0=x, y0=row.ci_low_mpa, x1=x, y1=row.ci_high_mpa, width=3 if is_chosen else 1.5, alpha=alpha)
    panel.add("ink_marks", x=x, y=row.difference_mpa, shape="circle", size=9 if is_chosen else 6, alpha=alpha, says=says)
