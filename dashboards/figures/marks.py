"""The marks of the figures: one colour and one shape per topographic position, everywhere, and nothing else in those colours."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from dashboards.words import POSITIONS, number

if TYPE_CHECKING:
    import pandas as pd
    from bokeh.models import Range1d

    from dashboards.figures.panel import Panel

POSITION_COLOURS: dict[str, str] = {"upland": "#D55E00", "slope": "#7B4EA3", "lowland": "#0072B2"}
"""Vermillion, purple and blue: told apart by readers with any common colour vision, and doubled by the shape."""

POSITION_SHAPES: dict[str, str] = {"upland": "triangle", "slope": "diamond", "lowland": "inverted_triangle"}
TIME_MARGIN, TIME_END, TIME_END_BESIDE = 44, 14, 56
"""Least width left and right of a panel on time, px, and right where a second scale stands there: time axes stand exactly over each
other."""
LEAST_BORDER = 2
"""Least width around any other panel, px."""

RAIN = "#7C93A3"
"""Grey-blue, for rain and nothing else."""

NEUTRAL = "#85867F"
"""Grey, on paper and on the dark ground: for what is not the chosen season, and for what is neither position nor rain."""

DAY_MS = 86_400_000
"""A day on a time axis, milliseconds."""
_FIRST_DAY = dt.date(1970, 1, 1).toordinal()

MOST_YEARS_TOLD = 24
"""No more years than these are told along an axis: their words would run into each other."""

LARGE = 6
"""Marks of this size, px, are plants; an open one is drawn larger still, so that the open mark of its leaf does not fill it."""

INK = "#55564F"
"""Mid ink: readable on paper and on the dark ground until the page paints the figure in its own ink."""

SANS = "system-ui, 'Segoe UI', Roboto, 'Helvetica Neue', Arial, sans-serif"
_ARROW_SHARE, _HEAD_SHARE = 0.05, 0.02
"""Length of a bound's arrow and half the width of its head, as shares of the panel's height and width."""
_SVG_PATHS = {"upland": "M6 1 11 11H1Z", "slope": "M6 0 11 6 6 12 1 6Z", "lowland": "M6 11 1 1H11Z"}


def blank(*, height: int, y_range: Range1d, **options: Any) -> Any:
    """A figure without frame or toolbar; its parts are tagged, so that the page can paint them light or dark."""
    from bokeh.plotting import figure

    plot: Any = figure(height=height, sizing_mode="stretch_width", y_range=y_range, min_border=LEAST_BORDER, **options)
    plot.toolbar_location = None
    plot.tools = []
    dress(plot)
    return plot


def dress(plot: Any) -> None:
    """Take away frame and vertical rules, set the type, and tag what the page paints light or dark."""
    plot.background_fill_color = None
    plot.border_fill_color = None
    plot.outline_line_color = None
    plot.title.text_font = SANS
    plot.title.text_font_size = "14px"
    plot.title.text_font_style = "bold"
    plot.title.text_color = INK
    plot.title.tags = ["ink"]
    for axis in plot.axis:
        dress_axis(axis)
    for grid in plot.grid:
        grid.tags = ["rule"]
        grid.grid_line_color = INK
        grid.grid_line_alpha = 0.18
    plot.xgrid.grid_line_color = None


def on_time(day: Any) -> float:
    """A day as Bokeh's time axis counts: milliseconds since 1970."""
    return float((dt.date(day.year, day.month, day.day).toordinal() - _FIRST_DAY) * DAY_MS)


def dress_axis(axis: Any) -> None:
    """Take away an axis's lines, set its type, and tag it for the page to paint."""
    axis.tags = ["ink"]
    axis.major_label_text_font = axis.axis_label_text_font = SANS
    axis.major_label_text_font_size = axis.axis_label_text_font_size = "12px"
    axis.axis_label_text_font_style = "normal"
    axis.major_label_text_color = axis.axis_label_text_color = INK
    axis.axis_line_color = axis.major_tick_line_color = axis.minor_tick_line_color = None


def round_step(span: float, most: int) -> float:
    """The smallest round step (1, 2 or 5 times a power of ten) that parts a span into no more than so many."""
    size = 10.0 ** math.floor(math.log10(span / most))
    return next(size * factor for factor in (1, 2, 5, 10) if span / (size * factor) <= most)


def potential_ticks(driest_mpa: float) -> list[float]:
    """Round ticks from 0 down to the driest value, MPa, at most seven of them."""
    span = max(-driest_mpa, 0.2)
    step = round_step(span, 6)
    return [-step * i for i in range(int(span / step) + 1)]


