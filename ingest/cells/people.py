"""People: observers become keyed pseudonyms, and free text keeps only words that name nobody."""

from __future__ import annotations

import hashlib
import hmac
import re
import unicodedata
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from ingest.folding import fold

MARK = "[…]"
PSEUDONYM_DIGITS = 12

_TOKEN = re.compile(r"(?i:\b[ap]\.m\b|\bn/a\b|\bk?m/[sh]\b)|[^\W_]+(?:['’][^\W_]+)*")
_LETTERS = re.compile(r"[^\W\d_]+")
_LONG_DIGITS = re.compile(r"\d{6}")
# Telephone and identity numbers written in groups; ISO dates and clock times have groups of two, and stay.
_GROUPED_DIGITS = re.compile(r"(?<![\d.])(?:\(?\d{3,}\)?(?:[ .\-/]{1,2}\d{3,})+|\d{3}-\d\d-\d{4})(?!\d)")
_GROUPED_AT_LEAST = 7
_DASHED_DIGITS = re.compile(r"(?<![\w.])\d+(?:[-–]\d+)+(?!\w)")
_DAY_IN_DASHES = re.compile(r"\d{4}-\d\d?-\d\d?|\d\d?-\d\d?-(?:\d{4}|\d\d)")
# Behind these a word with a capital is a person, though it may be a word too: "per Mr. Brown".
_PERSON_BEHIND = re.compile(r"\b(by|per|ask|asked|told|thanks|via|mr|mrs|ms|dr|prof)\b(\.?\s+)(?=[^\W\d_])(\w[\w'’\-]*)", re.IGNORECASE)
_ADDRESS = re.compile(r"\S@\S")
_MARKS = re.compile(rf"{re.escape(MARK)}(?:[\W_]*{re.escape(MARK)})+")
_CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
_CODE = re.compile(r"[a-z]\d{1,3}|\d{1,3}[a-z]|\d\dt\d\d|\d{1,2}h\d\d")
_NUMBER_AND_WORD = re.compile(r"(\d{1,5})(\D+)[23]?|(\D{2,})(\d{1,5})")
_CACHE_SIZE = 200_000


def pseudonym(key: bytes, program: str, name: str) -> str:
    """The observer's pseudonym in this program: 'obs_' and 12 hexadecimal digits of an HMAC-SHA256.

    Spellings that fold alike have one pseudonym. Without the key nobody can tell whose it is, nor try names.
    """
    message = f"{program}\0{fold(name) or name.strip()}".encode("utf-8", "surrogatepass")
    return "obs_" + hmac.new(key, message, hashlib.sha256).hexdigest()[:PSEUDONYM_DIGITS]


def student_pseudonym(key: bytes, program: str, name: str) -> str:
    """The pseudonym of a student in scores and levels, made with the same key: 'stu_' and 12 hexadecimal digits.

    It is not that of an observer of the same name: who read which leaf badly is nothing that scores should tell.
    """
    return "stu_" + pseudonym(key, program, f"a student in scores: {fold(name) or name.strip()}").removeprefix("obs_")


@cache
def vocabulary() -> tuple[frozenset[str], frozenset[str]]:
    """The folded words that any remark may keep, and those of them that stay only in lower case, being names too."""
    text = Path(__file__).with_name("vocabulary.txt").read_text("utf-8")
    written = [word for line in text.splitlines() if not line.startswith("#") for word in line.split()]
    return frozenset(fold(word.removeprefix("~")) for word in written), frozenset(fold(word[1:]) for word in written if word[0] == "~")


