"""What is drawn on one reader's page: the figures that are there are given new data, and only what is not there yet is built."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dashboards import marks
from dashboards import panel as panels
from dashboards.years_figure import rain_strip

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.answer import Answer


class Drawn:
    """The figures of one page, side by side where `panel_width` (px) is given, otherwise one under the other."""

    def __init__(self, panel_width: int | None) -> None:
        import panel as pn
        from bokeh.models import Range1d

        self.row: Any = pn.Row(sizing_mode="stretch_width", margin=0, stylesheets=[_grid(panel_width)])
        self._width = panel_width
        self._is_stacked = panel_width is None
        self._time_range = Range1d()
        self._kept: dict[str, tuple[Any, Any]] = {}
        self._rain: tuple[pd.DataFrame, Any] | None = None

    def prepare(self, answer: Answer) -> None:
        """Build what is not there yet; nothing of it is on the page, so that this may run beside the server's loop."""
        for panel in answer.panels:
            if panel.name not in self._kept:
                plot = panels.build(panel, self._time_range)
                if self._is_stacked:
                    plot.min_border_left = marks.TIME_MARGIN
                self._kept[panel.name] = (_pane(plot), plot)
        if answer.rain is not None and answer.panels and (self._rain is None or not self._rain[0].equals(answer.rain)):
            self._rain = (answer.rain, _pane(rain_strip(answer.rain, self._time_range)))

    def show(self, answer: Answer) -> None:
        """Show the panels of a prepared answer, and its strip of rain under them; this changes the page, and needs its lock."""
        end = marks.TIME_END_BESIDE if any(panel.beside for panel in answer.panels) else marks.TIME_END
        for panel in answer.panels:
            panels.refresh(self._kept[panel.name][1], panel)
            if panel.is_on_time:
                self._kept[panel.name][1].min_border_right = end
        shown = [self._kept[panel.name][0] for panel in answer.panels]
        if answer.chart is not None:
            shown.append(_pane(answer.chart))
        if answer.rain is not None and shown and self._rain is not None:
            self._rain[1].object.min_border_right = end
            shown.append(self._rain[1])
        grid = _grid(answer.panel_width or self._width)
        if self.row.stylesheets != [grid]:
            self.row.stylesheets = [grid]
        if list(self.row.objects) != shown:
            self.row.objects = shown


def _grid(panel_width: int | None) -> str:
    """As many panels beside each other as have this width, px; each under the other without one, and where the page is narrower."""
    least = f"min({panel_width}px, 100%)" if panel_width else "100%"
    return f":host {{ display: grid !important; grid-template-columns: repeat(auto-fit, minmax({least}, 1fr)); gap: 8px 0; }}"


def _pane(plot: Any) -> Any:
    import panel as pn

    return pn.pane.Bokeh(plot, sizing_mode="stretch_width", margin=0)
