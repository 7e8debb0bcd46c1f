"""What a remark or a word of the class says of the endpoint and the leaf. The words themselves stand in words.toml."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from ingest.folding import fold
from ingest.numbers import limit_in, says_not_reached
from ingest.words import meaning_of, remark_pattern


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
    endpoint = "not_reached" if says_not_reached(text) else "doubtful" if remark_pattern("doubtful").search(said) else None
    state = None
    if remark_pattern("senesced").search(said):
        state = "partly_senesced" if remark_pattern("partly").search(said) else "senesced"
    elif remark_pattern("yellow").search(said):
        state = "partly_senesced"
    is_doubtful = state is not None and re.search(r"(dead|senesc\w*|brown)\s*\?", text.casefold()) is not None
    is_recut, is_taken_back = bool(remark_pattern("recut").search(said)), bool(remark_pattern("taken_back").search(said))
    return RemarkMeaning(endpoint, limit_in(text), state, is_doubtful, is_recut, is_taken_back)


def endpoint_named(text: str) -> str | None:
    """The endpoint that a cell names, or None."""
    return meaning_of("endpoint", text) or ("not_reached" if says_not_reached(text) else None)


def leaf_state_named(text: str) -> str | None:
    """The leaf state that a cell names, or None."""
    return meaning_of("leaf_state", text.replace("_", " "))
