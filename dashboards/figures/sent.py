"""A figure as a page gets it: bare panels once, as Bokeh's JSON, and for each answer nothing but what is drawn on them.

The browser builds the panels. A document of the server's with all their models would cost each reader a third of a second and megabytes.
"""

from __future__ import annotations

import json
from functools import cache
from typing import TYPE_CHECKING, Any

from dashboards.figures import marks
from dashboards.figures import panel as panels
from dashboards.figures.panel import Panel
from dashboards.words import escape

if TYPE_CHECKING:
    from dashboards.answer import Answer

TOUCHES = frozenset({"tap", "doubletap", "rangesupdate"})
"""What a reader does in a figure that the page hears of, by Bokeh's names."""


@cache
def bare_panels() -> str:
    """The two kinds of panel without anything drawn, `plain` and `on_time`, as JSON that may stand in a page."""
    return in_page({"plain": _bare(is_on_time=False), "on_time": _bare(is_on_time=True)})


def _bare(*, is_on_time: bool) -> Any:
    from bokeh.document import Document

    plot = panels.build(Panel("", "", 200, (0.0, 1.0), (0.0, 1.0), {}, {}, is_on_time=is_on_time), has_every_layer=True)
    plot.subscribed_events = set(TOUCHES)
    document = Document()
    document.config.notifications = None
    document.add_root(plot)
    return document.to_json(deferred=False)


def words(answer: Answer, links: str = "") -> dict[str, str]:
    """What a page says of an answer, as HTML by the part of the page in which it stands; the links go under the reading."""
    key = f'<p class="key">{answer.key}</p><p class="source">{escape(answer.source)}</p>' if answer.panels else ""
    return {"title": f"<h1>{escape(answer.title)}</h1>", "side": answer.side_html() + links, "key": key, "numbers": answer.tables_html()}


def figure(answer: Answer, panel_width: int | None) -> dict[str, Any]:
    """What is drawn, for the page: side by side where `panel_width` (px) is given, otherwise one under the other, wide ones last."""
    width = answer.panel_width or panel_width
    is_stacked = panel_width is None
    end = marks.TIME_END_BESIDE if any(panel.beside for panel in answer.panels) else marks.TIME_END
    ordered = sorted(answer.panels, key=lambda panel: panel.is_wide)
    columns = "minmax(0, 1fr)" if width is None else f"repeat(auto-fit, minmax(min({width}px, 100%), 1fr))"
    return {"columns": columns, "panels": [_panel(panel, is_stacked=is_stacked, end=end) for panel in ordered]}


def places_html(drawn: dict[str, Any]) -> str:
    """Room for the panels of a figure, so that nothing moves when the browser draws them."""
    kinds = ((' class="wide"' if panel["isWide"] else "", panel["plot"]["height"]) for panel in drawn["panels"])
    rooms = "".join(f'<div{kind} style="min-height: {height}px"></div>' for kind, height in kinds)
    return f'<div id="panels" style="grid-template-columns: {drawn["columns"]}">{rooms}</div>'


def _panel(panel: Panel, *, is_stacked: bool, end: int) -> dict[str, Any]:
    """One panel: its properties, its ranges, its ticks as pairs of place and words, and those of its layers that hold anything."""
    is_aligned = panel.is_on_time or is_stacked
    return {
        "kind": "on_time" if panel.is_on_time else "plain",
        "isWide": panel.is_wide,
        "plot": {
            "name": panel.name,
            "height": panel.height,
            "min_border_left": marks.TIME_MARGIN if is_aligned else marks.LEAST_BORDER,
            "min_border_right": end if is_aligned else marks.LEAST_BORDER,
        },
        "title": panel.title,
        "x": panel.x_range,
        "y": panel.y_range,
        "xTicks": list(panel.x_ticks.items()),
        "yTicks": list(panel.y_ticks.items()),
        "beside": list(panel.beside.items()),
        "layers": {name: layer for name, layer in panel.layers.items() if any(layer.values())},
    }


def in_page(value: Any) -> str:
    """A value as JSON that may stand within a script element.

    Raises:
        ValueError: a number in it is not finite; what cannot be drawn has no place in a figure.
    """
    return json.dumps(value, allow_nan=False, default=float, separators=(",", ":")).replace("<", "\\u003c")