def potential_range(driest_mpa: float) -> tuple[float, float]:
    """The vertical range of a panel of potentials: 0 at the top, below the driest value room for the arrow of a bound."""
    span = max(-driest_mpa, 0.2)
    return -span * (1 + _ARROW_SHARE + 0.03), span * 0.02


def tick_words(ticks: list[float], *, sign: bool = False) -> dict[float, str]:
    """Ticks as text with a proper minus and the same decimals."""
    decimals = next(d for d in range(7) if d == 6 or all(abs(tick - round(tick, d)) < 1e-9 for tick in ticks))
    return {tick: number(tick, decimals, sign=sign) for tick in ticks}


def years_told(years: Iterable[int]) -> list[int]:
    """The years that get a tick: all where few are shown, else every second, fifth or tenth."""
    every = list(years)
    step = next(step for step in (1, 2, 5, 10, 100) if len(every) <= step * MOST_YEARS_TOLD or step == 100)
    return [year for year in every if year % step == 0]


def year_words(year: int, n_years: int) -> str:
    """A year as a tick: whole where few are shown, its last two digits where many are."""
    return str(year) if n_years < 8 else f"’{year % 100:02d}"


def set_ticks(axis: Any, words: dict[float, str]) -> None:
    """Put ticks where the words stand."""
    from bokeh.models import FixedTicker

    axis.ticker = FixedTicker(ticks=list(words))
    axis.major_label_overrides = dict(words)


def add_readings(
    panel: Panel, xs: list[float], readings: pd.DataFrame, says: list[str], *, look: tuple[int, float], sizes: list[int] | None = None
) -> None:
    """Leaves or plants, their potentials in MPa: filled where one was measured, open with an arrow where it is a bound.

    `readings` has topographic_position, water_potential_mpa and below_limit; `look` is the size, in px, and the opacity;
    `sizes` are those of the marks where they differ.
    """
    size, alpha = look
    positions, values, bounds = (readings[name].tolist() for name in ("topographic_position", "water_potential_mpa", "below_limit"))
    panel.extend(
        "marks",
        x=xs,
        y=values,
        says=says,
        size=[each + 3 if is_bound and each >= LARGE else each for each, is_bound in zip(sizes or [size] * len(xs), bounds, strict=True)],
        shape=[POSITION_SHAPES[position] for position in positions],
        colour=[POSITION_COLOURS[position] for position in positions],
        fill_alpha=[0.0 if is_bound else alpha for is_bound in bounds],
        line_alpha=[alpha] * len(xs),
    )
    half = _HEAD_SHARE * (panel.x_range[1] - panel.x_range[0])
    for x, value, position, is_bound in zip(xs, values, positions, bounds, strict=True):
        if is_bound:
            add_arrow(panel, x, value, POSITION_COLOURS[position], half=half)


def size_of_many(n: int) -> int:
    """The size, px, of a mark that stands for so many: it grows with their logarithm."""
    return min(4 + round(3 * math.log10(n)), 16)


def add_arrow(panel: Panel, x: float, value_mpa: float, colour: str, *, half: float) -> None:
    """A short arrow down from a bound: the potential lies somewhere below. `half` is half the width of its head."""
    span = -panel.y_range[0]
    tip, head = value_mpa - span * _ARROW_SHARE, span * 0.014
    xs, ys = [x, x, x - half, x, x + half], [value_mpa - span * 0.012, tip, tip + head, tip, tip + head]
    panel.add("arrows", xs=xs, ys=ys, colour=colour)


def key_html(positions: list[str], *, has_bounds: bool, plants: bool = True, leaves: bool = True, means: bool = True) -> str:
    """The key to the marks as HTML: shapes in their colours, with their names."""
    parts = [
        f'<span><svg viewBox="0 0 12 12" width="12" height="12" aria-hidden="true"><path d="{_SVG_PATHS[position]}" '
        f'fill="{POSITION_COLOURS[position]}"/></svg> {position}</span>'
        for position in POSITIONS
        if position in positions
    ]
    if plants:
        parts.append("<span>small: a leaf; large: a plant's mean</span>" if leaves else "<span>a mark: a plant's mean</span>")
    if means:
        parts.append(
            '<span><svg viewBox="0 0 12 14" width="12" height="14" aria-hidden="true"><path d="M6 0V14M1 7H11" stroke="currentColor" '
            'stroke-width="2" fill="none"/></svg> mean and its 95 % interval</span>'
        )
    if has_bounds:
        parts.append(
            '<span><svg viewBox="0 0 12 16" width="12" height="16" aria-hidden="true"><path d="M6 1 10 8H2ZM6 8V15M3 12 6 15 9 12" '
            'stroke="currentColor" fill="none"/></svg> open, with an arrow: at least as dry as this</span>'
        )
    return "".join(parts)
