"""One year laid over all the others, month under month: the chosen year strong, the others thin and grey, dry ones by name."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from dashboards.figures import marks
from dashboards.figures.panel import Panel
from dashboards.figures.time_axis import Span
from dashboards.views import rain_strips, years_figure
from dashboards.words import GROUPS, number, sentence, those_in

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices

_YEAR = 2001
"""Days of every year stand on the axis of this one; 29 February stands on 1 March."""


def panels(seasons: pd.DataFrame, rain: pd.DataFrame, choices: Choices, dry: dict[str, float], decimals: int) -> list[Panel]:
    """A panel per functional group over the months of a year, and under them the rain and drought index of the chosen year.

    Seasons of one site and year are joined by a line.
    """
    span = Span(dt.date(_YEAR, 1, 1), dt.date(_YEAR, 12, 31))
    chosen = int(choices.semester[:4])
    driest, sites = years_figure.driest_mpa(seasons), years_figure.sites_in_order(seasons)
    low, high = marks.potential_range(driest)
    drawn = []
    for group in those_in(GROUPS, seasons["functional_group"]):
        panel = Panel(
            name=f"over-{group}",
            title=sentence(GROUPS[group]),
            height=years_figure.GROUP_HEIGHT,
            x_range=span.x_range,
            y_range=(low * 1.08, high),
            x_ticks=_months(),
            y_ticks=marks.tick_words(marks.potential_ticks(driest)),
        )
        mine = seasons[(seasons["functional_group"] == group) & seasons["estimate_mpa"].notna()]
        by_year: dict[tuple[int, str], list[Any]] = {}
        for row in mine.sort_values("date").itertuples():
            by_year.setdefault((int(row.year), str(row.site)), []).append(row)
        for year, site in sorted(by_year, key=lambda each: (each[0] == chosen, each)):
            _add_year(panel, by_year[year, site], sites, decimals, choices, is_chosen=year == chosen)
        _name_dry(panel, mine[mine["semester"].isin(set(dry))], low)
        drawn.append(panel)
    return drawn + _strips(rain, chosen, span)


def _add_year(panel: Panel, rows: list[Any], sites: list[str], decimals: int, choices: Choices, *, is_chosen: bool) -> None:
    at = [_across(row, sites) for row in rows]
    colour = marks.POSITION_COLOURS.get(rows[0].topographic_position, marks.NEUTRAL) if is_chosen else marks.NEUTRAL
    for i in range(len(rows) - 1):
        ends = {"x0": at[i], "y0": rows[i].estimate_mpa, "x1": at[i + 1], "y1": rows[i + 1].estimate_mpa}
        panel.add("bars", **ends, colour=colour, width=2.5 if is_chosen else 0.6)
    for x, row in zip(at, rows, strict=True):
        pick = choices.pick if row.semester == choices.semester else ""
        years_figure.add_season(panel, row, x, decimals, is_chosen=is_chosen, pick=pick)


def _across(row: Any, sites: list[str]) -> float:
    """The day of the year on the shared axis, with the sites beside each other."""
    return on_year(row.date) + years_figure.beside(str(row.site), sites) * 365 * marks.DAY_MS


def on_year(day: Any) -> float:
    """A day, in milliseconds, on the axis that all years share."""
    is_leap_day = (day.month, day.day) == (2, 29)
    return marks.on_time(dt.date(_YEAR, 3, 1) if is_leap_day else dt.date(_YEAR, day.month, day.day))


def _name_dry(panel: Panel, dry: pd.DataFrame, low: float) -> None:
    """The years of dry seasons under their marks; years that fall on the same days share the words."""
    at: dict[int, tuple[float, set[int]]] = {}
    for row in dry.itertuples():
        x = on_year(row.date)
        place = next((place for place in at if abs(at[place][0] - x) < 60 * marks.DAY_MS), len(at))
        at.setdefault(place, (x, set()))[1].add(int(row.year))
    for x, years in at.values():
        panel.add("words", x=x, y=low * 1.03, text="dry: " + ", ".join(str(year) for year in sorted(years)))


def _strips(rain: pd.DataFrame, chosen: int, span: Span) -> list[Panel]:
    """Rain and drought index of one year, with what is normal as a stroke at each month."""
    months = rain[rain["year"].astype(int) == chosen]
    moved = months.assign(month_start=[dt.date(_YEAR, int(month), 1) for month in months["month"]])
    drawn = rain_strips.strips(moved, span, title_year=chosen)
    drawn = [replace(panel, x_ticks=_months() if panel.name == "over-index" else {}) for panel in drawn]
    for panel in drawn:
        for row in moved[moved["normal_mm"].notna()].itertuples() if panel.name == "over-rain" else ():
            says = f"{row.month_start:%B}, normal: {number(float(row.normal_mm), 0)} mm of rain"
            x = marks.on_time(row.month_start.replace(day=16))
            panel.add("ink_marks", x=x, y=float(row.normal_mm), shape="dash", size=12, alpha=1.0, says=says)
    return drawn


def _months() -> dict[float, str]:
    return {marks.on_time(dt.date(_YEAR, month, 16)): f"{dt.date(_YEAR, month, 1):%b}" for month in (1, 3, 5, 7, 9, 11)}


def against_history(now: pd.DataFrame) -> str:
    """How the chosen season stands among the earlier ones of its own kind, where that is known: the site that was driest so."""
    known = now[now["percentile"].notna()]
    if known.empty:
        return ""
    row = next(known.loc[[known["percentile"].astype(float).idxmax()]].itertuples())
    least = "at least " if years_figure.is_true(row.index_is_bound) else ""
    n = int(row.n_history_semesters)
    return f" {row.site_name} was drier than {least}{number(float(row.percentile), 0)} % of its own {n} earlier {row.season}s."
