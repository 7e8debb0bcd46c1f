"""Which leaf a remark speaks of, where a row holds several: "leaf 2 dead, leaf 3 broke" says nothing of leaf 1.

A sentence that names one leaf, or several in one breath, is theirs; one that names each in a part of its own is parted. Whatever is
less plain holds for all leaves of its row, as a sentence does that names none: a mark too many is better than one too few.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable

_NOUN = r"(?:lea(?:f|ves)|blades?|reps?|replicates?|l|r)"
_NUMBER = r"(?:\d{1,2}|[A-F])"
# "leaf 2 min late" and "L2.5" name no leaf.
_NO_MEASURE = r"(?![\w%°]|[.,:/]\d|\s*(?:bars?|psi|mpa|kpa|min|mins|minutes?|s|sec|seconds?|h|hours?|times|x|mm|cm|%|°)\b)"
ORDINALS = {
    word: str(at)
    for at, words in enumerate(("1st first", "2nd second", "3rd third", "4th fourth", "5th fifth"), 1)
    for word in words.split()
}
_ORDINAL = rf"(?<!\w)(?i:{'|'.join(ORDINALS)})\s(?i:{_NOUN})\b"
_ONE = rf"(?:(?<!\w)(?i:{_NOUN})\s?(?:(?i:no\.?)\s?|\#\s?|-)?{_NUMBER}{_NO_MEASURE}|{_ORDINAL})"
_JOINT = r"\s*(?:,|&|\+|/|,?\s*(?:and|or|nor)\b)\s*"
_NAMED = re.compile(rf"{_ONE}(?:{_JOINT}(?:{_ONE}|{_NUMBER}{_NO_MEASURE}(?!\s*{_NOUN})))*")
_SENTENCE = re.compile(r"(?<=;)|(?<=[.!])\s+|\n")
_PART = re.compile(r"\s*,\s*(?:and|but|while)?\s*|\s+(?:and|but|while)\s+")
_NOT_PLAIN = re.compile(
    r"\b(all|both|each|every|others?|rest|only|except|than|swap\w*|instead|same|whole|leaves|too|also)\b", re.IGNORECASE
)
_NOT_LEAF = re.compile(rf"\b(not|but|to|through)\s+(the\s+)?{_ONE}|{_ONE}\s*([-–—]|to|through)\s*(\d|{_ONE})", re.IGNORECASE)


def without_leaves(text: str) -> str:
    """The text without the words that name leaves: "leaf 2 no bubbles by 38" names one pressure, not two numbers."""
    return _NAMED.sub(" ", text)


def told(remarks: Iterable[str], beside: Collection[str]) -> list[str]:
    """Notes on how many remarks of rows that hold these leaves were shared out to the leaves that they name, and how many were not."""
    named = [remark for remark in remarks if names_leaves(remark)]
    shared = sum(any(of_leaf(remark, leaf, beside) != remark for leaf in beside) for remark in named)
    notes = [f"remark: {shared} of the rows name a leaf, and what is said of it holds for that leaf alone"] if shared else []
    unclear = len(named) - shared
    return [*notes, f"remark: {unclear} of the rows name leaves unclearly, and hold for all leaves of the row"] if unclear else notes


def names_leaves(remark: str) -> bool:
    """True where a remark names a leaf by its number."""
    return _NAMED.search(remark) is not None


def of_leaf(remark: str, leaf: str, beside: Collection[str]) -> str:
    """What a remark on a row says of one of its leaves; `beside` are the numbers of all leaves in the row."""
    if not names_leaves(remark):
        return remark
    sentences = [sentence.strip() for sentence in _SENTENCE.split(remark)]
    return " ".join(filter(None, (_of_sentence(sentence, leaf, beside) for sentence in sentences)))


def _of_sentence(sentence: str, leaf: str, beside: Collection[str]) -> str:
    groups = [_numbers(found[0]) for found in _NAMED.finditer(sentence)]
    if not groups or _NOT_PLAIN.search(_NAMED.sub(" ", sentence)) or _NOT_LEAF.search(sentence):
        return sentence
    if not set().union(*groups) <= set(beside):
        return sentence  # a leaf that the row does not have
    if len(groups) == 1:
        return sentence if leaf in groups[0] else ""
    parts = [part for part in _PART.split(sentence) if part]
    said = [[_numbers(found[0]) for found in _NAMED.finditer(part)] for part in parts]
    if any(len(named) != 1 or not re.search(r"[^\W\d_]", _NAMED.sub(" ", part)) for part, named in zip(parts, said, strict=True)):
        return sentence
    return ", ".join(part for part, (named,) in zip(parts, said, strict=True) if leaf in named)


def _numbers(named: str) -> set[str]:
    """The numbers or letters of the leaves in one breath: "leaf 2 and 3" names both."""
    words = re.findall(r"\d+(?:st|nd|rd|th)?|[^\W\d_]+", named)
    return {
        ORDINALS.get(word.casefold(), word.casefold())
        for word in words
        if word[0].isdigit() or word.casefold() in ORDINALS or re.fullmatch("[A-F]", word)
    }
