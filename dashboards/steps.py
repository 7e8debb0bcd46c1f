"""Stepping through the sections and the questions of a discussion: one press shows the next, and after the last the first again."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from dashboards.words import escape

if TYPE_CHECKING:
    from dashboards.choices import Choices

STEPPED = {"section": "section", "question": "question"}
"""Choices that are stepped through, and what the buttons call them."""


class Steps:
    """Two buttons, previous and next, for each choice that is stepped through; `choose` is called with its name and the new code."""

    def __init__(self, css: str, choose: Callable[[str, str], None]) -> None:
        import panel as pn

        self._choose = choose
        self._codes: dict[str, Sequence[str]] = {}
        self._now: dict[str, str] = {}
        self._buttons: dict[str, list[Any]] = {}
        look: dict[str, Any] = {"margin": 0, "css_classes": ["step"], "stylesheets": [css]}
        for name, words in STEPPED.items():
            back, on = pn.widgets.Button(name=f"‹ Previous {words}", **look), pn.widgets.Button(name=f"Next {words} ›", **look)
            back.on_click(partial(self._step, name, -1))
            on.on_click(partial(self._step, name, 1))
            self._buttons[name] = [back, on]
        wrap = ":host { display: flex !important; flex-flow: row wrap; gap: 0 20px; }"
        every = [button for buttons in self._buttons.values() for button in buttons]
        self.row: Any = pn.Row(*every, margin=0, sizing_mode="stretch_width", stylesheets=[wrap])

    def offer(self, choices: Choices, offered: Mapping[str, Mapping[str, str]]) -> None:
        """Take up what can be chosen and what is; buttons with nowhere to go are not shown."""
        for name, buttons in self._buttons.items():
            self._codes[name], self._now[name] = list(offered[name].values()), getattr(choices, name)
            for button in buttons:
                button.visible = len(self._codes[name]) > 1

    def words_html(self) -> str:
        """What the buttons say, to stand in their place until the browser has made these."""
        return "".join(f"<span>{escape(button.name)}</span>" for buttons in self._buttons.values() for button in buttons if button.visible)

    def _step(self, name: str, by: int, _event: object) -> None:
        codes, now = self._codes.get(name, ()), self._now.get(name, "")
        if codes:
            self._choose(name, stepped(codes, now, by))


def stepped(codes: Sequence[str], now: str, by: int) -> str:
    """The code that is `by` places after `now`, round and round; from one that is not there, the first."""
    return codes[(list(codes).index(now) + by) % len(codes)] if now in codes else codes[0]
