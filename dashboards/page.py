"""The page as a Panel template: our own HTML around the parts, made quickly, for a class opens it at the same moment."""

from __future__ import annotations

from functools import cache
from typing import Any, ClassVar

import panel as pn
from bokeh.core.properties import String
from bokeh.model import DataModel


class Seen(DataModel):
    """What one reader's page shows, and what the reader did in the figure.

    `page` is the view's words and figure and `touched` what was done in it, both JSON; `notice` and `asked` (the words of a question put
    to the class) are HTML.

    The browser makes the page of it. Panes and figures as models of the server's would take ten times its time and memory.
    """

    page = String(default="")
    notice = String(default="")
    asked = String(default="")
    touched = String(default="")


class Word(pn.widgets.Select):
    """A word of the sentence; what is chosen is told at once, for nobody turns it as one turns a slider."""

    _priority_changes: ClassVar[list[str]] = ["value"]


_NO_LAYOUT = pn.Column(pn.pane.Str(""))


@cache
def _compiled(template: str) -> Any:
    return pn.Template(template).template


class Page(pn.Template):
    """A template that takes its document's models in once, not once more for each part, and never describes itself at length."""

    def __init__(self, template: str, seen: Seen) -> None:
        super().__init__(_compiled(template), location=True)
        self._seen = seen

    def _build_layout(self) -> Any:
        return _NO_LAYOUT  # what a notebook would show of a template: nobody opens this one in a notebook

    def __repr__(self, depth: int = 0) -> str:
        return type(self).__name__  # each part that is added would describe all of them: a third of the time of a page

    def _init_doc(self, doc: Any = None, *arguments: Any, **options: Any) -> Any:
        document: Any = doc or pn.state.curdoc
        with document.models.freeze():
            document.add_root(self._seen)
            return super()._init_doc(document, *arguments, **options)
