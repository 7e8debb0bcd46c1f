"""A figure of a report in two forms: Bokeh's on the screen, and a still drawing of the same panels in print."""

from __future__ import annotations

import base64
import io
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from dashboards.figures import marks
from dashboards.figures import panel as panels
from dashboards.figures.redraw import plain, redraw
from dashboards.figures.taking import csv_of, rows_of

if TYPE_CHECKING:
    from dashboards.answer import Answer
    from dashboards.figures.panel import Panel

MOST_ACROSS, MOST_DOWN = 3, 2
"""Panels in one still drawing; what is more goes into the next, so that none is too small to read or cut by the end of a page."""
_BESIDE_INCHES, _BELOW_INCHES = (2.45, 3.2), (7.35, 1.75)
"""Width and height of one panel in print, inches: three fill the width that A4 and Letter share."""


Stills = list[tuple[str, float]]
"""Drawings as SVG images (data addresses), each with its share of the page's width."""


def still(answer: Answer, across: int) -> Stills:
    """The panels as they are printed."""
    is_beside = across > 1
    most = MOST_ACROSS if is_beside else MOST_DOWN
    drawn = []
    for group in _evenly(answer.panels, most):
        width, height = _BESIDE_INCHES if is_beside else _BELOW_INCHES
        size = (width * len(group), height) if is_beside else (width, height * len(group))
        svg = _svg(replace(answer, panels=group), size, is_beside=is_beside)
        share = len(group) / most if is_beside else 1.0
        drawn.append(("data:image/svg+xml;base64," + base64.b64encode(svg).decode("ascii"), share))
    return drawn


def _evenly(drawn: Sequence[Panel], most: int) -> list[Sequence[Panel]]:
    """The panels in as few groups as may be, of nearly the same size."""
    n = -(-len(drawn) // most)
    size = -(-len(drawn) // n) if n else 0
    return [drawn[i * size : (i + 1) * size] for i in range(n)]


def _svg(answer: Answer, inches: tuple[float, float], *, is_beside: bool) -> bytes:
    import matplotlib as mpl

    rows = [row for row in rows_of(answer, beside=is_beside) if row.get("panel")]
    read = plain(io.StringIO(csv_of(rows).decode("utf-8-sig")))
    out = io.BytesIO()
    with mpl.rc_context({"svg.fonttype": "none", "svg.hashsalt": "tautleaf"}):
        figure = redraw(read)
        figure.set_size_inches(*inches)
        figure.savefig(out, format="svg", metadata={"Date": None})
    return out.getvalue()


def live(figures: Mapping[int, Answer]) -> tuple[str, dict[int, list[str]]]:
    """The panels as Bokeh figures: the script that draws all of them, and for each figure the places of its panels, both HTML.

    Panels on time share their axis within a figure.
    """
    from bokeh.embed import components
    from bokeh.models import Range1d

    plots: dict[str, Any] = {}
    for name, answer in figures.items():
        time_range = Range1d()
        for i, panel in enumerate(answer.panels):
            plots[f"{name} {i}"] = _plot(panel, time_range)
    if not plots:
        return "", {}
    script, places = components(plots)
    return script, {name: [places[f"{name} {i}"] for i in range(len(answer.panels))] for name, answer in figures.items()}


def _plot(panel: Panel, time_range: Any) -> Any:
    plot = panels.build(panel, time_range)
    plot.min_border_left = marks.TIME_MARGIN
    return plot


def library() -> str:
    """BokehJS as a script in the page, without the parts that no figure here uses."""
    from bokeh.resources import Resources

    # What other libraries hang onto Bokeh's resources, such as files of a server, has no place in a page that stands alone.
    return "".join(f"<script>\n{raw}\n</script>\n" for raw in Resources(mode="inline", components=["bokeh"], log_level="error").js_raw)
