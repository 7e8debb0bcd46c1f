"""The modelled soil water of the sites through a semester, dashed because it is a model, with the days on which leaves were read."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from dashboards.figures import marks
from dashboards.figures.panel import Panel
from dashboards.figures.time_axis import Span
from dashboards.words import day_words, is_missing, listed, number, semester_words

if TYPE_CHECKING:
    import pandas as pd

HEIGHT = 210


def strip(days: pd.DataFrame, sampled: pd.DataFrame, semester: str) -> Panel | None:
    """Soil water of each site, percent of what plants can take, day by day; None where no day is known.

    Args:
        days: one row per site and day in order: `site`, `site_name`, `topographic_position`, `date`, `relative_water` (a share, null
            where the model does not know).
        sampled: one row per site and day on which leaves were read.
        semester: whose days these are.
    """
    if days["relative_water"].notna().sum() == 0:
        return None
    span = Span(_day(days["date"].min()), _day(days["date"].max()))
    panel = Panel(
        name="soil",
        title=f"Soil water (model), {semester_words(semester)}, %",
        height=HEIGHT,
        x_range=span.x_range,
        y_range=(-4.0, 104.0),
        x_ticks=span.ticks(),
        y_ticks={float(percent): str(percent) for percent in (0, 25, 50, 75, 100)},
        is_on_time=True,
        is_in_mpa=False,
        is_wide=True,
    )
    read = {(str(row.site), _day(row.date)) for row in sampled.itertuples()}
    for site, mine in days.groupby("site", sort=False):
        rows = list(mine.itertuples())
        for piece in pieces(rows):
            colour = marks.POSITION_COLOURS.get(rows[0].topographic_position, marks.NEUTRAL)
            xs, ys = [marks.on_time(row.date) for row in piece], [100 * float(row.relative_water) for row in piece]
            panel.add("model_lines", xs=xs, ys=ys, colour=colour, width=1.5)
        for row in rows:
            if (str(site), _day(row.date)) in read:
                _add_day(panel, row)
    return panel


def pieces(rows: list[Any]) -> list[list[Any]]:
    """The rows in pieces without a gap: a day that the model does not know parts them."""
    found: list[list[Any]] = []
    is_open = False
    for row in rows:
        is_known = not is_missing(row.relative_water)
        if is_known and not is_open:
            found.append([])
        if is_known:
            found[-1].append(row)
        is_open = is_known
    return found


def _add_day(panel: Panel, row: Any) -> None:
    start = f"{row.site_name}, {day_words(row.date)}, leaves were read"
    if is_missing(row.relative_water):
        panel.add("ink_marks", x=marks.on_time(row.date), y=0.0, shape="x", size=9, alpha=1.0, says=f"{start}: soil water not known")
        return
    value = 100 * float(row.relative_water)
    shape = marks.POSITION_SHAPES.get(row.topographic_position, "circle")
    colour = marks.POSITION_COLOURS.get(row.topographic_position, marks.NEUTRAL)
    look = {"shape": shape, "size": 9, "colour": colour, "fill_alpha": 1.0, "line_alpha": 1.0}
    panel.add("marks", x=marks.on_time(row.date), y=value, says=f"{start}: soil water {number(value, 0)} % by the model", **look)


def told(days: pd.DataFrame, sampled: pd.DataFrame, semester: str) -> list[str]:
    """The soil on the days of reading in words, and what the model does not know."""
    when = semester_words(semester)
    if days["relative_water"].notna().sum() == 0:
        reasons = sorted({str(reason) for reason in days["reason"].dropna()})
        return [f"The soil water of {when} is not drawn" + (f": {reasons[0]}" if reasons else ": no day of it is modelled.")]
    said = ["Below, soil water by a model, dashed, as a share of what plants can take; its marks are the days on which leaves were read."]
    at = days.merge(sampled.assign(is_read=True), on=["site", "date"])
    known = at[at["relative_water"].notna()].groupby("site_name", sort=False)["relative_water"].agg(["min", "max"])
    if not known.empty:
        said.append(f"When {when} was read: {listed(f'{site} {_range(row)}' for site, row in known.iterrows())} of what plants can take.")
    unknown = days[days["relative_water"].isna()]
    if not unknown.empty:
        why = listed(sorted({str(reason).rstrip(".") for reason in unknown["reason"].dropna()}))
        said.append(f"Where the line is broken the model does not know the soil{f': {why}' if why else ''}.")
    return said


def _range(row: Any) -> str:
    low, high = number(100 * float(row["min"]), 0), number(100 * float(row["max"]), 0)
    return f"{low}\u00a0%" if low == high else f"{low} to {high}\u00a0%"


def _day(day: Any) -> dt.date:
    return dt.date(day.year, day.month, day.day)
