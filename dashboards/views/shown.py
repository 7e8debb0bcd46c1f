"""A view as it was drawn, and what a page gets of it: all of it as JSON, or its words and the room for its panels as HTML."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from dashboards.answer import Answer
from dashboards.choices import Choices
from dashboards.figures.links import links_html
from dashboards.figures.sent import figure, in_page, places_html, words

if TYPE_CHECKING:
    from dashboards.views.catalog import View


@dataclass(frozen=True)
class Shown:
    """A view under the choices that its address settles to, and what else may be chosen."""

    view: View
    choices: Choices
    offered: dict[str, dict[str, str]]
    answer: Answer

    @cached_property
    def words(self) -> dict[str, str]:
        """What a page says of it, as HTML by the part of the page."""
        return words(self.answer, links_html(self.view.name, self.choices, self.answer))

    @cached_property
    def figure(self) -> dict[str, Any]:
        """What a page draws of it."""
        return figure(self.answer, self.view.panel_width)

    @cached_property
    def page(self) -> str:
        """All that a page shows of it, as JSON: made once for every reader."""
        return in_page(self.words | {"figure": self.figure})

    @cached_property
    def in_place(self) -> dict[str, str]:
        """The same for a page that comes with it: its words and the room for its panels as HTML, what is drawn in them as JSON."""
        return self.words | {"panels": places_html(self.figure), "figure": in_page({"figure": self.figure})}
