"""Labels: a header, title or heading that stands for a value of its own – a site, a plant's name, a window, a leaf's number."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cached_property

from ingest.cells.dates import MONTH_WORDS
from ingest.cells.leaves_named import ORDINALS
from ingest.cells.sun import window_named
from ingest.doubts.recipe_keys import SET_ASIDE, WINDOWS
from ingest.doubts.recipes import Recipe
from ingest.folding import fold
from ingest.registers.names import NameIndex, chamber_index, section_named, site_index, taxon_index
from ingest.registers.registers import Registers
from ingest.registers.spellings import Spellings
from ingest.tables.headers import POTENTIAL_WORDS, PRESSURE_WORDS
from ingest.tables.table_rows import NOTE_WORDS
from ingest.units import units_in, without_units

CERTAIN_HOW = ("code", "name", "alias", "recipe")
_READING_WORDS = PRESSURE_WORDS | POTENTIAL_WORDS | {"reading", "readings", "leaf water", "water", "end", "endpoint"}
# "P2" is the second pressure rather than the second plant: a leaf within its plant is the careful reading.
_LEAF = re.compile(r"(?:(?:leaf|rep|replicate|blade|sample|reading|l|r|p|no)\s*)?(\d{1,2}|[a-f])")
_PLANT = re.compile(r"(?:plant|indiv|individual|tag)\s*(\d{1,3}|[a-f])")
_LETTER_PSI = re.compile(r"^(?:ψ|psi)(?=[a-z])")
_OPENING = re.compile(
    r"^\s*(site|location|plot|species|taxon|plant|window|time|station|habitat)\s*(no\.?|#)?\s*\d?\s*[:=\-–—]\s*", re.IGNORECASE
)
_BETWEEN = re.compile(r"\s+[-–—/|]+\s+|[,;:()\[\]]")
_MONTH = rf"(?:{'|'.join(sorted(MONTH_WORDS, key=len, reverse=True))})\b\.?"
_ORDINAL = r"\d{1,2}(?:st|nd|rd|th)?"
DAY_IN_TEXT = re.compile(
    rf"\b\d{{4}}-\d\d-\d\d\b|\b\d{{1,2}}([/.\-])\d{{1,2}}\1\d{{2,4}}\b"
    rf"|\b{_ORDINAL}[ -]{_MONTH}(?: \d{{4}}\b|-(?:\d{{4}}|\d\d)\b)?|\b{_MONTH} {_ORDINAL}\b(?:,? \d{{4}}\b)?",
    re.IGNORECASE,
)
"""A day as a title or a sheet's name writes it."""
LONGEST_HEADING = 60  # a longer text tells something rather than heads a block
_WINDOW_AND_LEAF = re.compile(r"\b(pd|md|predawn|midday)(\d)\b")
_CLOCK_IN_BRACKETS = re.compile(
    r"[(\[][^()\[\]]*(?:\d\s*(?:a\.?m|p\.?m|hrs?|h|o'?clock)\b|\d[:.]\d\d)[^()\[\]]*[)\]]", re.IGNORECASE
)  # "Predawn (5-6 am)"
_BETWEEN_WORDS = {"of", "the", "for", "in", "at", "from"}
_LEAF_WORDS = {"leaf", "blade", "rep", "replicate"}
LARGEST_LEAF = 20


