"""Folding: when two spellings of a name are the same name."""

from __future__ import annotations

import unicodedata
from functools import lru_cache


@lru_cache(maxsize=65_536)
def fold(text: str) -> str:
    """The text without case, accents, punctuation, invisible marks and spare spaces.

    'Hill-Top ', 'hill top' and 'HILL\\u00a0TOP' fold alike. Signs such as + and x-shaped crosses stay.
    Folding what is folded changes nothing.
    """
    if text.isascii():  # nearly all texts are, and are folded in a tenth of the time
        return " ".join(text.lower().translate(_ASCII).split())
    plain = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    kept = "".join(_folded(character) for character in plain)
    return unicodedata.normalize("NFC", " ".join(kept.split()))


def printable(line: str, longest: int = 2000) -> str:
    """The line as a terminal may show it: what a file holds cannot move the cursor, turn the direction or go on for ever.

    Folding it gives what folding the line would.
    """
    clean = line if line.isascii() and line.isprintable() else "".join(map(_printable, line))
    return clean if len(clean) <= longest else clean[:longest] + " …"


def _printable(character: str) -> str:
    category = unicodedata.category(character)
    return "" if category == "Cf" else " " if category in ("Cc", "Zl", "Zp") else "\ufffd" if category == "Cs" else character


def _folded(character: str) -> str:
    category = unicodedata.category(character)
    if category == "Cf" or unicodedata.combining(character):
        return ""
    return " " if category[0] == "P" or category in ("Cc", "Sk") else character


_ASCII = {number: _folded(chr(number)) for number in range(128)}
