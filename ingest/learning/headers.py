"""Understand the headers of tables of scores and levels: who, which test, before or after, which item, out of how much."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from ingest.cells.words import words_for
from ingest.contract import contract
from ingest.folding import fold
from ingest.tables.headers import FILLER_WORDS

STUDENT = ("student_code", "student", "first_name", "last_name", "person_detail")
"""Columns that name a student."""
LONGEST_ID = 1000.0  # a larger number in brackets is the number of a task in a learning platform, not its points
_WITH_PHASE = {"test", "quiz", "assessment", "survey", "score", "scores", "instruction", "unit", "the", "class", "lab"}
_TOTAL = {"total", "sum", "overall", "totals"}
_TOTAL_FILLER = {"score", "scores", "points", "point", "mark", "marks", "grade", "test", "quiz", "percent", "of", "the", "final", "raw"}
_SCORE = frozenset({"score", "points", "mark", "marks", "result", "grade", "percent", "percentage", "pct"})
_NUMBER = r"\d+(?:[.,]\d+)?"
_POINTS = r"(?:pts?\.?|points?|marks?|p)"
_MAXIMUM = re.compile(
    rf"[(\[]\s*(?:max(?:imum)?\.?|out of|of|/|from)?\s*(?P<in>{_NUMBER})\s*{_POINTS}?\s*(?:max(?:imum)?\.?|possible)?\s*[)\]]"
    rf"|(?:\bout of|\bmax(?:imum)?\.?(?: score)?|/)\s*(?P<of>{_NUMBER})\s*{_POINTS}?\s*$"
    rf"|[-–—,:]\s*(?P<pts>{_NUMBER})\s*(?:pts?\.?|points?|marks?)\s*$",
    re.IGNORECASE,
)
_ITEM = re.compile(r"(?:q|qu|quest|question|item|problem|prob|task|no|nr|#)?\s?(?:no\s?|nr\s?|#\s?)?0*(\d{1,3})\s?([a-z]|i{1,3}|iv|v)?")
_NAMED_ITEM = re.compile(r"(?:q|qu|quest|question|item|problem|prob|task)\b|q\d")


@dataclass(frozen=True)
class Heading:
    """What a header names.

    Attributes:
        text: as written.
        role: a column of the contract, `total`, or `one_item` for a column of one item's scores; None where it is not known.
        item: the label that is left when points and phase are taken off.
        phase: pre or post, where the header says so.
        maximum: the highest score, where the header says so.
        is_percent: the scores are headed as percent.
        is_numbered: the label is an item's number and nothing else.
    """

    text: str
    role: str | None = None
    item: str = ""
    phase: str | None = None
    maximum: float | None = None
    is_percent: bool = False
    is_numbered: bool = False

    @property
    def is_student(self) -> bool:
        """True where the column names the student."""
        return self.role in STUDENT


def phase_within(text: str) -> str | None:
    """pre or post, where one of them and not the other is named in a text."""
    found = {words_for("phase_within")[word] for word in fold(text).split() if word in words_for("phase_within")}
    return found.pop() if len(found) == 1 else None


def number_of(text: str) -> float:
    """A number with a point or a comma."""
    return float(text.replace(",", "."))


def item_label(text: str) -> str:
    """The item's number as a label of its own (Q7 for "Question 07", Q7a for "7 a"); other items as written."""
    found = _ITEM.fullmatch(fold(text))
    return f"Q{found[1]}{found[2] or ''}" if found else " ".join(text.split())


@lru_cache(maxsize=4096)
def understand(text: str, kind: str, group: str = "") -> Heading:
    """Understand one header of a table of a kind; `group` stands over it and may name the phase."""
    written = re.sub(r"(?<=[a-z])(?=[A-Z])|_", " ", text)
    found = _MAXIMUM.search(written)
    maximum = number_of(found["in"] or found["of"] or found["pts"]) if found else None
    if found and (maximum is None or maximum > LONGEST_ID):
        maximum = None
    bare = written[: found.start()] + " " + written[found.end() :] if found else written
    is_percent = "%" in bare or bool({"percent", "percentage", "pct"} & set(fold(bare).split()))
    words = fold(bare.replace("%", " ")).split()
    plain = _plain(" ".join(words), kind)
    heading = Heading(text, plain, " ".join(bare.split()), None, maximum, is_percent)
    if plain and plain not in ("score", "level"):
        return heading
    phase = phase_within(" ".join(words)) or phase_within(group)
    rest = [word for word in words if word not in words_for("phase_within")]
    if phase and len(rest) < len(words) and all(word in _WITH_PHASE for word in rest):
        return replace(heading, role="total", item="", phase=phase)
    heading = replace(heading, phase=phase)
    return _measured(heading, rest, kind)


def _measured(heading: Heading, rest: list[str], kind: str) -> Heading:
    """The header of a column of numbers, its phase taken off."""
    label = " ".join(rest)
    if kind == "rubric":
        return heading if heading.role else replace(heading, role="total" if set(rest) & _TOTAL else None)
    if rest and set(rest) <= _TOTAL | _TOTAL_FILLER and set(rest) & _TOTAL:
        return replace(heading, role="total", item="")
    if _ITEM.fullmatch(label):
        return replace(heading, role="one_item", item=item_label(label), is_numbered=_NAMED_ITEM.match(label) is None)
    if rest and rest[-1] in _SCORE and _ITEM.fullmatch(" ".join(rest[:-1])) and _NAMED_ITEM.match(label):
        return replace(heading, role="one_item", item=item_label(" ".join(rest[:-1])))  # "Q1 score"
    return replace(heading, role=_plain(label, kind) or heading.role, item=_without_phase(heading.item))


def _without_phase(text: str) -> str:
    words = [word for word in text.split() if not set(fold(word).split()) & set(words_for("phase_within"))]
    return " ".join(words).strip(" -–—:,")


def _plain(folded: str, kind: str) -> str | None:
    """The contract's column that a header's words name, without words that say nothing."""
    meaning = " ".join(word for word in folded.split() if word not in FILLER_WORDS)
    phrases = _phrases(kind)
    return phrases.get(folded) or (phrases.get(meaning) if meaning else None)


@lru_cache(maxsize=4)
def _phrases(kind: str) -> Mapping[str, str]:
    columns = contract()[kind].columns.values()
    return {fold(phrase): column.name for column in columns for phrase in (column.name.replace("_", " "), *column.header)}