class Labels:
    """What a text stands for, by the registers of the home."""

    def __init__(self, registers: Registers, recipe: Recipe | None = None, spellings: Spellings | None = None) -> None:
        self._registers, self._recipe, self._spellings = registers, recipe or Recipe(), spellings
        self._known: dict[str, Mapping[str, str]] = {}

    @cached_property
    def _sites(self) -> NameIndex:
        return site_index(self._registers, self._recipe)

    @cached_property
    def _taxa(self) -> NameIndex:
        return taxon_index(self._registers, self._recipe)

    @cached_property
    def _chambers(self) -> NameIndex:
        return chamber_index(self._registers, self._recipe)

    def of_header(self, text: str) -> Mapping[str, str]:
        """The values that a header of readings stands for, by contract column: {"leaf": "2"} for "Leaf 2 (bar)"; empty for none."""
        if text not in self._known:
            day = DAY_IN_TEXT.search(text) if len(text) <= LONGEST_HEADING else None
            of_chamber = self._chamber(text)
            words = [] if of_chamber else self._words(DAY_IN_TEXT.sub(" ", text, count=1) if day else text)
            found = of_chamber or self._split(words) or self._split([word for word in words if word not in ("p", "reading")])
            # A day alone, or beside a label: "9/17/2024", "Sept 17 predawn (bar)".
            self._known[text] = {**found, "date": day[0]} if day and (found or not words) else found
        return self._known[text]

    def _chamber(self, text: str) -> Mapping[str, str]:
        """The chamber on which a column of readings was read: "grey chamber (bar)"; its unit tells it from a column of chambers."""
        if not units_in(text) or not re.search(r"\b(chamber|bomb|gauge)\b", fold(text)):
            return {}
        match = self._chambers.match(without_units(text))
        return {"chamber": match.code} if match.how in CERTAIN_HOW and match.code else {}

    def names(self, kind: str, text: str) -> bool:
        """True where a text is a name of a site or a plant as the registers have it."""
        return (self._sites if kind == "site" else self._taxa).match(text).how in CERTAIN_HOW

    def answers(self, kind: str, text: str) -> list[str]:
        """What can be answered where a header's label of a kind is not known: KEY=VALUE; none where it was set aside."""
        label = " ".join(self._words(text)) or text
        if self._recipe.name_for(kind, label) == SET_ASIDE:
            return []
        values = {"site": self._sites.codes(), "taxon": self._taxa.codes(), "sampling_window": WINDOWS}
        key = self._spellings.key(label) if self._spellings else label
        return [f"names.{kind}.{key}={value}" for value in (*values.get(kind, ("NUMBER",)), SET_ASIDE)]

    def shown(self, text: str, place: str) -> str:
        """A header as a question may repeat it, with its place where not whole."""
        label = " ".join(self._words(text)) or text
        return repr(text) if self._spellings is None or self._spellings.is_repeated(label) else self._spellings.shown(text, place)

    @staticmethod
    def _words(text: str) -> list[str]:
        plain = _WINDOW_AND_LEAF.sub(r"\1 \2", fold(without_units(_CLOCK_IN_BRACKETS.sub(" ", text))))
        bare = [_LETTER_PSI.sub("", word) for word in plain.split() if word not in _BETWEEN_WORDS]
        if _LEAF_WORDS & set(bare):
            bare = sorted((ORDINALS.get(word, word) for word in bare), key=str.isdigit)  # "first leaf" is "leaf 1"
        return [word for word in bare if word not in _READING_WORDS or word in ("leaf", "p", "reading")]

    def beside(self, text: str) -> tuple[Mapping[str, str], str]:
        """A label within a header and what is left of it: "PD time" is the time that belongs to predawn."""
        words = fold(text).split()
        for cut in range(1, len(words)):
            for label, rest in ((words[:cut], words[cut:]), (words[cut:], words[:cut])):
                if found := self._one(" ".join(label), " ".join(label)):
                    return found, " ".join(rest)
        return {}, text

    def of_heading(self, text: str) -> Mapping[str, str]:
        """The values that a heading of a block stands for ("Site: Hilltop", "Predawn"); empty for none."""
        bare = DAY_IN_TEXT.sub("", text) if len(text) <= LONGEST_HEADING else text  # "Ridge 9-17-24"
        whole = _OPENING.sub("", without_units(bare)).strip(" :*-–—=#_.,")
        found = self._one(fold(whole), whole)
        if not found and len(text) <= LONGEST_HEADING and (fold(text).split() or [""])[0] not in NOTE_WORDS:
            found = self._pieces(whole)
        section = self._section(text) if len(text) <= LONGEST_HEADING else None
        return {kind: value for kind, value in found.items() if kind not in ("leaf", "plant")} | ({"section": section} if section else {})

    def _section(self, text: str) -> str | None:
        """The one section that a heading names, the same in every semester."""
        semesters = {semester for semester, _ in self._registers.sections}
        codes = {section_named(text, semester, self._registers, is_free_text=True) for semester in semesters} - {None}
        is_named = re.search(r"\b(section|sect|sec|lab)\b", fold(text)) is not None
        return codes.pop() if is_named and len(codes) == 1 else None

    def _pieces(self, text: str) -> Mapping[str, str]:
        """What the parts of a heading name: "Ridge Top – midday"; nothing where two of them name the same kind of thing."""
        found: dict[str, str] = {}
        for piece in _BETWEEN.split(text):
            bare = _OPENING.sub("", piece).strip()
            for kind, value in self._one(fold(bare), bare).items() if bare else ():
                if found.setdefault(kind, value) != value:
                    return {}
        return found

    def _split(self, words: list[str]) -> Mapping[str, str]:
        """One label, or two of different kinds beside each other: "upland leaf 2"."""
        if not words:
            return {}
        text = " ".join(words)
        if whole := self._one(text, text):
            return whole
        for cut in range(1, len(words)):
            left, right = " ".join(words[:cut]), " ".join(words[cut:])
            first, second = self._one(left, left), self._one(right, right)
            if first and second and not set(first) & set(second):
                return {**first, **second}
        return {}

    def _one(self, folded: str, written: str) -> Mapping[str, str]:
        for kind in ("sampling_window", "plant", "leaf"):
            if (said := self._recipe.name_for(kind, written)) and said != SET_ASIDE:
                return {kind: said}
        if window := window_named(written):
            return {"sampling_window": window}
        for kind, index in (("site", self._sites), ("taxon", self._taxa)):
            match = index.match(written)
            if match.how in CERTAIN_HOW and match.code:
                return {kind: match.code}
        if plant := _PLANT.fullmatch(folded):
            return {"plant": plant[1]}
        leaf = _LEAF.fullmatch(folded)
        if leaf and (not leaf[1].isdigit() or int(leaf[1]) <= LARGEST_LEAF):
            return {"leaf": leaf[1]}
        return {}
