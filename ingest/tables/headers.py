"""What one header cell says: which columns of the contract it may name, the unit and the quantity in it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from ingest.cells.remarks import asks_of_leaf
from ingest.contract import contract
from ingest.folding import fold
from ingest.units import units_in, without_units

Quantity = Literal["pressure", "potential"]

PRESSURE_WORDS = {"pressure", "balance", "balancing", "bp", "p", "chamber"}
POTENTIAL_WORDS = {"potential", "pot", "wp", "lwp", "ψ", "psi", "ψleaf", "ψl"}
SHORTEST_NEARLY = 4
NEARLY = 80.0  # of 100: one letter of five
NEARLY_SCORE = 62
GREEK = ("ψ", "ψleaf", "ψl", "ψ leaf", "leaf ψ", "ψ pd", "ψ md", "ψpd", "ψmd", "ψw", "ψx")
SUMMARY_WORDS = frozenset(
    {
        "mean",
        "average",
        "avg",
        "sd",
        "se",
        "stdev",
        "std",
        "sem",
        "total",
        "sum",
        "median",
        "max",
        "min",
        "count",
        "n",
        "cv",
        "range",
        "difference",
        "diff",
        "overall",
    }
)
_FILLER = "of the in at no number a an was were is which what your please enter local"
FILLER_WORDS = frozenset(_FILLER.split())
# "Leaf width" is no leaf's number: a header that names another measurement names no column of ours.
_MEASURED = "temp temperature width length height area diameter dbh mass weight moisture humidity vpd par conductance chlorophyll mm cm "
_MEASURED += "barometric atmospheric tank cylinder turgor osmotic soil expected predicted rate error tolerance resolution accuracy"
PERSON_WORDS = frozenset({"cutter", "keeper", "timekeeper", "leader", "captain", "operator", "person", "scribe", "crew"})
OTHER_MEASUREMENTS = frozenset(_MEASURED.split())
_NUMBERS_NAMED = frozenset({"reading", "readings", "value", "values", "pressure", "potential", "measurement", "measurements"})
EXACT_ABOVE = 90
LONGEST_STATEMENT = 6  # words; a longer question asks for more than yes or no
_QUESTION = re.compile(r"(on |at |in )?(which|what|who|when|where|how many)( is| was| were| are)?( the| your| you)* ")
_HOW_MUCH = re.compile(r"(at )?how (many|much)\b")  # "How many bar did the gauge show?"
# Psi the letter, not the unit: "Psi leaf", and "Psi (MPa)" with its unit behind it.
_LETTER = r"psi(?:[ _-](?:leaf|l|x|w|pd|md|predawn|midday))?"
_PSI_LETTER = re.compile(_LETTER, re.IGNORECASE)
_PSI_LETTER_AND_UNIT = re.compile(rf"\s*{_LETTER}(?:\s*[(\[,/]\s*[^()\[\],/]*[)\]]?|\s+[-−]?[mk]pa)\s*", re.IGNORECASE)
_MINUS_IN_WORDS = re.compile(r"\bneg(ative)?\b|\bminus\b|^\s*[-−–]\s*(?=[^\W\d])", re.IGNORECASE)


@dataclass(frozen=True)
class Header:
    """A header cell as understood.

    Attributes:
        text: as written.
        candidates: columns of the contract that it may name, best first, with a score from 0 to 100.
        unit: unit of pressure named in it, if any.
        minus: True where a minus stands in the header ("-MPa", "neg. MPa"): the numbers may be sizes of a potential.
        quantity: pressure or potential, where the words say so.
        is_psi_unclear: the header is the bare word psi: the unit, or the Greek letter.
    """

    text: str
    candidates: tuple[tuple[str, int], ...]
    unit: str | None = None
    minus: bool = False
    quantity: Quantity | None = None
    is_psi_unclear: bool = False

    @property
    def best(self) -> str | None:
        """The column that it most likely names, or None."""
        return self.candidates[0][0] if self.candidates else None


@lru_cache(maxsize=4096)
def understand_header(text: str) -> Header:
    """Understand a header cell by its words alone, without looking at what stands below it."""
    return _understand(text, re.sub(r"(?<=[a-z]{2})(?=[A-Z])|_", " ", text))


def _understand(written: str, text: str) -> Header:
    """Understand a header's words; `written` is the cell, `text` the same with words that run together taken apart."""
    units = units_in(text)
    names = {name for name, _ in units}
    if len(names) == 2 and units[0][0] == "psi" and _PSI_LETTER_AND_UNIT.fullmatch(text):
        return Header(written, (("reading", 100),), units[1][0], units[1][1], "potential")
    # Two units in one header are a choice that the header does not make.
    unit, minus = units[-1] if len(names) == 1 else (None, False)
    minus = minus or (bool(units) and _MINUS_IN_WORDS.search(text) is not None)
    if names == {"psi"} and _PSI_LETTER.fullmatch(text.strip()):
        return Header(written, (("reading", 90),), None, minus, None, is_psi_unclear=True)
    bare = re.sub(r"\b(hh? mm( ss)?|24 h|mm dd yy(yy)?|dd mm yy(yy)?|yyyy mm dd)\b", "", fold(without_units(text))).strip()
    words = set(bare.split())
    if units and not bare:  # the header is nothing but a unit: "MPa"
        return Header(written, (("reading", 90),), unit, minus)
    if bare in GREEK:
        return Header(written, (("reading", 100),), unit, minus, "potential")
    candidates = _candidates(bare, words)
    is_address = bool(candidates) and candidates[0][0] == "person_detail"
    if not units and not is_address and (words & PERSON_WORDS or bare.endswith(" by")):
        return Header(written, (("observer", 95),))  # "leaf cutter" and "pressure read by" are no leaf and no pressure
    is_exact = bool(candidates) and candidates[0][1] > EXACT_ABOVE
    if unit and candidates and candidates[0][0] in ("chamber", "endpoint"):
        candidates = (("reading", 80),)  # "grey chamber (bar)": what was read on it
    is_asked = text.rstrip().endswith("?")  # "Max?"
    is_short = len(words) <= LONGEST_STATEMENT and (is_asked or not words & (SUMMARY_WORDS - {"n"} | _NUMBERS_NAMED))
    if is_short and not units and not is_exact and asks_of_leaf(text):
        return Header(written, (("remark", 85),))
    if units and not candidates and not words & (SUMMARY_WORDS | OTHER_MEASUREMENTS):
        candidates = (("reading", 40),)  # a unit of pressure and no word that we know: a pressure under a name of its own
    if unit and _HOW_MUCH.match(fold(text)):
        candidates = (("reading", 95),)
    quantity: Quantity | None = None
    if candidates and candidates[0][0] == "reading":
        if words & POTENTIAL_WORDS or words & set(GREEK):
            quantity = "potential"
        elif words & PRESSURE_WORDS:
            quantity = "pressure"
    return Header(written, candidates, unit, minus, quantity)


