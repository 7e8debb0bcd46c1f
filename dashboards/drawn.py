"""What is drawn on one reader's page: the figures that are there are given new data, and only what is not there yet is built."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

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

        least = f"{panel_width}px" if panel_width else "100%"
        grid = f":host {{ display: grid !important; grid-template-columns: repeat(auto-fit, minmax({least}, 1fr)); gap: 8px 0; }}"
        self.column: Any = pn.Column(sizing_mode="stretch_width", margin=0, stylesheets=[grid])
        self._time_range = Range1d()
        self._kept: dict[str, tuple[Any, Any]] = {}
        self._rain: tuple[pd.DataFrame, Any] | None = None

    def show(self, answer: Answer) -> None:
        """Show the panels of an answer, and its strip of rain under them."""
        shown = [self._panel(panel) for panel in answer.panels]
        if answer.rain is not None and shown:
            shown.append(self._strip(answer.rain))
        if list(self.column.objects) != shown:
            self.column.objects = shown

    def _panel(self, panel: panels.Panel) -> Any:
        if panel.name in self._kept:
            pane, plot = self._kept[panel.name]
            panels.refresh(plot, panel)
            return pane
        plot = panels.build(panel, self._time_range)
        pane = _pane(plot)
        self._kept[panel.name] = (pane, plot)
        return pane

    def _strip(self, rain: pd.DataFrame) -> Any:
        if self._rain is None or not self._rain[0].equals(rain):
            self._rain = (rain, _pane(rain_strip(rain, self._time_range)))
        return self._rain[1]


def _pane(plot: Any) -> Any:
    import panel as pn

    return pn.pane.Bokeh(plot, sizing_mode="stretch_width", margin=0)
