"""The page as a Panel template: our own HTML around the parts, made quickly, for a class opens it at the same moment."""

from __future__ import annotations

from typing import Any

import panel as pn


class Page(pn.Template):
    """A template that takes its document's models in once, not once more for each part, and never describes itself at length."""

    def __repr__(self, depth: int = 0) -> str:
        return type(self).__name__  # each part that is added would describe all of them: a third of the time of a page

    def _init_doc(self, doc: Any = None, *arguments: Any, **options: Any) -> Any:
        document: Any = doc or pn.state.curdoc
        with document.models.freeze():
            return super()._init_doc(document, *arguments, **options)
