"""The box of the Ask view in which a reader writes a question, with examples to begin from."""

from __future__ import annotations

from typing import Any

from dashboards.views.ask_view import EXAMPLES
from warehouse.asking import LONGEST

_ASK = "seen.touched = JSON.stringify({event: 'ask', sql: area.value, n: Date.now()})"


class QuestionBox:
    """A text area, a button, and the examples, which fill the area; the button tells the question through the model of what is `seen`."""

    def __init__(self, css: str, question: str, seen: Any) -> None:
        import panel as pn

        self._area = pn.widgets.TextAreaInput(
            name="Question in SQL", value=question, max_length=LONGEST, rows=5, sizing_mode="stretch_width", margin=0, stylesheets=[css]
        )
        begin = {"begin with an example": ""} | dict(EXAMPLES)
        self._examples = pn.widgets.Select(name="Example", options=begin, margin=0, width=None, css_classes=["word"], stylesheets=[css])
        self._button = pn.widgets.Button(name="Ask the tables", margin=0, css_classes=["ask"], stylesheets=[css])
        # Told in one word: as two, the text and the press, they are taken up by two threads, and the press may win.
        self._button.js_on_click(args={"area": self._area, "seen": seen}, code=_ASK)
        self._examples.param.watch(self._fill, "value")
        wrap = ":host { display: flex !important; flex-flow: row wrap; align-items: center; gap: 8px 24px; }"
        below = pn.Row(self._button, self._examples, margin=(8, 0, 0, 0), sizing_mode="stretch_width", stylesheets=[wrap])
        self.row: Any = pn.Column(self._area, below, margin=0, sizing_mode="stretch_width")

    def _fill(self, event: Any) -> None:
        if event.new:
            self._area.value = event.new
            self._examples.value = ""
