"""What a remark or a word of the class says of the endpoint and the leaf. The words themselves stand in words.toml."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from ingest.cells.numbers import limit_in, says_not_reached
from ingest.cells.people import MARK
from ingest.cells.words import meaning_of, remark_pattern
from ingest.folding import fold

_BEYOND = re.compile(
    r"\s*(>+=?|≥|(greater|more|higher)( than)?)\s*(the )?(max\w*|limit|gauge|chamber|range|scale)?\s*"
)  # beside the number
_NAME_FIRST = re.compile(
    r"^\W*[^\W\d_]+(?:['’-][^\W\d_]+)*(?=\s*(?:[:,&+/]|\band\b|\b(?:read|reads|says?|said|thinks?|thought|saw|did|was|had|has|held|took|cut|called|wrote|measured)\b))"
)
_NAME_WITHIN = re.compile(r"(?<=\S\s)[^\W\d_a-z][a-z'’-]+[^\W\d_]*|\b[A-Z]\.(?:\s?[A-Z]\.)*|\S+@\S+|(?<=[-–—]\s)[^\W\d_]+$")
_DEGREES = re.compile(r"\d\s*°?\s*[CF]\b")
_MARKED = re.compile(r"[\s¿()]*\?[\s?()]*")


@dataclass(frozen=True)
class RemarkMeaning:
    """What a remark says: an endpoint, a limit reached without one (number, unit or None), a leaf state, a recut, a doubt.

    `is_taken_back`: the remark takes its number back ("do not use", "should be 18.5").
    """

    endpoint: str | None = None
    limit: tuple[float, str | None] | None = None
    leaf_state: str | None = None
    is_state_doubtful: bool = False
    is_recut: bool = False
    is_taken_back: bool = False


@lru_cache(maxsize=16_384)
def understand_remark(text: str) -> RemarkMeaning:
    """Take what a remark says of endpoint and leaf; what it does not say stays None."""
    said = remark_pattern("harmless").sub(" ", fold(text))
    limit = limit_in(text)
    is_beyond = limit is not None or says_not_reached(text) or _BEYOND.fullmatch(text.casefold())
    is_doubted = remark_pattern("doubtful").search(said) or _MARKED.fullmatch(text)
    is_beyond = is_beyond or remark_pattern("not_reached_alone").fullmatch(fold(text))
    endpoint = "not_reached" if is_beyond else "doubtful" if is_doubted else None
    state = None
    if remark_pattern("senesced").search(said):
        state = "partly_senesced" if remark_pattern("partly").search(said) else "senesced"
    elif remark_pattern("yellow").search(said):
        state = "partly_senesced"
    is_doubtful = state is not None and re.search(r"(dead|senesc\w*|brown)\s*\?", text.casefold()) is not None
    is_recut, is_taken_back = bool(remark_pattern("recut").search(said)), bool(remark_pattern("taken_back").search(said))
    return RemarkMeaning(endpoint, limit, state, is_doubtful, is_recut, is_taken_back)


def is_unread(text: str, scrub: Callable[[str], str]) -> bool:
    """True where a remark of which nothing was understood may say something of its reading: a word that is not known, or a strange one.

    A word with a capital within it is somebody's name, and says nothing; so is the first one before what persons do.
    `scrub` marks the words that are not known.
    """
    said = remark_pattern("harmless").sub(" ", fold(text))
    if "?" in text or remark_pattern("strange").search(said):
        return True
    if not said.strip():
        return False
    text = _DEGREES.sub(" ", text)
    unnamed = _NAME_WITHIN.sub(" ", _NAME_FIRST.sub(" ", text))
    return MARK in scrub((unnamed if unnamed.strip() else text).casefold())


def endpoint_named(text: str) -> str | None:
    """The endpoint that a cell names, or None."""
    return meaning_of("endpoint", text) or ("not_reached" if says_not_reached(text) else None)


def leaf_state_named(text: str) -> str | None:
    """The leaf state that a cell names, or None."""
    return meaning_of("leaf_state", text.replace("_", " "))


def asks_of_leaf(header: str) -> bool:
    """True where a header is itself a remark that its cells answer with yes or no: "Dead?", "Maxed out", "Use (y/n)"."""
    return _asserts(_question(header)) or _asserts(f"not {_question(header)}")


def spoken(header: str, cell: str) -> str:
    """What a cell of a column of remarks says, where its header asks something: "yes" under "Dead?" says dead."""
    if not cell or not asks_of_leaf(header):
        return cell
    asked = _question(header)
    answer = meaning_of("answer", cell.rstrip("?").strip() or cell)
    share = re.fullmatch(r"(\d+(?:\.\d+)?)\s*%?", cell)
    if share and ("%" in header or "percent" in header.casefold() or float(share[1]) > 1):
        return asked if float(share[1]) >= MOSTLY_PERCENT else f"partly {asked}" if float(share[1]) > 0 else ""
    if not _asserts(asked):
        asked, answer = f"not {asked}", {"yes": "no", "no": "yes"}.get(answer or "", answer)
        return "" if answer == "no" else asked if answer == "yes" else f"unsure: {cell}"
    if cell.endswith("?"):
        return f"{asked}?"
    return "" if answer == "no" else asked if answer == "yes" else f"{asked}: {cell}"


MOSTLY_PERCENT = 50.0
_MEANT = ("not_reached", "doubtful", "taken_back", "recut", "senesced")


def _asserts(words: str) -> bool:
    said = remark_pattern("harmless").sub(" ", words)
    return (
        any(remark_pattern(what).search(said) for what in _MEANT) or remark_pattern("not_reached_alone").fullmatch(said.strip()) is not None
    )


@lru_cache(maxsize=1024)
def _question(header: str) -> str:
    """The words of a header without those of a form: "Was the leaf dead (y/n)?" asks "leaf dead"."""
    bare = re.sub(r"\([^)]*\)|%|\bpercent\b|\by ?/ ?n\b|\byes ?(/|or) ?no\b", " ", header.casefold())
    return " ".join(word for word in fold(bare).split() if word not in ("was", "were", "is", "did", "the"))