class Scrubber:
    """Replaces every word that could name a person by a mark.

    Kept are the vocabulary's words, the words of registers, numbers, units, dates and times; known names go even
    where the vocabulary holds them, and so do addresses and runs of six or more digits.
    """

    def __init__(self, words: Iterable[str] = (), names: Iterable[str] = ()) -> None:
        """Take the texts of the registers whose words may stay, and the observer names whose words may not."""
        known, self._lower_only = vocabulary()
        extra = {word for text in words for word in fold(text).split()}
        self._words = known | extra
        self._of_registers = extra
        self._lower_only -= extra
        self._names = {word for name in names for word in fold(name).split() if not word.isdigit()}
        self._texts: dict[str, str] = {}
        self._chunks: dict[str, str] = {}

    def scrub(self, text: str) -> str:
        """The text with a mark for every run of words that may not stay; scrubbing it again changes nothing."""
        found = self._texts.get(text)
        if found is None:
            found = self._scrub(text)
            if len(self._texts) < _CACHE_SIZE:
                self._texts[text] = found
        return found

    def _scrub(self, text: str) -> str:
        clean = _plain(text)
        clean = _GROUPED_DIGITS.sub(lambda found: MARK if _digits(found[0]) >= _GROUPED_AT_LEAST else found[0], clean)
        clean = _DASHED_DIGITS.sub(_dashed, clean)
        clean = _PERSON_BEHIND.sub(self._behind, clean)
        scrubbed = "".join(self._chunk(part) if part and not part.isspace() else part for part in re.split(r"(\s+)", clean))
        return _MARKS.sub(MARK, scrubbed)

    def _behind(self, found: re.Match[str]) -> str:
        is_name = found[3][0].isupper() and not self._of_registers.intersection(fold(found[3]).split())
        return f"{found[1]}{found[2]}{MARK}" if is_name else found[0]

    def _chunk(self, chunk: str) -> str:
        """One piece of text without white space."""
        found = self._chunks.get(chunk)
        if found is None:
            found = MARK if _ADDRESS.search(chunk) else _TOKEN.sub(lambda token: token[0] if self._may_stay(token[0]) else MARK, chunk)
            if len(self._chunks) < _CACHE_SIZE:
                self._chunks[chunk] = found
        return found

    def _may_stay(self, token: str) -> bool:
        folded = fold(token)
        if _LONG_DIGITS.search(folded) or self._names.intersection((folded, *folded.split(), *_LETTERS.findall(folded))):
            return False
        if folded in self._lower_only:
            return token.islower()
        owned = folded.removesuffix(" s")
        is_owner = owned != folded and token[0].isupper() and not token.isupper() and owned not in self._of_registers
        if folded in self._words or (owned in self._words and not is_owner) or _is_number_or_code(token, folded):
            return True
        joined = _NUMBER_AND_WORD.fullmatch(folded)
        return joined is not None and (joined[2] or joined[3]) in self._words


def _dashed(found: re.Match[str]) -> str:
    is_day_or_short = _DAY_IN_DASHES.fullmatch(found[0]) or _digits(found[0]) < _GROUPED_AT_LEAST
    return found[0] if is_day_or_short else MARK


def _digits(text: str) -> int:
    return sum(map(str.isdigit, text))


def _is_number_or_code(token: str, folded: str) -> bool:
    """Digits and fractions, or a leaf's or plant's code such as L2, or a unit of one letter joined to its number."""
    return _CODE.fullmatch(folded) is not None or all(unicodedata.category(character)[0] == "N" for character in token)


def _plain(text: str) -> str:
    """The text with look-alike characters made plain and invisible ones removed, so that none hides a name.

    Fractions and raised digits stay, because 12½ is not 121/2.
    """
    if not text.isascii():
        pieces = ["".join(map(_plain_character, unicodedata.normalize("NFC", piece))) for piece in text.split(MARK)]
        text = MARK.join(pieces)
    return _CONTROLS.sub(" ", text)


def _plain_character(character: str) -> str:
    category = unicodedata.category(character)
    if category == "No":
        return character
    plain = unicodedata.normalize("NFKC", character)
    return "".join(part for part in plain if unicodedata.category(part) != "Cf" and not unicodedata.combining(part))
