"""One panel of a figure as plain data, and its Bokeh figure."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from dashboards.figures import marks

if TYPE_CHECKING:
    from bokeh.models import Range1d

Column = list[Any]
_COLUMNS: dict[str, tuple[str, ...]] = {
    "blocks": ("left", "right", "bottom", "top", "colour", "alpha", "says"),
    "model_lines": ("xs", "ys", "colour", "width"),
    "arrows": ("xs", "ys", "colour"),
    "bars": ("x0", "y0", "x1", "y1", "colour", "width"),
    "marks": ("x", "y", "shape", "size", "colour", "fill_alpha", "line_alpha", "says"),
    "ink_bars": ("x0", "y0", "x1", "y1", "width", "alpha"),
    "ink_marks": ("x", "y", "shape", "size", "alpha", "says"),
    "words": ("x", "y", "text"),
}
_SELDOM = frozenset({"blocks", "model_lines"})
"""Layers that few panels have: they are built where there is something to draw in them."""


def no_layers() -> dict[str, dict[str, Column]]:
    """Every layer of a panel, empty: bars run from (x0, y0) to (x1, y1); marks and blocks say on hover what they are; models are dashed."""
    return {layer: {name: [] for name in names} for layer, names in _COLUMNS.items()}


@dataclass(frozen=True)
class Panel:
    """One panel: what it shows, on which ranges, with which ticks in words, layer by layer from back to front.

    `beside` holds words of a second scale at the right, at some of the vertical ticks. `picks` names the mark of the same place in
    the layer of marks, where a click on it shows what stands behind it. A wide panel stands by itself,
    below the others.
    """

    name: str
    title: str
    height: int
    x_range: tuple[float, float]
    y_range: tuple[float, float]
    x_ticks: dict[float, str]
    y_ticks: dict[float, str]
    layers: dict[str, dict[str, Column]] = field(default_factory=no_layers)
    is_on_time: bool = False
    beside: dict[float, str] = field(default_factory=dict)
    is_in_mpa: bool = True
    is_wide: bool = False
    picks: list[str] = field(default_factory=list)

    def add(self, layer: str, **values: Any) -> None:
        """Add one mark to a layer.

        Raises:
            KeyError: a column of the layer is missing.
        """
        for name in _COLUMNS[layer]:
            self.layers[layer][name].append(values[name])

    def extend(self, layer: str, **columns: Column) -> None:
        """Add many marks to a layer, column by column, each as long as the others: a thousand take as long as a dozen one by one.

        Raises:
            KeyError: a column of the layer is missing.
        """
        for name in _COLUMNS[layer]:
            self.layers[layer][name].extend(columns[name])


def build(panel: Panel, time_range: Range1d | None = None, *, has_every_layer: bool = False) -> Any:
    """The panel as a Bokeh figure, with all layers or with those that it needs.

    Panels on time share their horizontal range, so that they move together when a reader drags.
    """
    from bokeh.models import BoxZoomTool, HoverTool, LinearAxis, Range1d, WheelZoomTool

    x_range = time_range if panel.is_on_time and time_range is not None else Range1d()
    plot = marks.blank(height=panel.height, y_range=Range1d(), x_range=x_range, title=panel.title, name=panel.name)
    drawn = {layer: plot.add_glyph(_source(layer), _glyph(layer), name=layer) for layer in _COLUMNS if layer not in _SELDOM}
    plot.add_tools(HoverTool(renderers=[drawn["marks"], drawn["ink_marks"]], tooltips="@says"))
    if panel.is_on_time:
        plot.update(min_border_left=marks.TIME_MARGIN, min_border_right=marks.TIME_END)
        drag = BoxZoomTool(dimensions="width")
        drag.overlay.update(fill_color=marks.NEUTRAL, fill_alpha=0.25, line_color=marks.NEUTRAL)
        plot.add_tools(WheelZoomTool(dimensions="width", modifiers={"ctrl": True}), drag)
    plot.add_layout(LinearAxis(), "right")
    marks.dress_axis(plot.yaxis[1])
    for layer in sorted(_SELDOM):
        if has_every_layer or panel.layers[layer][_COLUMNS[layer][0]]:
            _add_seldom(plot, layer)
    _fill(plot, panel)
    plot.ygrid[0].ticker = plot.yaxis[0].ticker
    return plot


def _add_seldom(plot: Any, layer: str) -> None:
    """Add a layer, empty, behind the marks that are there."""
    from bokeh.models import HoverTool

    renderer = plot.add_glyph(_source(layer), _glyph(layer), name=layer, level="underlay")
    if "says" in _COLUMNS[layer]:
        plot.add_tools(HoverTool(renderers=[renderer], tooltips="@says"))


def _glyph(layer: str) -> Any:
    from bokeh.models import MultiLine, Quad, Scatter, Segment, Text

    ink: dict[str, Any] = {"line_color": marks.INK, "line_alpha": "alpha", "tags": ["ink"]}
    mark: dict[str, Any] = {"x": "x", "y": "y", "marker": "shape", "size": "size"}
    ends: dict[str, Any] = {"x0": "x0", "y0": "y0", "x1": "x1", "y1": "y1", "line_width": "width"}
    if layer == "blocks":
        return Quad(left="left", right="right", bottom="bottom", top="top", fill_color="colour", fill_alpha="alpha", line_color=None)
    if layer == "model_lines":
        return MultiLine(xs="xs", ys="ys", line_color="colour", line_width="width", line_dash=[6, 4])
    if layer == "arrows":
        return MultiLine(xs="xs", ys="ys", line_color="colour", line_width=1.2)
    if layer == "bars":
        return Segment(**ends, line_color="colour")
    if layer == "marks":
        return Scatter(**mark, line_color="colour", fill_color="colour", fill_alpha="fill_alpha", line_alpha="line_alpha", line_width=1.3)
    if layer == "ink_bars":
        return Segment(**ends, **ink)
    if layer == "ink_marks":
        return Scatter(**mark, line_width=2.5, fill_color=marks.INK, fill_alpha="alpha", **ink)
    words = Text(x="x", y="y", text="text", text_align="center", text_baseline="middle", text_font_size="12px", tags=["ink"])
    words.update(text_color=marks.INK, text_font={"value": marks.SANS})
    return words


def _source(layer: str) -> Any:
    from bokeh.models import ColumnDataSource

    return ColumnDataSource(data={name: [] for name in _COLUMNS[layer]})


def _fill(plot: Any, panel: Panel) -> None:
    plot.title.text = panel.title
    for span, wanted in ((plot.x_range, panel.x_range), (plot.y_range, panel.y_range)):
        span.update(start=wanted[0], end=wanted[1])
    marks.set_ticks(plot.xaxis[0], panel.x_ticks)
    marks.set_ticks(plot.yaxis[0], panel.y_ticks)
    marks.set_ticks(plot.yaxis[1], panel.beside)
    for axis, words in ((plot.xaxis[0], panel.x_ticks), (plot.yaxis[1], panel.beside)):
        axis.visible = bool(words)
    for renderer in plot.renderers:
        renderer.data_source.data = panel.layers[renderer.name]
