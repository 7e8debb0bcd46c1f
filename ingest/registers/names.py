"""Match a name as written to the registers: exactly, by alias, or as the only one that is alike."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from ingest.cells.words import words_for
from ingest.doubts.recipe_keys import SET_ASIDE
from ingest.doubts.recipes import Recipe
from ingest.folding import fold
from ingest.registers.registers import Registers

How = Literal["code", "name", "alias", "alike", "doubtful", "recipe", "set_aside", "unknown"]

ALIKE_SCORE = 88.0  # of 100: one letter wrong in eight or more, two swapped in a long name
ALIKE_LEAD = 8.0  # the second best must be clearly less alike, else the name is asked
SHORTEST_ALIKE = 5  # codes of a few letters are never taken as misspelt
LOOK_ALIKE = str.maketrans("авекмнорстухіјѕαεικνορτυχ", "abekmhopctyxijsaeikvoptux")  # Cyrillic and Greek, folded
AUTHOR_PARTICLES = {"ex", "et", "and", "f", "fil", "in", "de", "von", "van", "der", "la", "du"}
_SEASON = "|".join(sorted(words_for("season"), key=len, reverse=True))
_SEMESTER = re.compile(rf"\b({_SEASON})\s*(?:semester|term)?\s*(20\d\d|\d\d)\b|\b(20\d\d)\s*({_SEASON})\b")


@dataclass(frozen=True)
class Match:
    """A name as written, the code that it stands for (None where unknown), and how it was found."""

    written: str
    code: str | None
    how: How
    shown: str = ""


class NameIndex:
    """All names of one register, ready to be matched many times."""

    def __init__(self, kind: str, names: Mapping[str, str], exact: Mapping[str, str], shown: Mapping[str, str], recipe: Recipe) -> None:
        """Take the names.

        Args:
            kind: site, taxon, section or chamber, for the recipe's [names].
            names: folded spelling to code, all of them.
            exact: folded spelling to code, those that are no alias.
            shown: code to the name that people read.
            recipe: the instructor's word on names as written.
        """
        self._kind, self._names, self._exact, self._shown, self._recipe = kind, dict(names), exact, shown, recipe
        self._known: dict[str, Match] = {}

    def match(self, written: str) -> Match:
        """Match one name."""
        if written not in self._known:
            self._known[written] = self._find(written)
        return self._known[written]

    def codes(self) -> list[str]:
        """Every code of the register, in its order."""
        return list(dict.fromkeys(self._names.values()))

    def _find(self, written: str) -> Match:
        said = self._recipe.name_for(self._kind, written)
        if said == SET_ASIDE:
            return Match(written, None, "set_aside")
        folded = fold(said or written)
        if code := self._names.get(folded):
            how: How = "recipe" if said else "doubtful" if "?" in written else "name" if folded in self._exact else "alias"
            return Match(written, code, how, self._shown.get(code, code))
        if not said and (found := self._spelled_apart(folded)):
            return Match(written, found, "doubtful" if "?" in written else "alike", self._shown.get(found, found))
        if not said and self._kind == "taxon" and (species := self._species_within(written)):
            return species
        if said or "?" in written or len(folded) < SHORTEST_ALIKE or re.search(r"\d|^[a-z] ", folded):
            # Numbers tell places apart: site 12 is no misspelt site 2; and P. scoparium is no misspelt S. scoparium.
            return Match(written, None, "unknown")
        return self._alike(written, folded)

    def _spelled_apart(self, folded: str) -> str | None:
        """The one name that is the same but for its spaces, or for letters of another alphabet that look like ours."""
        plain = folded.translate(LOOK_ALIKE).replace(" ", "")
        codes = {code for spelling, code in self._names.items() if spelling.replace(" ", "") == plain}
        return next(iter(codes)) if len(codes) == 1 and len(plain) >= SHORTEST_ALIKE else None

    def _species_within(self, written: str) -> Match | None:
        """A name with its author, its variety or its other name behind it: "Quercus macrocarpa Michx."."""
        found = re.match(r"\s*([A-Z][a-z]*\.?\s*[a-z-]+)\s+(.+)", " ".join(written.split()))
        code = self._names.get(fold(found[1])) if found else None
        if not found or code is None:
            return None
        behind = found[2].strip()
        other = self._names.get(fold(behind.strip("()[] ")))
        if other is not None:
            return Match(written, code, "name", self._shown.get(code, code)) if other == code else None
        if re.match(r"x\b|×", behind):
            return None  # a hybrid is another plant
        if re.match(r"(var|subsp|ssp|f|cv)\b\.?", behind):
            return Match(written, code, "alike", self._shown.get(code, code))
        return Match(written, code, "name", self._shown.get(code, code)) if self._is_author(behind) else None

    def _is_author(self, text: str) -> bool:
        """True for "(Michx.) Nash": names with capitals and what joins them, and no word of a plant's name."""
        words = re.findall(r"[^\W\d_]+", text)
        own = {word for spelling in self._names for word in spelling.split() if len(word) > 2} | {"or"}
        is_plain = re.fullmatch(r"[^\W\d_]([^\W\d_]|[.&'’\- ()\[\],])*", text.lstrip("([")) is not None
        capitals = [word for word in words if word not in AUTHOR_PARTICLES]
        return is_plain and bool(capitals) and all(word[0].isupper() and fold(word) not in own for word in capitals)

    def _alike(self, written: str, folded: str) -> Match:
        from rapidfuzz import fuzz, process

        best: dict[str, float] = {}
        for spelling, score, _ in process.extract(
            folded, list(self._names), scorer=fuzz.ratio, score_cutoff=ALIKE_SCORE - ALIKE_LEAD, limit=None
        ):
            code = self._names[spelling]
            best[code] = max(best.get(code, 0.0), score)
        ranked = sorted(best.items(), key=lambda item: -item[1])
        if not ranked or ranked[0][1] < ALIKE_SCORE or (len(ranked) > 1 and ranked[0][1] - ranked[1][1] < ALIKE_LEAD):
            return Match(written, None, "unknown")
        code = ranked[0][0]
        return Match(written, code, "alike", self._shown.get(code, code))


