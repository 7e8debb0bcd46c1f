"""Labels: a header, title or heading that stands for a value of its own – a site, a plant's name, a window, a leaf's number."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cached_property

from ingest.folding import fold
from ingest.headers import POTENTIAL_WORDS, PRESSURE_WORDS
from ingest.names import NameIndex, site_index, taxon_index
from ingest.recipes import Recipe
from ingest.registers import Registers
from ingest.sun import window_named
from ingest.units import without_units

CERTAIN_HOW = ("code", "name", "alias", "recipe")
_READING_WORDS = PRESSURE_WORDS | POTENTIAL_WORDS | {"reading", "readings", "leaf water", "water", "end", "endpoint"}
_LEAF = re.compile(r"(?:(?:leaf|rep|replicate|blade|sample|reading|l|r|no)\s*)?(\d{1,2}|[a-f])")
_PLANT = re.compile(r"(?:plant|indiv|individual|tag|p)\s*(\d{1,3}|[a-f])")
LARGEST_LEAF = 20


class Labels:
    """What a text stands for, by the registers of the home."""

    def __init__(self, registers: Registers, recipe: Recipe | None = None) -> None:
        self._registers, self._recipe = registers, recipe or Recipe()
        self._known: dict[str, Mapping[str, str]] = {}

    @cached_property
    def _sites(self) -> NameIndex:
        return site_index(self._registers, self._recipe)

    @cached_property
    def _taxa(self) -> NameIndex:
        return taxon_index(self._registers, self._recipe)

    def of_header(self, text: str) -> Mapping[str, str]:
        """The values that a header of readings stands for, by contract column: {"leaf": "2"} for "Leaf 2 (bar)"; empty for none."""
        if text not in self._known:
            words = [word for word in fold(without_units(text)).split() if word not in _READING_WORDS or word in ("leaf", "p", "reading")]
            self._known[text] = self._split(words) or self._split([word for word in words if word not in ("p", "reading")])
        return self._known[text]

    def of_heading(self, text: str) -> Mapping[str, str]:
        """The values that a heading of a block stands for ("Site: Hilltop", "Predawn"); empty for none."""
        whole = re.sub(r"^\s*(site|location|plot|species|taxon|plant|window|time)\s*[:=\-]\s*", "", text, flags=re.IGNORECASE).strip(" :")
        found = self._one(fold(whole), whole)
        return found if "leaf" not in found and "plant" not in found else {}

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
        if window_named(written):
            return {"sampling_window": written}
        for kind, index in (("site", self._sites), ("taxon", self._taxa)):
            if index.match(written).how in CERTAIN_HOW:
                return {kind: written}
        if match := _PLANT.fullmatch(folded):
            return {"plant": match[1]}
        match = _LEAF.fullmatch(folded)
        if match and (not match[1].isdigit() or int(match[1]) <= LARGEST_LEAF):
            return {"leaf": match[1]}
        return {}
