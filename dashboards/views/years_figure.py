"""The panels of the Years view: an estimate per season, site and group, all on one time axis."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dashboards.figures import marks
from dashboards.figures.panel import Panel
from dashboards.figures.time_axis import Span
from dashboards.words import GROUPS, POSITIONS, count, is_missing, mpa, number, semester_words, sentence, those_in

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices

GROUP_HEIGHT = 200
_APART, _MOST_APART = 0.0035, 0.014
"""Sites of one season stand so far apart, as a share of the time axis, and all of them together no further than this."""

_ARROW_HALF = 0.0033
SHOWN = (
    *("semester", "site", "site_name", "topographic_position", "functional_group", "date", "n_plants", "method", "estimate_mpa"),
    *("estimate_is_bound", "ci_low_mpa", "ci_high_mpa", "rain_30d_mm"),
)
"""What a mark and its words need of a season: a row of all its columns takes twice as long."""
KINDS = {"t_interval": "mean", "single_plant": "one plant", "censored_normal": "mean, bounds taken as bounds"}
"""What an estimate of each method is called; by rank it is a median."""

_IN_PASSING = {"t_interval": "", "single_plant": "", "censored_normal": "about "}


def panels(seasons: pd.DataFrame, choices: Choices, dry: dict[str, float], decimals: int, span: Span) -> list[Panel]:
    """A panel per functional group, low plants first, all on one time axis and one potential axis, which holds every season.

    The chosen semester is strong and in the colours of its positions, the others thin and grey; dry ones are named.
    """
    groups = those_in(GROUPS, seasons["functional_group"])
    driest = driest_mpa(seasons)
    sites = sites_in_order(seasons)
    rows = list(seasons.loc[span.holds_each(seasons["date"]), list(SHOWN)].itertuples(index=False))
    low, high = marks.potential_range(driest)
    drawn = []
    for group in groups:
        panel = Panel(
            name=group,
            title=sentence(GROUPS[group]),
            height=GROUP_HEIGHT,
            x_range=span.x_range,
            y_range=(low * 1.08, high),
            x_ticks=span.ticks(),
            y_ticks=marks.tick_words(marks.potential_ticks(driest)),
            is_on_time=True,
        )
        mine = [row for row in rows if row.functional_group == group]
        for row in sorted(mine, key=lambda row: row.semester == choices.semester):
            is_chosen = row.semester == choices.semester
            add_season(panel, row, _across(row, sites, span), decimals, is_chosen=is_chosen, pick=choices.pick)
        for row in {row.semester: row for row in reversed(mine) if row.semester in dry}.values():
            panel.add("words", x=marks.on_time(row.date), y=low * 1.03, text="dry")
        drawn.append(panel)
    return drawn


def driest_mpa(seasons: pd.DataFrame) -> float:
    """The driest estimate or end of an interval, MPa."""
    return min((float(v) for name in ("ci_low_mpa", "estimate_mpa") for v in seasons[name].dropna()), default=-1.0)


def sites_in_order(seasons: pd.DataFrame) -> list[str]:
    """The sites from high to low ground."""
    order = {position: place for place, position in enumerate(POSITIONS)}
    known = seasons[["topographic_position", "site"]].drop_duplicates()
    pairs = {(order.get(str(position), len(order)), str(site)) for position, site in known.itertuples(index=False)}
    return [site for _, site in sorted(pairs)]


def _across(row: Any, sites: list[str], span: Span) -> float:
    """Where a site's mark stands in time: on its date, beside the other sites."""
    left, right = span.x_range
    return marks.on_time(row.date) + beside(str(row.site), sites) * (right - left)


def beside(site: str, sites: list[str]) -> float:
    """How far a site's mark stands from its date, as a share of the axis."""
    step = min(_APART, _MOST_APART / max(len(sites) - 1, 1))
    return (sites.index(site) - (len(sites) - 1) / 2) * step


def pick_of(row: Any) -> str:
    """The code by which a mark's readings are asked for."""
    return f"{row.functional_group}.{row.site}"


def add_season(panel: Panel, row: Any, x: float, decimals: int, *, is_chosen: bool, pick: str = "") -> None:
    """One estimate with its interval; open with an arrow where it is a bound; nothing where none is known."""
    if is_missing(row.estimate_mpa):
        return
    value, is_bound = float(row.estimate_mpa), is_true(row.estimate_is_bound)
    colour = marks.POSITION_COLOURS.get(row.topographic_position, marks.NEUTRAL) if is_chosen else marks.NEUTRAL
    if is_chosen and pick == pick_of(row):
        panel.add("ink_bars", x0=x, y0=0.0, x1=x, y1=value, width=1.0, alpha=0.8)
    if not is_missing(row.ci_low_mpa) and not is_bound:
        panel.add("bars", x0=x, y0=row.ci_low_mpa, x1=x, y1=row.ci_high_mpa, colour=colour, width=2 if is_chosen else 1)
    shape = marks.POSITION_SHAPES.get(row.topographic_position, "circle")
    look = {"size": 11 if is_chosen else 7, "colour": colour, "fill_alpha": 0.0 if is_bound else 1.0, "line_alpha": 1.0}
    panel.add("marks", x=x, y=value, shape=shape, says=said(row, decimals), **look)
    panel.picks.append(f"{row.semester}.{pick_of(row)}")
    if is_bound:
        left, right = panel.x_range
        marks.add_arrow(panel, x, value, colour, half=_ARROW_HALF * (right - left))


def said(row: Any, decimals: int) -> str:
    """An estimate in words, on hover."""
    rain = "" if is_missing(row.rain_30d_mm) else f"; {number(float(row.rain_30d_mm), 0)} mm of rain in 30 days"
    value = f"{kind_words(row)} {mpa(float(row.estimate_mpa), decimals)}"
    return f"{semester_words(row.semester)}, {row.site_name}: {value}, {count(int(row.n_plants), 'plant')}{rain}"


def kind_words(row: Any) -> str:
    """What kind of estimate it is: `mean`, or `median, at least as dry as` where it is a bound."""
    return KINDS.get(str(row.method), "median") + (", at least as dry as" if is_true(row.estimate_is_bound) else "")


def value_words(row: Any, decimals: int) -> str:
    """An estimate in running text: `−1.40 MPa`, `about −3.84 MPa`, `at least as dry as −3.79 MPa`."""
    kind = "at least as dry as " if is_true(row.estimate_is_bound) else _IN_PASSING.get(str(row.method), "a median of ")
    return kind + mpa(float(row.estimate_mpa), decimals)


def is_true(value: object) -> bool:
    """Whether a flag is set; one that is hidden or missing is not."""
    return not is_missing(value) and bool(value)
