"""What a reader does in a figure by mouse or finger: drags over time, double-clicks, clicks a mark. All of it is a choice like others."""

from __future__ import annotations

import datetime as dt
import json
import logging
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from dashboards.figures import marks

if TYPE_CHECKING:
    from dashboards.figures.panel import Panel

REACH_PX = 22
"""A click this near to a mark, px, is meant for it: half the width of a finger."""

_FARTHEST = 1e18
"""No place in a figure is farther from 0 than this, in the units of any axis."""

_LOG = logging.getLogger(__name__)


def chosen(drawn: Sequence[Panel], told: str) -> dict[str, str]:
    """The choices that change by what a reader did in a figure, or asked; none where it means nothing, or is nothing that a page tells.

    Args:
        drawn: the panels that the page shows.
        told: what the page says, as JSON: `panel` (its name) and `event`; of a range `x0` and `x1`, of a tap its place `x`, `y` in the
            units of the axes, and `width`, `height` of the frame, px. What was asked stands in `sql`.
    """
    done = _heard(told)
    event, panel = done.get("event"), next((panel for panel in drawn if panel.name == done.get("panel")), None)
    if event == "ask" and _is_text(done.get("sql")):
        return {"sql": done["sql"]}
    if event == "doubletap":
        return {"since": "", "until": ""} if panel is not None and panel.is_on_time else {}
    if event == "tap" and (place := _numbers(done, "x", "y", "width", "height")):
        x, y, width, height = place
        return {} if panel is None else _picked(nearest(panel, (x, y), (width or 1, height or 1)))
    if event == "rangesupdate" and (ends := _numbers(done, "x0", "x1")):
        return days_of(*ends) if panel is not None and panel.is_on_time else {}
    _LOG.warning("A page told of something that is done in no figure; it was left out of account.")
    return {}


def _heard(told: str) -> dict[str, Any]:
    """What a page told, by name; nothing where it is no JSON object: whoever speaks to the server need not be a page of ours."""
    try:
        done = json.loads(told)
    except (ValueError, RecursionError):
        return {}
    return done if isinstance(done, dict) else {}


def _is_text(value: object) -> bool:
    """Whether a value is text that can be written; half a sign outside the basic plane is none."""
    return isinstance(value, str) and not any("\ud800" <= sign <= "\udfff" for sign in value)


def _numbers(done: dict[str, Any], *names: str) -> list[float]:
    """Values by these names; none where one of them is no number that a figure could have."""
    values: list[Any] = [done.get(name) for name in names]
    found = [float(value) for value in values if type(value) in (int, float) and -_FARTHEST < value < _FARTHEST]
    return found if len(found) == len(names) else []


def days_of(start: float, end: float) -> dict[str, str]:
    """A range of a time axis, in milliseconds, as the choices of its first and last day; the calendar's own where it goes beyond that."""
    first, last = (_day(ms) for ms in (start, end - 1))
    return {"since": first.isoformat(), "until": last.isoformat()}


def _day(ms: float) -> dt.date:
    days = dt.date(1970, 1, 1).toordinal() + int(ms // marks.DAY_MS)
    return dt.date.fromordinal(min(max(days, 1), dt.date.max.toordinal()))


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
