"""What a reader does in a figure by mouse or finger: drags over time, double-clicks, clicks a mark. All of it is a choice like others."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from dashboards.figures import marks

if TYPE_CHECKING:
    from dashboards.figures.panel import Panel

REACH_PX = 22
"""A click this near to a mark, px, is meant for it: half the width of a finger."""

Choose = Callable[[dict[str, str]], None]


def listen(plot: Any, now: Callable[[], Panel], choose: Choose) -> None:
    """Take what a reader does in a figure as choices.

    Args:
        plot: a figure of `panel.build`.
        now: the panel that the figure shows at the moment.
        choose: takes the choices that change, by name.
    """
    from bokeh.events import DoubleTap, RangesUpdate, Tap

    if now().is_on_time:
        plot.on_event(RangesUpdate, lambda event: choose(days_of(event.x0, event.x1)))
        plot.on_event(DoubleTap, lambda event: choose({"since": "", "until": ""}))
    plot.on_event(Tap, lambda event: choose(_picked(plot, now(), event)))


def days_of(start: float, end: float) -> dict[str, str]:
    """A range of a time axis, in milliseconds, as the choices of its first and last day."""
    first, last = (dt.date(1970, 1, 1) + dt.timedelta(days=ms // marks.DAY_MS) for ms in (start, end - 1))
    return {"since": first.isoformat(), "until": last.isoformat()}


def _picked(plot: Any, panel: Panel, event: Any) -> dict[str, str]:
    found = nearest(panel, (event.x, event.y), (plot.inner_width or 1, plot.inner_height or 1))
    semester, _, pick = found.partition(".")
    return {"semester": semester, "pick": pick} if found else {}


def nearest(panel: Panel, at: tuple[float, float], size_px: tuple[float, float]) -> str:
    """The pick of the mark nearest to a place in a panel; '' where none is within reach.

    Args:
        panel: what is drawn.
        at: the place, in the units of the axes.
        size_px: width and height of the panel's frame, px.
    """
    (left, right), (bottom, top) = panel.x_range, panel.y_range
    across, down = size_px[0] / (right - left), size_px[1] / (top - bottom)
    layer = panel.layers["marks"]
    far = [((x - at[0]) * across) ** 2 + ((y - at[1]) * down) ** 2 for x, y in zip(layer["x"], layer["y"], strict=True)]
    best = min(range(len(panel.picks)), key=far.__getitem__, default=None)
    return panel.picks[best] if best is not None and far[best] <= REACH_PX**2 else ""
