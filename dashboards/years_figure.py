"""The panels of the Years view: means over time, and under them the strip of rain, which hvPlot draws on the same time axis."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from dashboards import marks
from dashboards.panel import Panel
from dashboards.words import GROUPS, POSITIONS, count, is_missing, mpa, number, semester_words, sentence

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices

GROUP_HEIGHT, RAIN_HEIGHT = 200, 130
_APART_DAYS = 16
_GREY = "#85867F"
RAIN_TITLE = "Rain of each month, mm"


def panels(seasons: pd.DataFrame, choices: Choices, dry: dict[str, float], decimals: int) -> list[Panel]:
    """A panel per functional group, low plants first, all on one time axis and one potential axis.

    The chosen semester is strong and in the colours of its positions, the others thin and grey; dry ones are named.
    """
    groups = [group for group in GROUPS if group in set(seasons["functional_group"])]
    values = [float(v) for name in ("ci_low_mpa", "mean_mpa", "median_mpa") for v in seasons[name].dropna()]
    driest = min(values, default=-1.0)
    years = sorted({int(year) for year in seasons["year"]})
    span = range(years[0], years[-1] + 1)
    drawn = []
    for group in groups:
        low, high = marks.potential_range(driest)
        panel = Panel(
            name=group,
            title=sentence(GROUPS[group]),
            height=GROUP_HEIGHT,
            x_range=(marks.on_time(dt.date(span[0], 1, 1)), marks.on_time(dt.date(span[-1] + 1, 1, 1))),
            y_range=(low * 1.08, high),
            x_ticks={marks.on_time(dt.date(year, 7, 1)): marks.year_words(year, len(span)) for year in span},
            y_ticks=marks.tick_words(marks.potential_ticks(driest)),
            is_on_time=True,
        )
        mine = seasons[seasons["functional_group"] == group]
        for row in mine[mine["semester"] != choices.semester].itertuples():
            _add(panel, row, decimals, is_chosen=False)
        for row in mine[mine["semester"] == choices.semester].itertuples():
            _add(panel, row, decimals, is_chosen=True)
        for row in mine[mine["semester"].isin(set(dry))].drop_duplicates("semester").itertuples():
            panel.add("words", x=marks.on_time(row.date), y=low * 1.03, text="dry")
        drawn.append(panel)
    return drawn


def _add(panel: Panel, row: Any, decimals: int, *, is_chosen: bool) -> None:
    """One summary: its mean with the interval, or else its median, which may be a bound; or nothing, where neither is known."""
    has_mean = not is_missing(row.mean_mpa)
    value = row.mean_mpa if has_mean else row.median_mpa
    if is_missing(value):
        return
    apart = POSITIONS.index(row.topographic_position) - 1 if row.topographic_position in POSITIONS else 0
    x = marks.on_time(row.date) + apart * _APART_DAYS * marks.DAY_MS
    is_bound = not has_mean and not is_missing(row.median_is_bound) and bool(row.median_is_bound)
    colour = marks.POSITION_COLOURS.get(row.topographic_position, _GREY) if is_chosen else _GREY
    if has_mean and not is_missing(row.ci_low_mpa):
        panel.add("bars", x0=x, y0=row.ci_low_mpa, x1=x, y1=row.ci_high_mpa, colour=colour, width=2 if is_chosen else 1)
    rain = "" if is_missing(row.rain_30d_mm) else f"; {number(float(row.rain_30d_mm), 0)} mm of rain in 30 days"
    kind = "mean" if has_mean else "median, at least as dry as" if is_bound else "median"
    says = f"{semester_words(row.semester)}, {row.site_name}: {kind} {mpa(value, decimals)}, {count(int(row.n_plants), 'plant')}{rain}"
    shape = marks.POSITION_SHAPES.get(row.topographic_position, "circle")
    panel.add(
        "marks",
        x=x,
        y=value,
        shape=shape,
        size=11 if is_chosen else 7,
        colour=colour,
        fill_alpha=0.0 if is_bound else 1.0,
        line_alpha=1.0,
        says=says,
    )
    if is_bound:
        marks.add_arrow(panel, x, value, colour, half=12 * marks.DAY_MS)


def rain_strip(rain: pd.DataFrame, time_range: Any) -> Any:
    """Monthly rain, mm, hanging from the top of its strip, on the time axis of the panels; months that lack days are not drawn."""
    import holoviews as hv
    import hvplot.pandas  # noqa: F401  (importing it gives frames their .hvplot)
    import pandas as pd
    from bokeh.models import FixedTicker, HoverTool

    hv.extension("bokeh", logo=False)
    known = rain[rain["rain_mm"].notna()]
    starts = pd.to_datetime(known["month_start"])
    frame = pd.DataFrame({"middle": starts + pd.Timedelta(days=15), "rain": known["rain_mm"].astype(float)})
    frame["says"] = [f"{start:%B %Y}: {mm:.0f} mm of rain" for start, mm in zip(starts, known["rain_mm"], strict=True)]
    look = {"color": marks.RAIN, "line_color": None, "bar_width": 1.0, "hover": False, "xlabel": "", "ylabel": "", "title": RAIN_TITLE}
    bars = frame.hvplot.bar(x="middle", y="rain", hover_cols=["says"], responsive=True, height=RAIN_HEIGHT, **look)
    plot = hv.render(bars, backend="bokeh")
    step = marks.round_step(float(frame["rain"].max()), 4)
    ticks = [i * step for i in range(int(float(frame["rain"].max()) // step) + 1)]
    marks.dress(plot)
    plot.output_backend = "canvas"
    plot.x_range = time_range
    plot.y_range.update(start=float(frame["rain"].max()) * 1.03, end=0.0)
    plot.xaxis[0].update(visible=False)
    plot.ygrid[0].ticker = FixedTicker(ticks=ticks)
    marks.set_ticks(plot.yaxis[0], {tick: number(tick, 0) for tick in ticks})
    plot.toolbar_location = None
    plot.tools = [HoverTool(renderers=plot.renderers, tooltips="@says")]
    plot.renderers[0].data_source.data["says"] = list(frame["says"])
    plot.update(min_border=2, min_border_left=marks.TIME_MARGIN, min_border_right=marks.TIME_END, name="rain")
    return plot
