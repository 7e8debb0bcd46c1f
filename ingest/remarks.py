"""What a remark or a word of the class says of the endpoint and the leaf."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from ingest.folding import fold
from ingest.numbers import limit_in, says_not_reached
from ingest.words import meaning_of

# Sap or bubbles squeezed from the fresh cut, a leak at the seal, a leaf that slipped or broke: an endpoint that is none.
_DOUBTFUL = re.compile(
    r"\b(bubbl\w*|foam\w*|sap|water|liquid|drops?)\b.{0,25}\b(cut|crushed)\b|\bleak\w*|\bhiss\w*|\bslip\w*|\bpopped\b|\bbroke\b|"
    r"\bsqueez\w*|\bexudat\w*|\blatex\b|\bfalse end\w*|\bfresh cut\b"
)
_RECUT = re.compile(r"\bre ?cut\b|\bcut (again|twice)\b")
_DEAD = re.compile(r"\b(dead|senesc\w*|brown(ed)?|dying|dried up|withered)\b")
_PARTLY = re.compile(r"\b(partly|partial\w*|half|tips?|edges?|margins?|some|slightly|a bit|yellow\w*|starting)\b")


@dataclass(frozen=True)
class RemarkMeaning:
    """What a remark says: an endpoint, a limit reached without one (number, unit or None), a leaf state, a recut, a doubt."""

    endpoint: str | None = None
    limit: tuple[float, str | None] | None = None
    leaf_state: str | None = None
    is_state_doubtful: bool = False
    is_recut: bool = False


@lru_cache(maxsize=16_384)
def understand_remark(text: str) -> RemarkMeaning:
    """Take what a remark says of endpoint and leaf; what it does not say stays None."""
    folded = fold(text)
    endpoint = "not_reached" if says_not_reached(text) else "doubtful" if _DOUBTFUL.search(folded) else None
    state = None
    if _DEAD.search(folded):
        state = "partly_senesced" if _PARTLY.search(folded) else "senesced"
    elif re.search(r"\byellow\w*\b", folded):
        state = "partly_senesced"
    is_doubtful = state is not None and re.search(r"(dead|senesc\w*|brown)\s*\?", text.casefold()) is not None
    return RemarkMeaning(endpoint, limit_in(text), state, is_doubtful, _RECUT.search(folded) is not None)


def endpoint_named(text: str) -> str | None:
    """The endpoint that a cell names, or None."""
    return meaning_of("endpoint", text) or ("not_reached" if says_not_reached(text) else None)


def leaf_state_named(text: str) -> str | None:
    """The leaf state that a cell names, or None."""
    return meaning_of("leaf_state", text.replace("_", " "))
