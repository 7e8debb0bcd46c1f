"""The links by which a reader takes a figure, or the rows that a question found."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from dashboards.figures.taking import KINDS, TABLE_KINDS, Kind
from dashboards.words import escape

if TYPE_CHECKING:
    from dashboards.answer import Answer
    from dashboards.choices import Choices


def links_html(view_name: str, choices: Choices, answer: Answer) -> str:
    """The links under a figure or an answer, one for each form; none where there is nothing to take."""
    forms = forms_of(answer)
    query = choices.query().removeprefix("?")
    links = [
        f'<a href="take/{view_name}?{escape("&".join(filter(None, [query, f"as={kind}"])))}" download>{escape(form.words)}</a>'
        for kind, form in forms.items()
    ]
    what = "Take this figure" if answer.panels else "Take these rows"
    return f'<h2>{what}</h2><p class="take">{" ".join(links)}</p>' if links else ""


def forms_of(answer: Answer) -> Mapping[str, Kind]:
    """The forms in which what is shown can be taken along, by the codes of the address."""
    return KINDS if answer.panels else TABLE_KINDS if answer.asked is not None else {}
