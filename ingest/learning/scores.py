"""Parse a score or a level as written: a number, a share of a maximum, a percentage, or why there is none."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from functools import lru_cache

from ingest.cells.numbers import DecimalMark, Written, parse_reading
from ingest.cells.words import words_for
from ingest.files.containers import CellValue
from ingest.folding import fold

_NUMBER = r"[-−]?\d+(?:[.,]\d+)?"
_OF_MAXIMUM = re.compile(rf"({_NUMBER})\s*(?:/|of|out of)\s*({_NUMBER})\s*(?:pts?\.?|points?|marks?)?", re.IGNORECASE)
_PERCENT = re.compile(rf"({_NUMBER})\s*(?:%|percent|pct)", re.IGNORECASE)
_POINTS = re.compile(r"\s*(?:pts?\.?|points?|marks?|p)\s*$", re.IGNORECASE)
_LEVEL = re.compile(r"(?:level|lvl|l)?\s*(\d+(?:[.,]\d+)?)\s*(?:/\s*(\d+))?\s*(?:[-–—:.)(=]+|\s)?\s*(.*)", re.IGNORECASE)


@dataclass(frozen=True)
class Score:
    """A score as written.

    Attributes:
        value: the number; None where there is none.
        maximum: the highest score, where the cell says it ("8/10").
        is_percent: the number is a percentage.
        is_absent: the cell says that the student was absent or excused.
        is_doubtful, is_mistyped: as for readings.
        problem: why there is no number that can be used: score_unreadable, score_turned_into_date.
        word: of a level, what stands beside or in place of the number.
    """

    value: float | None = None
    maximum: float | None = None
    is_percent: bool = False
    is_absent: bool = False
    is_doubtful: bool = False
    is_mistyped: bool = False
    problem: str | None = None
    word: str = ""


UNSCORED = Score()


def parse_score(cell: CellValue, decimal: DecimalMark | None) -> Score:
    """Parse one cell of a column of scores; a blank or a dash is no score, and never zero."""
    if cell is None:
        return UNSCORED
    if isinstance(cell, (date, datetime, time, timedelta)):
        return Score(problem="score_turned_into_date")
    if isinstance(cell, bool):
        return Score(problem="score_unreadable")
    if not isinstance(cell, str):
        return _from(parse_reading(cell, decimal))
    return _parse_text(cell, decimal)


@lru_cache(maxsize=65_536)
def _parse_text(cell: str, decimal: DecimalMark | None) -> Score:
    text = unicodedata.normalize("NFKC", cell).strip()
    if (said := _in_words(text)) is not None:
        return said
    if found := _OF_MAXIMUM.fullmatch(text):
        score, highest = (parse_reading(part, decimal) for part in found.groups())
        return replace(_from(score), maximum=highest.value) if score and highest else Score(problem="score_unreadable")
    if found := _PERCENT.fullmatch(text):
        return replace(_from(parse_reading(found[1], decimal)), is_percent=True)
    return _from(parse_reading(_POINTS.sub("", text), decimal))


def _in_words(text: str) -> Score | None:
    """What a word says in place of a score; None where it is none of those that are known."""
    if not text.strip("-./\\–—−_*"):
        return UNSCORED
    meaning = words_for("score").get(fold(text))
    return Score(is_absent=meaning == "absent") if meaning else None


def _from(written: Written | None) -> Score:
    if written is None or written.bound or written.is_not_reached or written.unit or (written.value is None and written.text):
        return Score(problem="score_unreadable")
    return Score(written.value, is_doubtful=written.is_doubtful, is_mistyped=written.is_mistyped)


def parse_level(cell: CellValue, decimal: DecimalMark | None) -> Score:
    """Parse one cell of a column of levels: 3, "3 – proficient", "Level 3", "3/4", or a word, which stays in `word`."""
    if not isinstance(cell, str):
        return parse_score(cell, decimal)
    text = unicodedata.normalize("NFKC", cell).strip()
    if (said := _in_words(text)) is not None:
        return said
    if found := _LEVEL.fullmatch(text):
        number = parse_reading(found[1], decimal)
        highest = float(found[2]) if found[2] else None
        is_word = not found[3] or any(map(str.isalpha, found[3]))
        return replace(_from(number), maximum=highest, word=found[3].strip(" ()-–—:")) if is_word else Score(problem="level_unreadable")
    if any(map(str.isdigit, text)):
        written = _from(parse_reading(text, decimal))
        return replace(written, problem="level_unreadable") if written.problem else written
    return Score(word=text)


def level_of_word(word: str, words: Sequence[str]) -> float | None:
    """The number of a level given as a word: its place among the register's words, from 1."""
    return {fold(known): float(place) for place, known in enumerate(words, start=1)}.get(fold(word))
