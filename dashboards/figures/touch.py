"""What a reader does in a figure by mouse or finger: drags over time, double-clicks, clicks a mark. All of it is a choice like others."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence
from typing import TYPE_CHECKING

from dashboards.figures import marks

if TYPE_CHECKING:
    from dashboards.figures.panel import Panel

REACH_PX = 22
"""A click this near to a mark, px, is meant for it: half the width of a finger."""


def chosen(drawn: Sequence[Panel], told: str) -> dict[str, str]:
    """The choices that change by what a reader did in a figure, or asked; none where it means nothing.

    Args:
        drawn: the panels that the page shows.
        told: what the page says, as JSON: `panel` (its name) and `event`; of a range `x0` and `x1`, of a tap its place `x`, `y` in the
            units of the axes, and `width`, `height` of the frame, px. What was asked stands in `sql`.
    """
    done = json.loads(told)
    if done["event"] == "ask":
        return {"sql": done["sql"]}
    panel = next((panel for panel in drawn if panel.name == done["panel"]), None)
    if panel is None:
        return {}
    if done["event"] == "tap":
        return _picked(nearest(panel, (done["x"], done["y"]), (done["width"] or 1, done["height"] or 1)))
    if not panel.is_on_time:
        return {}
    return {"since": "", "until": ""} if done["event"] == "doubletap" else days_of(done["x0"], done["x1"])


def days_of(start: float, end: float) -> dict[str, str]:
    """A range of a time axis, in milliseconds, as the choices of its first and last day."""
    first, last = (dt.date(1970, 1, 1) + dt.timedelta(days=ms // marks.DAY_MS) for ms in (start, end - 1))
    return {"since": first.isoformat(), "until": last.isoformat()}


def _picked(found: str) -> dict[str, str]:
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