def site_index(registers: Registers, recipe: Recipe) -> NameIndex:
    """Sites by code, name and alias."""
    shown = {code: site.site_name for code, site in registers.sites.items()}
    exact = {fold(text): code for code, name in shown.items() for text in (code, name)}
    return NameIndex("site", registers.names("sites"), exact, shown, recipe)


def taxon_index(registers: Registers, recipe: Recipe) -> NameIndex:
    """Taxa by code, scientific name, common name and alias, and by "A. gerardii" where only one taxon abbreviates so."""
    shown = {code: taxon.scientific_name for code, taxon in registers.taxa.items()}
    names = dict(registers.names("taxa"))
    short: dict[str, set[str]] = {}
    for code, name in shown.items():
        genus, _, epithet = name.partition(" ")
        if epithet:
            short.setdefault(fold(f"{genus[0]} {epithet}"), set()).add(code)
    for spelling, codes in short.items():
        if len(codes) == 1:
            names.setdefault(spelling, next(iter(codes)))
    exact = {fold(text): code for code, taxon in registers.taxa.items() for text in (code, taxon.scientific_name, *taxon.common_names)}
    return NameIndex("taxon", names, exact, shown, recipe)


def chamber_index(registers: Registers, recipe: Recipe) -> NameIndex:
    """Chambers by code and alias; a chamber's number is never taken as misspelt."""
    names = registers.names("chambers")
    return NameIndex("chamber", names, {fold(code): code for code in registers.chambers}, {}, recipe)


def semester_named(text: str, registers: Registers) -> str | None:
    """The one semester that a text names ("Fall 2023", "F23", "2023-fall"), or None; it must be in the register."""
    if text.strip() in registers.semesters:
        return text.strip()
    found = set()
    for match in _SEMESTER.finditer(fold(text)):
        season, year = (match[1], match[2]) if match[1] else (match[4], match[3])
        found.add(f"{year if len(year) == 4 else '20' + year}-{words_for('season')[season]}")
    codes = found & set(registers.semesters)
    return next(iter(codes)) if len(codes) == 1 and len(found) == 1 else None


def section_named(text: str, semester: str, registers: Registers, *, is_free_text: bool) -> str | None:
    """The one section of a semester that a text names, or None.

    Args:
        text: a cell, a sheet's name or a title.
        semester: whose sections.
        registers: the registers.
        is_free_text: a bare letter counts only behind the word section, lab or sec ("Section B"), or as the whole text.
    """
    names = registers.names("sections", semester)
    folded = fold(text)
    bare = re.sub(r"^(lab section|section|sect|sec|lab group|lab)\s+", "", folded)
    for spelling in (folded, bare):
        if spelling in names:
            return names[spelling]
    if not is_free_text:
        return None
    found = {code for name, code in names.items() if re.search(rf"\b(section|sect|sec|lab)\s+{re.escape(name)}\b", folded)}
    found |= {code for name, code in names.items() if len(name) > 3 and re.search(rf"\b{re.escape(name)}\b", folded)}
    return next(iter(found)) if len(found) == 1 else None
