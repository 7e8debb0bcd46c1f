"""The box of the Ask view in which a reader writes a question, with examples to begin from."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from dashboards.views.ask_view import EXAMPLES
from warehouse.asking import LONGEST


class QuestionBox:
    """A text area, a button, and the examples, which fill the area; `ask` is called with the question when the button is pressed."""

    def __init__(self, css: str, question: str, ask: Callable[[str], None]) -> None:
        import panel as pn

        self._area = pn.widgets.TextAreaInput(
            name="Question in SQL", value=question, max_length=LONGEST, rows=5, sizing_mode="stretch_width", margin=0, stylesheets=[css]
        )
        begin = {"begin with an example": ""} | dict(EXAMPLES)
        self._examples = pn.widgets.Select(name="Example", options=begin, margin=0, width=None, css_classes=["word"], stylesheets=[css])
        self._button = pn.widgets.Button(name="Ask the tables", margin=0, css_classes=["ask"], stylesheets=[css])
        self._button.on_click(lambda event: ask(self._area.value or ""))
        self._examples.param.watch(self._fill, "value")
        wrap = ":host { display: flex !important; flex-flow: row wrap; align-items: center; gap: 8px 24px; }"
        below = pn.Row(self._button, self._examples, margin=0, sizing_mode="stretch_width", stylesheets=[wrap])
        self.row: Any = pn.Column(self._area, below, margin=0, sizing_mode="stretch_width")

    def _fill(self, event: Any) -> None:
        if event.new:
            self._area.value = event.new
            self._examples.value = ""
