"""The sentence of a view's choices: each word is a drop-down of what can be chosen there."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from dashboards.words import escape

if TYPE_CHECKING:
    from dashboards.choices import Choices

LABELS = {
    "semester": "Semester",
    "section": "Section",
    "window": "Part of the day",
    "group": "Plants",
    "taxon": "Kind of plant",
    "site": "Site",
    "scale": "Scale",
    "contrast": "Compared",
    "against": "Across",
    "across": "Across",
    "laid": "Layout",
    "since": "From",
    "until": "To",
    "pick": "Readings behind a mark",
    "table": "Codebook",
    "drawn": "Answer",
    "question": "Question",
    "outcome": "Outcome",
    "instrument": "Instrument",
}
NARROWING = frozenset({"section", "taxon", "site", "since", "until"})
"""Choices that are left out of the sentence where there is nothing to choose."""


class Sentence:
    """The words of one reader's page; `choose` is called with the choices that change, by name."""

    def __init__(self, css: str, names: tuple[str, ...], choose: Callable[[Mapping[str, str]], None]) -> None:
        import panel as pn

        from dashboards import page

        self._choose = choose
        self._settling: Choices | None = None
        look: dict[str, Any] = {"margin": 0, "stylesheets": [css]}
        word: Any = page.Word
        self._words = {name: word(name=LABELS[name], options=[], width=None, css_classes=["word"], **look) for name in names}
        for name, word in self._words.items():
            word.param.watch(lambda event, name=name: self._chosen(name, event.new), "value")
        self._whole: Any = None
        if "since" in names:
            self._whole = pn.widgets.Button(name="Show the whole record", visible=False, css_classes=["whole"], **look)
            self._whole.on_click(lambda _: choose({"since": "", "until": ""}))
        wrap = ":host { display: flex !important; flex-flow: row wrap; gap: 0 16px; }"
        whole = [] if self._whole is None else [self._whole]
        self.row: Any = pn.Row(*self._words.values(), *whole, margin=0, sizing_mode="stretch_width", stylesheets=[wrap])

    def offer(self, choices: Choices, offered: Mapping[str, dict[str, str]]) -> None:
        """Show what is chosen, and what can be; this changes the page, and needs its lock."""
        self._settling = choices
        try:
            for name, word in self._words.items():
                value = getattr(choices, name)
                options = offered[name] if value in offered[name].values() else {"–": value} | offered[name]
                word.visible = len(options) > 1 or name not in NARROWING
                if word.options != options or word.value != value:
                    word.param.update(options=options, value=value)
            if self._whole is not None:
                self._whole.visible = bool(choices.since or choices.until)
        finally:
            self._settling = None

    def words_html(self) -> str:
        """The words as the drop-downs say them, to stand in their place until the browser has made these."""
        chosen = [
            next(words for words, code in word.options.items() if code == word.value)
            for word in self._words.values()
            if word.visible and word.options
        ]
        return "".join(f"<span>{escape(words)}</span>" for words in chosen)

    def _chosen(self, name: str, value: str | None) -> None:
        # What the words are made to show is no choice; but a reader may choose at that very moment, in another thread.
        settling = self._settling
        if value is not None and (settling is None or value != getattr(settling, name)):
            self._choose({name: value})
