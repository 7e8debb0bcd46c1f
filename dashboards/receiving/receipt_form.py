"""What can be answered and corrected of a file as a form, and the parts of its receipt that are fetched when they are opened."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dashboards.receiving.controls import FILL, KEEP
from dashboards.receiving.row_pages import STATUSES
from dashboards.words import count, escape

CONTROLS_AT_ONCE, POINTS_AT_ONCE = 40, 100
FILL_LABELS = {
    "ROW": "Number of the row",
    "YYYY-MM-DD": "Day, as 2024-09-17",
    "HEADER": "Header, as in the file",
    "NUMBER": "Number",
    "CODE": "Code, in lower case",
}
_KEPT = (
    "Remember this spelling in the register, for every file to come. It is kept there as it is written: leave this empty if it names "
    "a person."
)


def form_html(seen: Mapping[str, Any]) -> str:
    """Everything that can be answered or corrected, sent together: the questions first."""
    numbered = list(enumerate(seen["controls"]))
    questions = [(at, control) for at, control in numbered if control["is_question"]]
    settled = [(at, control) for at, control in numbered if not control["is_question"]]
    parts = []
    if questions:
        asked = "".join(_question(at, control) for at, control in questions[:CONTROLS_AT_ONCE])
        more = len(questions) - CONTROLS_AT_ONCE
        rest = f"<p>{count(more, 'more question')} will stand here when these are answered.</p>" if more > 0 else ""
        parts.append(f"<fieldset><legend>Questions</legend>{asked}{rest}</fieldset>")
    if settled:
        rows = "".join(_point(at, control) for at, control in settled[:POINTS_AT_ONCE])
        more = len(settled) - POINTS_AT_ONCE
        rest = f"<p>And {count(more, 'more point')}, which the command line lists.</p>" if more > 0 else ""
        parts.append(f'<details class="points" open><summary>What each column was taken for, and why</summary>{rows}{rest}</details>')
    if not parts:
        return ""
    words = "Check again with these answers" if questions else "Check again with these corrections"
    submit = _submit(words, is_main=bool(questions) and seen["state"] == "asked")
    return f'<form data-do="check">{"".join(parts)}<p class="ways">{submit}</p></form>'


def _question(at: int, control: Mapping[str, Any]) -> str:
    name, label = escape(control["name"]), escape(_capital(control["label"]))
    fields = []
    is_only_written = len(control["options"]) == len(control["to_fill"]) == 1
    if control["options"] and not is_only_written:
        nothing = "leave it open" if not control["is_open"] else "choose an answer"
        fields.append(f'<label for="c{at}">{label}</label>{_select(at, control, nothing)}')
    else:
        fields.append(f"<p>{label}{' ' + escape(_capital(control['why'])) + '.' if control['why'] else ''}</p>")
    if control["to_fill"]:
        written = ", or: ".join(FILL_LABELS[answer.rpartition("=")[2]] for answer in control["to_fill"])
        fields.append(
            f'<label for="f{at}">{escape(written)}</label>'
            f'<input id="f{at}" name="{name}{FILL}" value="{escape(control["filled"])}" maxlength="200" autocomplete="off">'
        )
    if control["may_be_kept"]:
        ticked = " checked" if control["is_kept"] else ""
        fields.append(f'<label class="keep"><input type="checkbox" name="{name}{KEEP}" value="yes"{ticked}> {_KEPT}</label>')
    state = "" if control["is_open"] else ' <span class="quiet">answered, or may be left open</span>'
    return f'<div class="question">{"".join(fields)}{state}</div>'


def _point(at: int, control: Mapping[str, Any]) -> str:
    sheet = f"sheet {control['sheet']}: " if control["sheet"] else ""
    what = escape(_capital(sheet + control["label"]))
    why = f' <span class="quiet">({escape(control["why"])})</span>' if control["why"] else ""
    return (
        f'<div class="point"><label for="c{at}">{what}</label><span>{escape(control["taken"])}{why}</span>'
        f"{_select(at, control, 'as it was taken')}</div>"
    )


def _select(at: int, control: Mapping[str, Any], nothing: str) -> str:
    options = "".join(
        f'<option value="{escape(value)}"{" selected" if value == control["chosen"] else ""}>{escape(words)}</option>'
        for value, words in [("", nothing), *control["options"]]
    )
    return f'<select id="c{at}" name="{escape(control["name"])}">{options}</select>'


def details_html(seen: Mapping[str, Any]) -> str:
    """The receipt row by row, its problems and notes; each is fetched when it is opened."""
    parts = []
    if seen["problems"]:
        parts.append(lazy_html("problems", f"Problems ({seen['problems']})"))
    if seen["rows"].get("in_file"):
        filters = "".join(f'<option value="{status}">{words}</option>' for status, words in STATUSES.items())
        status = f'<label for="status">Show</label> <select id="status" data-status>{filters}</select>'
        parts.append(lazy_html("rows", f"The receipt, row by row ({seen['rows']['in_file']})", inside=f"<p>{status}</p>"))
    notes = "".join(f"<li>{escape(note)}</li>" for note in seen["notes"][:CONTROLS_AT_ONCE])
    if notes:
        parts.append(f'<details data-part="notes"><summary>Notes ({len(seen["notes"])})</summary><ul>{notes}</ul></details>')
    return "".join(parts)


def lazy_html(what: str, summary: str, *, upload: str = "", is_open: bool = False, inside: str = "") -> str:
    """A part that is fetched when it is opened: rows, problems or changes."""
    of = f' data-upload="{upload}"' if upload else ""
    opened = " open" if is_open else ""
    return f'<details data-part="{what}"{of}{opened}><summary>{escape(summary)}</summary>{inside}<div class="part"></div></details>'


def _submit(words: str, *, is_main: bool) -> str:
    return f'<button type="submit"{" class=main" if is_main else ""}>{words}</button>'


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
