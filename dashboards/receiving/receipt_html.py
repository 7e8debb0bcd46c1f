"""An item of the desk as a part of the page: what was understood, what is asked, what can be done next. Every text is escaped."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import urlencode

from dashboards.receiving.receipt_form import details_html, form_html, lazy_html
from dashboards.receiving.row_pages import ROWS_AT_ONCE
from dashboards.words import count, day_words, escape, listed, semester_words

_SEEN_IN = {
    "readings": ("class", "the class figure of"),
    "assessment": ("learning", "what was learned in"),
    "rubric": ("learning", "what was learned in"),
}
"""Kind of upload to the view that shows it."""


def item_html(seen: Mapping[str, Any], alert: str) -> str:
    """What the page shows of an item that nothing is being done with."""
    name = seen.get("file") or seen["name"]
    warns = alert or (seen["says"] if seen["state"] in ("asked", "checked") else "")
    warned = f'<p class="alert" role="alert">{escape(warns)}</p>' if warns else ""
    rest: str = _OF_STATE[seen["state"]](seen)
    return f'<h3 tabindex="-1">{escape(name)}</h3>{warned}{rest}'


def status_words(seen: Mapping[str, Any], alert: str) -> str:
    """The same in one sentence, for readers who listen."""
    name = seen.get("file") or seen["name"]
    return alert or " ".join(filter(None, [f"{name}:", seen.get("says", ""), _sentence(seen)]))


def page_html(page: Mapping[str, Any], what: str) -> str:
    """A page of rows, problems or changes as a table, and the way to the pages beside it."""
    headings = "".join(f'<th scope="col">{escape(heading)}</th>' for heading in page["headings"])
    rows = "".join("<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>" for row in page["rows"])
    start, total = page["start"], page["total"]
    shown = f"{start + 1} to {start + len(page['rows'])} of {total}" if page["rows"] else "None."
    pager = ""
    if total > ROWS_AT_ONCE:
        ways = (("Earlier", start - ROWS_AT_ONCE, start > 0), ("Further", start + ROWS_AT_ONCE, start + ROWS_AT_ONCE < total))
        pager = "".join(
            f'<button type="button" data-start="{at}"{"" if is_there else " disabled"}>{words}</button>' for words, at, is_there in ways
        )
    table = f"<table><thead><tr>{headings}</tr></thead><tbody>{rows}</tbody></table>" if rows else ""
    scroll = f'<div class="scroll" tabindex="0" role="region" aria-label="{escape(what)}">{table}</div>' if rows else ""
    return f'<p class="pager"><span>{shown}</span>{pager}</p>{scroll}'


def in_use_html(uploads: Sequence[Any]) -> str:
    """The drop-down of the uploads in use, and the button that asks before it withdraws."""
    if not uploads:
        return "<p>No file is in use.</p>"
    options = "".join(f'<option value="{upload.upload_id}">{escape(_upload_words(upload))}</option>' for upload in uploads)
    return (
        f'<form data-do="ask-withdraw"><label for="in-use">File in use</label><select id="in-use" name="upload">{options}</select>'
        '<button type="submit">Withdraw this file …</button></form>'
    )


def withdraw_html(upload: Any) -> str:
    """The confirmation in words."""
    rows = count(upload.rows_accepted + upload.rows_flagged, "row")
    return (
        f'<p class="reading" tabindex="-1">Withdraw {escape(_upload_words(upload))}? Its {rows} leave every figure and table as soon as '
        "the new build is published. The file stays among the received ones, and dropping it again brings it back.</p>"
        f'<p class="ways"><button type="button" class="main" data-do="withdraw" data-upload="{upload.upload_id}">'
        f'Withdraw {escape(upload.file_name)}</button><button type="button" data-do="keep">Keep it</button></p>'
    )


def _upload_words(upload: Any) -> str:
    return f"{upload.file_name}, received {_day(upload.received_at)}"


def _day(at: str) -> str:
    return day_words(dt.date.fromisoformat(at[:10])) if at else "on an unknown day"


def _sentence(seen: Mapping[str, Any]) -> str:
    state = seen["state"]
    if state == "asked":
        n_open = sum(control["is_open"] for control in seen["controls"])
        asks = f" {count(n_open, 'question')} are open." if n_open > 1 else ""
        return f"To load it, {seen['to_do']}.{asks}"
    if state == "checked":
        return f"It can be loaded: {_sum(seen)}"
    if state == "known":
        return f"Known already: the same file, understood in the same way, is in use as upload {seen['upload_id']}. Nothing is changed."
    if state == "loaded":
        if not seen.get("published"):
            return f"It is loaded as upload {seen['upload_id']}, and not yet in the figures."
        return (
            f"Loaded and published as upload {seen['upload_id']}: {_what(seen)} {'is' if _n_used(seen) == 1 else 'are'} in the figures now."
        )
    if state == "withdrawn":
        return "Withdrawn: its readings are in no figure any more." if seen.get("published") else "Withdrawn, and still in the figures."
    return "It is not read."


def _n_used(seen: Mapping[str, Any]) -> int:
    return int(seen["rows"]["accepted"] + seen["rows"]["flagged"])


def _what(seen: Mapping[str, Any]) -> str:
    return count(_n_used(seen), {"readings": "reading", "weather": "daily value"}.get(seen["kind"], "row"))


def _sum(seen: Mapping[str, Any]) -> str:
    rows = seen["rows"]
    parts = f"{rows['accepted']} accepted, {rows['flagged']} flagged, {rows['set_aside']} set aside"
    return f"{count(rows['in_file'], 'row')}: {parts}."


def _covers(seen: Mapping[str, Any]) -> str:
    first, last = (dt.date.fromisoformat(day) if day else None for day in seen["days"])
    days = "" if first is None or last is None else day_words(first) if first == last else f"{day_words(first)} to {day_words(last)}"
    sections = [
        f"{semester_words(semester)}, section {section}" for semester, _, section in (one.partition("/") for one in seen["sections"])
    ]
    covers = sections or list(map(semester_words, seen["semesters"])) or [f"gauge {gauge}" for gauge in seen["gauges"]]
    said = "; ".join(filter(None, [listed(covers), days]))
    return f"<p>{escape(said)}.</p>" if said else ""


def _unreadable(seen: Mapping[str, Any]) -> str:
    return f'<p class="reading">{escape(seen["says"])}</p>{_leave("Put it away")}'


def _asked(seen: Mapping[str, Any]) -> str:
    return f'<p class="reading">{escape(_sentence(seen))}</p>{form_html(seen)}{details_html(seen)}{_leave("Put it away")}'


def _checked(seen: Mapping[str, Any]) -> str:
    before = {
        "withdrawn": "It was loaded before and withdrawn; accepting brings it back.",
        "replaced": "It was loaded before and replaced.",
    }
    known = f"<p>{before[seen['known']]}</p>" if seen["known"] in before else ""
    kept = "".join(
        f"<li>{escape(f'“{written}” will be remembered in {register} as {code}')}.</li>" for written, code, register in seen["aliases"]
    )
    aliases = f"<ul>{kept}</ul>" if kept else ""
    reading = f'<p class="reading">{escape(_sentence(seen))}</p>{_covers(seen)}{known}{aliases}'
    return f"{reading}{_accepting(seen)}{form_html(seen)}{details_html(seen)}"


def _accepting(seen: Mapping[str, Any]) -> str:
    """The ways to take the file in, each a button that says what it does; what a correction changes stands above its button."""
    if not seen["covered"]:
        return f'<p class="ways">{_button("accept", f"Accept {_what(seen)}")}{_button("leave", "Put it away", is_main=False)}</p>'
    parts = []
    for upload in seen["covered"]:
        is_other = len(seen["covered"]) > 1
        which = upload["file"] if is_other else f"the file of {_day(upload['received_at'])}"
        changes = count(upload["changes"], "value or row", "values or rows") if upload["changes"] else "nothing"
        parts.append(
            f"<p>{escape(upload['file'])}, received {_day(upload['received_at'])}, covers the same and is in use. "
            f"Replacing it would change {changes}.</p>"
        )
        if upload["changes"]:
            parts.append(lazy_html("changes", "What would change, cell by cell", upload=upload["upload_id"], is_open=not is_other))
        if upload["loss"]:
            parts.append(f'<p class="alert">{escape(upload["loss"])}</p>')
        else:
            parts.append(f'<p class="ways">{_button("accept", f"Replace {which}", replaces=upload["upload_id"], adds=is_other)}</p>')
    if len(seen["covered"]) > 1 and not any(upload["loss"] for upload in seen["covered"]):
        every = [upload["upload_id"] for upload in seen["covered"]]
        replace_all = _button("accept", f"Replace all {len(every)} files", replaces=" ".join(every))
        parts.append(f'<p class="ways">{replace_all}</p>')
    beside = _button(
        "accept",
        f"Add {_what(seen)} beside it" if len(seen["covered"]) == 1 else f"Add {_what(seen)} beside them",
        adds=True,
        is_main=False,
    )
    return "".join(parts) + f'<p class="ways">{beside}{_button("leave", "Put it away", is_main=False)}</p>'


def _known(seen: Mapping[str, Any]) -> str:
    return f'<p class="reading">{escape(_sentence(seen))}</p>{_covers(seen)}{_leave("Good")}{form_html(seen)}{details_html(seen)}'


def _done(seen: Mapping[str, Any]) -> str:
    view, words = _SEEN_IN.get(seen.get("kind", ""), ("", ""))
    links = [
        f'<a href="{view}?{escape(urlencode({"semester": semester}))}">See {words} {escape(semester_words(semester))}</a>'
        for semester in seen.get("semesters", [])
        if seen.get("published") and view
    ]
    see = f'<p class="ways">{" ".join(links)}</p>' if links else ""
    return f'<p class="reading">{escape(_sentence(seen))}</p>{see}{_leave("Done")}'


def _button(do: str, words: str, *, replaces: str = "", adds: bool = False, is_main: bool = True) -> str:
    said = (f' data-replaces="{replaces}"' if replaces else "") + (' data-adds="yes"' if adds else "")
    return f'<button type="button"{" class=main" if is_main else ""} data-do="{do}"{said}>{escape(words)}</button>'


def _leave(words: str) -> str:
    return f'<p class="ways">{_button("leave", words, is_main=False)}</p>'


_OF_STATE: dict[str, Any] = {
    "dropped": lambda seen: f'<p class="reading">It could not be read.</p>{_leave("Put it away")}',
    "unreadable": _unreadable,
    "asked": _asked,
    "checked": _checked,
    "known": _known,
    "loaded": _done,
    "withdrawn": _done,
}
