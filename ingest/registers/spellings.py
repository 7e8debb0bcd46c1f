"""Unknown names of a file: what a receipt may repeat of one, and the key that stands for one that it may not repeat.

A person's name in the wrong cell looks like any unknown site or plant. So the rule is an allow-list, as it is for remarks: a
spelling is repeated where a word of it may stay in a remark and it is not written as a person's name is, or where it is much like
a name in a register. Of any other only such words are shown, with the place of the cell, and its answers go by a keyed code.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cached_property

from ingest.contract import REGISTERS
from ingest.doubts.answers import one_line
from ingest.folding import fold
from ingest.registers.registers import Registers

CODE = re.compile(r"name_[a-p]{8}")
_NO_DIGITS = str.maketrans("0123456789", "ghijklmnop")  # runs of digits are taken for a student's number
NEAR_SCORE = 80.0  # of 100: two letters wrong in ten
_SHORTEST_WORD = 3  # "by", "of" and "at" stand beside any name
LONGEST = 60  # characters of a name; what is longer is a sentence
_OWNER = re.compile(r"([^\W\d_]+)['’]s?(?![^\W_])")
_PERSONAL = re.compile(r"@|\d{6}")


def code_of(text: str, pseudonym: Callable[[str], str]) -> str:
    """The keyed code of a text that may name a person, in the home's own key."""
    digest = pseudonym(f"a name as written: {text}").removeprefix("obs_")
    return f"name_{digest[:8].translate(_NO_DIGITS)}"


class Spellings:
    """What may be repeated of the names in one file."""

    def __init__(
        self,
        registers: Registers,
        scrub: Callable[[str], str],
        pseudonym: Callable[[str], str],
        people: frozenset[str],
        *,
        is_of_students: bool = False,
    ) -> None:
        """Take the registers, the scrubber of free text, the home's keyed pseudonyms, and the words of persons' names.

        In a file of scores (`is_of_students`) one known word beside others is not enough: all of them must be such as may stay.
        """
        self._registers, self._scrub, self._pseudonym, self._people = registers, scrub, pseudonym, people
        self._is_of_students = is_of_students
        self._keys: dict[str, str] = {}

    def key(self, written: str) -> str:
        """The name as an answer's key has it: itself on one line, or its code."""
        if written not in self._keys:
            text = one_line(written)
            may = self._may_be_repeated(text) or CODE.fullmatch(text)
            self._keys[written] = text if may else self._code(text)
        return self._keys[written]

    def is_repeated(self, written: str) -> bool:
        """True where a receipt may hold the whole name."""
        return self.key(written) == one_line(written)

    def shown(self, written: str, place: str | None) -> str:
        """The name as a message may repeat it, with its place ("cell D2") where not whole."""
        if self.is_repeated(written):
            return one_line(written)
        words = self._scrub(one_line(written)[:LONGEST])
        return f"{words} ({place})" if place else words

    def _code(self, text: str) -> str:
        """Made of the text and more, so that it cannot be matched with the pseudonym of an observer of that name."""
        doubted = "doubted " if "?" in text else ""  # "ANGE?" is another question than "ANGE"
        return code_of(f"{doubted}{text}", self._pseudonym)

    def _may_be_repeated(self, text: str) -> bool:
        if len(text) > LONGEST or _PERSONAL.search(text) or self._people & set(re.findall(r"[^\W\d_]+", fold(text))):
            return False
        words = re.findall(r"[^\W\d_]+", text)
        is_known = any(len(word) >= _SHORTEST_WORD and self._scrub(word) == word for word in words)
        is_as_a_person = all(word[0].isupper() for word in words)
        is_letter = len(text) == 1
        # "Odile's oak", "oak of Odile": a plant's name has its capital in front, and owns nothing.
        owners = _OWNER.findall(text)
        if any(word[0].isupper() and not word.isupper() and self._scrub(word) != word for word in (*words[1:], *owners)):
            return self._scrub(text) == text
        if self._is_of_students:
            return is_letter or self._scrub(text) == text
        return is_letter or self._scrub(text) == text or (is_known and not is_as_a_person) or self._is_near(fold(text))

    def _is_near(self, folded: str) -> bool:
        from rapidfuzz import fuzz, process

        return process.extractOne(folded, self._names, scorer=fuzz.ratio, score_cutoff=NEAR_SCORE) is not None

    @cached_property
    def _names(self) -> list[str]:
        scopes = {semester for semester, _ in self._registers.sections}
        kept = {name for register in REGISTERS if register not in ("sections", "outcomes") for name in self._registers.names(register)}
        return sorted(kept.union(*(self._registers.names("sections", scope) for scope in scopes)))