def is_summary_header(text: str) -> bool:
    """True where the header names a mean, total or the like: a column that is computed, not read."""
    words = set(fold(text).split())
    is_count = "n" in words and "y" not in words  # "reached (y/n)" is a question, "n leaves" a count
    return (is_count or bool(words & SUMMARY_WORDS - {"n"})) and understand_header(text).best in (None, "reading")


def _candidates(bare: str, words: set[str]) -> tuple[tuple[str, int], ...]:
    if words & (SUMMARY_WORDS - {"n"} | OTHER_MEASUREMENTS):
        return ()
    found: dict[str, int] = {}
    meaning = " ".join(word for word in bare.split() if word not in FILLER_WORDS)
    for phrase, columns in _phrases().items():
        score = _score(phrase, bare, meaning, words)
        for column, rank in columns if score else ():
            # Words listed first in the contract name a column more surely than later ones.
            found[column] = max(found.get(column, 0), score - min(rank, 9) // (1 if score == 100 else 3))
    if not found and len(bare) >= SHORTEST_NEARLY:
        found = _nearly(bare)
    if "person_detail" in found:
        found.pop("observer", None)  # "observer's e-mail" is an address, and a name only by accident
    return tuple(sorted(found.items(), key=lambda item: -item[1]))


def _nearly(bare: str) -> dict[str, int]:
    """The column whose name is all but spelled so ("Presure", "Speceis"), where no other is near."""
    from rapidfuzz import fuzz, process

    near = process.extract(
        bare, [phrase for phrase in _phrases() if len(phrase) >= SHORTEST_NEARLY], scorer=fuzz.ratio, score_cutoff=NEARLY
    )
    columns = {column for phrase, _, _ in near for column, _ in _phrases()[phrase]}
    return {next(iter(columns)): NEARLY_SCORE} if len(columns) == 1 else {}


def _score(phrase: str, bare: str, meaning: str, words: set[str]) -> int:
    if phrase == bare:
        return 100
    if phrase == meaning:
        return 90  # "what plant" asks for the kind, though plant is what is left of it
    parts = phrase.split()
    if len(phrase) < 3 or not set(parts) <= words:
        return 0
    match = re.search(rf"\b{re.escape(phrase)}\b", bare)
    if match is None:
        return 0
    # A longer phrase within the header outweighs a shorter one: "plant species" is a species.
    score = 60 + min(len(phrase), 20)
    if question := _QUESTION.match(bare):
        # A form's question asks for what it names first: "which leaf of that plant".
        score += max(0, 15 - (match.start() - question.end()))
    return min(score, 95)


@lru_cache(maxsize=1)
def _phrases() -> dict[str, list[tuple[str, int]]]:
    phrases: dict[str, list[tuple[str, int]]] = {}
    for column in contract()["readings"].columns.values():
        for rank, word in enumerate((column.name.replace("_", " "), *column.header)):
            phrases.setdefault(fold(word), []).append((column.name, rank))
    return phrases
