"""The address at which a reader takes a figure: the view and its choices, and in which form; nothing of a session is needed."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from dashboards.choices import from_query
from dashboards.figures.links import forms_of
from dashboards.figures.taking import rows_of
from dashboards.views.catalog import VIEWS, shown, views_of
from ingest.errors import FigureUnknown, TautleafError

if TYPE_CHECKING:
    from dashboards.shelf import Shelf


def taken(shelf: Shelf, role: str, name: str, query: dict[str, str]) -> tuple[str, str, bytes]:
    """A figure, or what a question found, in one form: its file name, its media type and its bytes.

    Raises:
        FigureUnknown: the role has no such view, there is no such form, or nothing is drawn under these choices.
        NothingPublished, PublishedDamaged: there is no build to draw from.
    """
    view = VIEWS.get(name)
    if view is None or view not in views_of(role) or not (view.has_figure or view.has_question):
        raise FigureUnknown(f"There is no figure called {name!r} for the {role}. Open a view and take it from there.")
    seen = shown(view, shelf.store(), from_query(query))
    choices, answer = seen.choices, seen.answer
    forms = forms_of(answer)
    if not forms:
        raise FigureUnknown(f"There is nothing to take here. {answer.reading}")
    form = forms.get(query.get("as", ""))
    if form is None:
        raise FigureUnknown(f"This can be taken as {', '.join(forms)}. Say which with as={next(iter(forms))}.")
    rows = rows_of(answer, beside=view.panel_width is not None) if answer.asked is None else answer.asked
    narrowed = (choices.section, choices.site, choices.taxon, choices.outcome, choices.instrument)
    chosen = (choices.semester, choices.window, choices.group, *narrowed) if answer.asked is None else ()
    parts = ["tautleaf", view.name, *chosen]
    stem = re.sub(r"[^a-z0-9]+", "-", "-".join(filter(None, parts)).casefold()).strip("-")
    is_script = form.ending in ("py", "R")
    file_name = f"redraw.{form.ending}" if is_script else f"{stem}.{form.ending}"
    return file_name, form.media_type, form.make(rows)


def handler(shelf: Shelf, role: str) -> type[Any]:
    """A request handler of the server for `/take/VIEW?CHOICES&as=FORM`."""
    from tornado.ioloop import IOLoop
    from tornado.web import RequestHandler

    class TakeHandler(RequestHandler):
        async def get(self, name: str) -> None:
            query = {key: self.get_query_argument(key) for key in self.request.query_arguments}
            try:
                file_name, media_type, data = await IOLoop.current().run_in_executor(None, taken, shelf, role, name, query)
            except TautleafError as error:
                self.set_status(404)
                self.set_header("Content-Type", "text/plain; charset=utf-8")
                self.finish(str(error))
                return
            self.set_header("Content-Type", media_type)
            self.set_header("Content-Disposition", f'attachment; filename="{file_name}"')
            self.set_header("X-Content-Type-Options", "nosniff")
            self.finish(data)

    return TakeHandler
