"""One reader's page: the choices, what is drawn of them, the address, and the look-out for a new build. Nothing is shared."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

from dashboards.answer import Answer
from dashboards.choices import Choices, from_query
from dashboards.fell_away import fell_away
from dashboards.figures.sent import bare_panels, figure, in_page, words
from dashboards.figures.touch import chosen
from dashboards.predicting.predict_box import PredictBox, PredictFirst
from dashboards.question_box import QuestionBox
from dashboards.receiving.receive_page import part_html, style_and_script
from dashboards.sentence import Sentence
from dashboards.shelf import Shelf
from dashboards.steps import STEPPED, Steps
from dashboards.views.catalog import VIEWS, View, foreseen, shown, shown_lately, views_of
from dashboards.views.shown import Shown
from dashboards.words import escape
from ingest.errors import TautleafError

if TYPE_CHECKING:
    from dashboards.figures.panel import Panel
    from dashboards.receiving.desk import Desk
    from dashboards.store import Store

HERE = Path(__file__).parent
FAILED = "This view could not be drawn. Reload the page; if it stays, tell the program’s keeper: its log says why."
_WAITING = {"title": '<p class="reading">Fetching the readings …</p>', "panels": '<div id="panels"></div>', "figure": ""}
_LOG = logging.getLogger(__name__)


class Session:
    """The page of one reader, in one view."""

    def __init__(
        self, shelf: Shelf, view: View, role: str, poll_seconds: float, desk: Desk | None = None, first: PredictFirst | None = None
    ) -> None:
        import panel as pn

        from dashboards.page import Seen

        self._shelf, self._view, self._role = shelf, view, role
        self._desk = desk if view.receives else None
        self._lock, self._choosing = Lock(), Lock()
        self._has_chosen = False
        self._choices = from_query(_asked(pn.state.session_args))
        self._build: str | None = None
        css = (HERE / "parts.css").read_text("utf-8")
        self._seen: Any = Seen(name="shown")
        self._seen.on_change("touched", self._touched)
        self._drawn: Sequence[Panel] = ()
        self._sentence = Sentence(css, view.sentence, self._choose_all)
        self._steps = Steps(css, self._choose) if STEPPED.keys() <= set(view.sentence) else None
        self._predict = (
            PredictBox(css, first, partial(setattr, self._seen, "asked"), self._choose)
            if first is not None and self._steps is not None
            else None
        )
        self._question = QuestionBox(css, self._choices.sql, self._seen).row if view.has_question else None
        self._chart = pn.Column(sizing_mode="stretch_width", margin=0) if view.has_question else None
        self._at_hand = self._take_at_hand()
        if self._at_hand is None:
            pn.state.onload(self.redraw)
        pn.state.add_periodic_callback(self.look_out, period=int(poll_seconds * 1000))

    def _take_at_hand(self) -> Shown | None:
        """The view as it was drawn for another reader a moment ago: it comes with the page, instead of after it.

        Where it has yet to be drawn, at least the sentence of its choices stands, if a reader of this build has asked for anything.
        """
        store = self._shelf.store_at_hand()
        if store is None:
            return None
        seen = shown_lately(self._view, store, self._choices)
        if seen is None:
            with suppress(TautleafError):  # the reader hears of it when the view is drawn
                self._offer(*foreseen(self._view, store, self._choices))
            return None
        self._build = store.build_id
        self._prepare(store, seen)
        notice = fell_away(self._choices, seen.choices)
        self._choices = seen.choices
        self._show(seen, notice, is_in_page=True)
        return seen

    def page(self, program: str) -> Any:
        """The page as a Panel template: our own HTML around the parts."""
        from dashboards.page import Page

        page = Page((HERE / "page.html").read_text("utf-8"), self._seen)
        css, js = style_and_script() if self._desk else ("", "")
        page.add_variable("css", "".join((HERE / name).read_text("utf-8") for name in ("page.css", "shown.css")) + css)
        page.add_variable("js", (HERE / "page.js").read_text("utf-8") + js)
        page.add_variable("figures_js", (HERE / "figures" / "figures.js").read_text("utf-8"))
        page.add_variable("receiving", self._receiving() if self._desk else "")
        page.add_variable("program", program)
        page.add_variable("role", self._role)
        page.add_variable("view", self._view)
        page.add_variable("views", views_of(self._role))
        page.add_variable("bare_panels", bare_panels())
        page.add_variable("in_place", self._at_hand.in_place if self._at_hand else _WAITING)
        page.add_variable("is_waiting", self._at_hand is None)
        page.add_variable("words_of", {"sentence": self._sentence.words_html(), "steps": self._steps.words_html() if self._steps else ""})
        for name in ("sentence", "question", "chart", "steps", "predict"):
            part = getattr(self, f"_{name}")
            page.add_variable(f"has_{name}", part is not None)
            if part is not None:
                page.add_panel(name, getattr(part, "row", part))
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
            seen: Shown | str = ""
            try:
                store = self._shelf.store()
                self._build = store.build_id
                asked = self._choices
                seen = shown(self._view, store, asked)
                self._prepare(store, seen)
                notice = notice or fell_away(asked, seen.choices)
                with self._choosing:
                    if self._choices == asked:  # else more was chosen meanwhile, and is drawn next
                        self._choices = seen.choices
            except TautleafError as error:
                self._build, seen = None, str(error)
            finally:
                pn.state.execute(partial(self._show, seen, notice), schedule=True)

    def _prepare(self, store: Store, seen: Shown) -> None:
        """Think out all that the page will show; nothing of it changes yet."""
        if self._predict is not None:
            self._predict.prepare(seen.choices, store.holdings)
        _ = seen.page

    def look_out(self) -> None:
        """Take up a newly published build, and say so; of a page that the browser has yet to make, nothing would reach it."""
        import panel as pn

        if not pn.state.loaded:
            return
        try:
            current = self._shelf.current_build()
        except TautleafError as error:
            _LOG.warning("The published build could not be looked up: %s", error)
            return
        if current is not None and current != self._build:
            self.redraw("New data were published; this page now shows them." if self._build else "")

    def _show(self, seen: Shown | str, notice: str, *, is_in_page: bool = False) -> None:
        """Change the page, to a view or to the words that say why there is none; runs with its lock held, in one message to the browser.

        What stands in the page itself need not come again with the document.
        """
        import panel as pn

        with pn.io.hold():
            self._seen.notice = f"<p>{escape(notice)}</p>" if notice else ""
            if isinstance(seen, str):
                if not seen:
                    _LOG.error("The view %s could not be drawn with %s", self._view.name, self._choices)
                why = Answer("Nothing to show yet", seen) if seen else Answer("Not drawn", FAILED)
                self._seen.page = in_page(words(why) | {"figure": figure(why, None)})
                return
            self._offer(seen.choices, seen.offered)
            self._drawn = seen.answer.panels
            if not is_in_page:
                self._seen.page = seen.page
            if self._chart is not None:
                chart = seen.answer.chart
                self._chart.objects = [] if chart is None else [pn.pane.Bokeh(chart, sizing_mode="stretch_width", margin=0)]
            if self._predict is not None:
                self._predict.show()

    def _offer(self, choices: Choices, offered: dict[str, dict[str, str]]) -> None:
        """Show the choices in the sentence; in the address once the reader has chosen, not before, or going back would lead here again."""
        import panel as pn

        self._sentence.offer(choices, offered)
        if self._steps is not None:
            self._steps.offer(choices, offered)
        if self._has_chosen and pn.state.location and pn.state.location.search != choices.query():
            pn.state.location.search = choices.query()

    def _choose(self, name: str, value: str) -> None:
        self._choose_all({name: value})

    def _choose_all(self, changed: Mapping[str, str]) -> None:
        with self._choosing:  # a quick reader chooses in two threads at once
            before = self._choices
            self._choices = replace(before, **({"round": ""} | dict(changed)))
            is_new = self._choices != before
            self._has_chosen |= is_new
        if is_new:
            self.redraw()

    def _touched(self, _attr: str, _old: str, told: str) -> None:
        """Take what was done in a figure, or asked; the server's loop hears of it, and the drawing is thought out beside it."""
        import panel as pn

        changed = chosen(self._drawn if "since" in self._view.sentence else (), told)
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
