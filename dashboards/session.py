"""One reader's page: the choices, what is drawn of them, the address, and the look-out for a new build. Nothing is shared."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

from dashboards.answer import Answer
from dashboards.choices import Choices, from_query
from dashboards.fell_away import fell_away
from dashboards.figures.drawn import Drawn
from dashboards.figures.take_page import links_html
from dashboards.predicting.predict_box import PredictBox, PredictFirst
from dashboards.question_box import QuestionBox
from dashboards.receiving.receive_page import part_html, style_and_script
from dashboards.shelf import Shelf
from dashboards.steps import STEPPED, Steps
from dashboards.views.catalog import VIEWS, View, shown, views_of
from dashboards.words import escape
from ingest.errors import TautleafError

if TYPE_CHECKING:
    from dashboards.receiving.desk import Desk

HERE = Path(__file__).parent
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

FETCHING = '<p class="reading">Fetching the readings …</p>'
FAILED = '<p class="reading">This view could not be drawn. Reload the page; if it stays, tell the program’s keeper: its log says why.</p>'
_LOG = logging.getLogger(__name__)


class Session:
    """The page of one reader, in one view."""

    def __init__(
        self, shelf: Shelf, view: View, role: str, poll_seconds: float, desk: Desk | None = None, first: PredictFirst | None = None
    ) -> None:
        import panel as pn

        self._shelf, self._view, self._role = shelf, view, role
        self._desk = desk if view.receives else None
        self._lock = Lock()
        self._is_settling = False
        self._has_chosen = False
        self._choices = from_query(_asked(pn.state.session_args))
        self._build: str | None = None
        css = (HERE / "parts.css").read_text("utf-8")
        text: dict[str, Any] = {"sizing_mode": "stretch_width", "margin": 0, "stylesheets": [css]}
        self._title = pn.pane.HTML("<h1>&nbsp;</h1>", **text)
        self._side = pn.pane.HTML(FETCHING, **text)
        self._key = pn.pane.HTML("", **text)
        self._numbers = pn.pane.HTML("", **text)
        self._notice = pn.pane.HTML("", **text)
        self._drawn = Drawn(view.panel_width, self._touched if "since" in view.sentence else None)
        self._figure = self._drawn.row
        self._selects = {
            name: pn.widgets.Select(name=LABELS[name], options=[], margin=0, width=None, css_classes=["word"], stylesheets=[css])
            for name in view.sentence
        }
        for name, select in self._selects.items():
            select.param.watch(lambda event, name=name: self._choose(name, event.new), "value")
        wrap = ":host { display: flex !important; flex-flow: row wrap; gap: 0 16px; }"
        self._whole = pn.widgets.Button(name="Show the whole record", visible=False, margin=0, css_classes=["whole"], stylesheets=[css])
        self._whole.on_click(lambda _: self._choose_all({"since": "", "until": ""}))
        self._sentence = pn.Row(*self._selects.values(), self._whole, margin=0, sizing_mode="stretch_width", stylesheets=[wrap])
        self._steps = Steps(css, self._choose) if STEPPED.keys() <= self._selects.keys() else None
        self._predict = PredictBox(css, first, self._choose) if first is not None and self._steps is not None else None
        self._question = QuestionBox(css, self._choices.sql, partial(self._choose, "sql")).row if view.has_question else None
        pn.state.onload(self.redraw)
        pn.state.add_periodic_callback(self.look_out, period=int(poll_seconds * 1000))

    def page(self, program: str) -> Any:
        """The page as a Panel template: our own HTML around the parts."""
        from dashboards.page import Page

        page = Page((HERE / "page.html").read_text("utf-8"), location=True)
        css, js = style_and_script() if self._desk else ("", "")
        page.add_variable("css", (HERE / "page.css").read_text("utf-8") + css)
        page.add_variable("js", (HERE / "page.js").read_text("utf-8") + js)
        page.add_variable("receiving", self._receiving() if self._desk else "")
        page.add_variable("program", program)
        page.add_variable("role", self._role)
        page.add_variable("view", self._view)
        page.add_variable("views", views_of(self._role))
        parts = ("sentence", "title", "figure", "key", "side", "numbers", "notice")
        for part in parts if self._question is None else (*parts, "question"):
            page.add_panel(part, getattr(self, f"_{part}"))
        page.add_variable("has_steps", self._steps is not None)
        if self._steps is not None:
            page.add_panel("steps", self._steps.row)
        page.add_variable("has_predict", self._predict is not None)
        if self._predict is not None:
            page.add_panel("predict", self._predict.row)
        return page

    def _receiving(self) -> str:
        """The part of the page that receives files: it stands at the desk until the page is closed."""
        import panel as pn

        if self._desk is None:
            return ""
        token = self._desk.enter(partial(_within, pn.state.curdoc, self.look_out))
        leave = self._desk.leave
        pn.state.on_session_destroyed(lambda context: leave(token))
        return part_html(token)

    def redraw(self, notice: str = "") -> None:
        """Draw the view anew from the store of the current build: think beside the server's loop, and change the page within it."""
        import panel as pn

        with self._lock:
            answer, offered = None, None
            try:
                store = self._shelf.store()
                self._build = store.build_id
                seen = shown(self._view, store, self._choices)
                notice = notice or fell_away(self._choices, seen.choices)
                self._choices, offered, answer = seen.choices, seen.offered, seen.answer
                if self._predict is not None:
                    self._predict.prepare(self._choices, store.holdings)
                self._drawn.prepare(answer)
            except TautleafError as error:
                self._build = None
                answer = Answer(title="Nothing to show yet", reading=str(error))
            finally:
                pn.state.execute(partial(self._show, self._choices, offered, answer, notice), schedule=True)

    def look_out(self) -> None:
        """Take up a newly published build, and say so."""
        try:
            current = self._shelf.current_build()
        except TautleafError as error:
            _LOG.warning("The published build could not be looked up: %s", error)
            return
        if current is not None and current != self._build:
            self.redraw("New data were published; this page now shows them." if self._build else "")

    def _show(self, choices: Choices, offered: dict[str, dict[str, str]] | None, answer: Answer | None, notice: str) -> None:
        """Change the page; runs with its lock held, in one message to the browser."""
        import panel as pn

        with pn.io.hold():
            if offered is not None:
                self._offer(choices, offered)
            self._notice.object = f"<p>{escape(notice)}</p>" if notice else ""
            if answer is None:
                _LOG.error("The view %s could not be drawn with %s", self._view.name, choices)
                self._side.object = FAILED
                return
            self._title.object = f"<h1>{escape(answer.title)}</h1>"
            self._side.object = answer.side_html() + links_html(self._view, choices, answer)
            self._key.object = f'<p class="key">{answer.key}</p><p class="source">{escape(answer.source)}</p>' if answer.panels else ""
            self._numbers.object = answer.tables_html()
            self._drawn.show(answer)
            if self._predict is not None:
                self._predict.show()

    def _offer(self, choices: Choices, offered: dict[str, dict[str, str]]) -> None:
        """Show the choices in the sentence; in the address once the reader has chosen, not before, or going back would lead here again."""
        import panel as pn

        self._is_settling = True
        try:
            for name, select in self._selects.items():
                value = getattr(choices, name)
                words = offered[name] if value in offered[name].values() else {"–": value} | offered[name]
                select.visible = len(words) > 1 or name not in NARROWING
                if select.options != words or select.value != value:
                    select.param.update(options=words, value=value)
                if self._steps is not None:
                    self._steps.offer(name, list(offered[name].values()), value)
            self._whole.visible = bool("since" in self._selects and (choices.since or choices.until))
            if self._has_chosen and pn.state.location and pn.state.location.search != choices.query():
                pn.state.location.search = choices.query()
        finally:
            self._is_settling = False

    def _choose(self, name: str, value: str) -> None:
        if not self._is_settling and value is not None:
            self._choose_all({name: value})

    def _choose_all(self, changed: Mapping[str, str]) -> None:
        choices = replace(self._choices, **({"round": ""} | dict(changed)))
        if choices != self._choices:
            self._has_chosen = True
            self._choices = choices
            self.redraw()

    def _touched(self, changed: Mapping[str, str]) -> None:
        """Take what was done in a figure; the server's loop hears of it, and the drawing is thought out beside it."""
        import panel as pn

        if changed:
            pn.state.execute(partial(self._choose_all, changed), schedule="thread")


def _asked(arguments: Mapping[str, list[bytes]] | None) -> dict[str, str]:
    """The query of the address with which the page was opened; what is no text is left out."""
    return {name: values[-1].decode("utf-8", "replace") for name, values in (arguments or {}).items() if values}


def _within(document: Any, work: Callable[[], None]) -> None:
    """Do something to a page from a thread of our own, as the server would from one of its."""
    from panel.io.state import set_curdoc

    with set_curdoc(document):
        work()


def page_maker(
    shelf: Shelf, name: str, role: str, program: str, poll_seconds: float, desk: Desk | None = None, first: PredictFirst | None = None
) -> Any:
    """A function that makes a new page of a view, for the server to call once per reader."""

    def page() -> Any:
        return Session(shelf, VIEWS[name], role, poll_seconds, desk, first).page(program)

    return page
