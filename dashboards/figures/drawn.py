"""What is drawn on one reader's page: the figures that are there are given new data, and only what is not there yet is built."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any

from dashboards.figures import marks
from dashboards.figures import panel as panels
from dashboards.figures.touch import Choose, listen

if TYPE_CHECKING:
    from dashboards.answer import Answer
    from dashboards.figures.panel import Panel


class Drawn:
    """The figures of one page, side by side where `panel_width` (px) is given, otherwise one under the other.

    `choose` takes what the reader does in them; without it they only show.
    """

    def __init__(self, panel_width: int | None, choose: Choose | None = None) -> None:
        import panel as pn
        from bokeh.models import Range1d

        self._across: Any = pn.Row(sizing_mode="stretch_width", margin=0, stylesheets=[_grid(panel_width)])
        self.row: Any = pn.Column(self._across, sizing_mode="stretch_width", margin=0)
        self._width = panel_width
        self._is_stacked = panel_width is None
        self._time_range = Range1d()
        self._choose = choose
        self._now: dict[str, Panel] = {}
        self._kept: dict[str, tuple[Any, Any]] = {}

    def prepare(self, answer: Answer) -> None:
        """Build what is not there yet; nothing of it is on the page, so that this may run beside the server's loop."""
        for panel in answer.panels:
            if panel.name not in self._kept:
                plot = panels.build(panel, self._time_range)
                if self._is_stacked:
                    plot.min_border_left = marks.TIME_MARGIN
                if self._choose is not None:
                    self._now[panel.name] = panel
                    listen(plot, partial(self._now.__getitem__, panel.name), self._choose)
                self._kept[panel.name] = (_pane(plot), plot)

    def show(self, answer: Answer) -> None:
        """Show the panels of a prepared answer; this changes the page, and needs its lock."""
        end = marks.TIME_END_BESIDE if any(panel.beside for panel in answer.panels) else marks.TIME_END
        for panel in answer.panels:
            self._now[panel.name] = panel
            panels.refresh(self._kept[panel.name][1], panel)
            if panel.is_on_time or self._is_stacked:
                self._kept[panel.name][1].min_border_right = end
        across = [self._kept[panel.name][0] for panel in answer.panels if not panel.is_wide]
        wide = [self._kept[panel.name][0] for panel in answer.panels if panel.is_wide]
        self._hide_all_but([*across, *wide])
        across = self._laid(self._across.objects, across) + ([] if answer.chart is None else [_pane(answer.chart)])
        grid = _grid(answer.panel_width or self._width)
        if self._across.stylesheets != [grid]:
            self._across.stylesheets = [grid]
        if list(self._across.objects) != across:
            self._across.objects = across
        below = [self._across, *self._laid(self.row.objects, wide)]
        if list(self.row.objects) != below:
            self.row.objects = below

    def _hide_all_but(self, shown: list[Any]) -> None:
        """Hide what is not shown now, and empty it: to send a figure anew later takes ten times as long as to show it again."""
        for name, (pane, plot) in self._kept.items():
            if pane.visible != (pane in shown):
                pane.visible = pane in shown
            if pane not in shown and name in self._now:
                panels.refresh(plot, replace(self._now.pop(name), layers=panels.no_layers()))

    def _laid(self, before: list[Any], shown: list[Any]) -> list[Any]:
        """The panes to be laid out: those that are there, if the shown ones stand among them in their order, else the shown ones first."""
        kept = [pane for pane in before if any(pane is each for each, _ in self._kept.values()) and (pane in shown or not pane.visible)]
        return kept if [pane for pane in kept if pane in shown] == shown else [*shown, *(pane for pane in kept if pane not in shown)]


def _grid(panel_width: int | None) -> str:
    """As many panels beside each other as have this width, px; each under the other without one, and where the page is narrower."""
    least = f"min({panel_width}px, 100%)" if panel_width else "100%"
    return f":host {{ display: grid !important; grid-template-columns: repeat(auto-fit, minmax({least}, 1fr)); gap: 8px 0; }}"


def _pane(plot: Any) -> Any:
    import panel as pn

    return pn.pane.Bokeh(plot, sizing_mode="stretch_width", margin=0)
