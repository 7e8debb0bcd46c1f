"""Predict first: one question is open at a time, a phone gives one answer, and what is kept of them is how many gave which.

Answers are held in memory under a random token until the question is closed, so that a phone may change its mind; then they are
counted, the tokens are forgotten, and only the counts go to the home (`kept_predictions`). Nothing here knows of a server.
"""

from __future__ import annotations

import datetime as dt
import hmac
import secrets
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from threading import Lock
from typing import TYPE_CHECKING

from dashboards.words import WINDOWS, semester_words
from ingest.errors import PredictionRefused, QuestionClosed

if TYPE_CHECKING:
    from dashboards.predicting.kept import KeptPredictions

DIRECTIONS: Mapping[str, int] = {"upland": 1, "lowland": -1, "alike": 0}
"""What may be expected to be drier, and the sign of lowland minus upland that it means."""
SIZES_MPA = (0.1, 0.2, 0.4, 0.6, 0.8, 1.0, 1.5, 2.0, 3.0)
"""The sizes offered, MPa; the last stands for itself and more. A list, because a typed number is easily in another unit."""
FEWEST_SHOWN = 5
"""Fewer answers than these are only counted, and their directions and sizes not even kept: each could be somebody's."""
MOST_ANSWERS = 400
OPEN_FOR = dt.timedelta(minutes=30)
CODE_LETTERS = "bcdfghjkmnpqrstvwxz23456789"
"""Without vowels, so that no code is a word, and without letters that look like another."""
CODE_LENGTH = 6


@dataclass(frozen=True)
class Question:
    """What a class is asked: which ground was drier in one group or kind of plant, at one part of the day of one semester.

    `plants` is the code of a functional group or of a taxon, `who` the same in words.
    """

    semester: str
    window: str
    plants: str
    who: str

    def words(self) -> str:
        """The question as it is put to the class."""
        when = f"{WINDOWS.get(self.window, '')} in {semester_words(self.semester)}"
        return f"In {self.who} {when}, which ground was drier, and by how much?"


@dataclass(frozen=True)
class Prediction:
    """One answer: the direction, and the size in MPa, 0 where both grounds are expected to be alike."""

    direction: str
    size_mpa: float

    @property
    def difference_mpa(self) -> float:
        """Lowland minus upland, MPa, as the warehouse has it: above 0 the high ground is drier."""
        return DIRECTIONS[self.direction] * self.size_mpa


def prediction(direction: str, size: str) -> Prediction:
    """An answer as it came from a phone.

    Raises:
        PredictionRefused: the direction or the size is none of those offered; the message says which.
    """
    if direction not in DIRECTIONS:
        raise PredictionRefused("Say which ground was drier: high ground, low ground, or alike.")
    if direction == "alike":
        return Prediction(direction, 0.0)
    offered = {f"{value:g}": value for value in SIZES_MPA}
    if size not in offered:
        raise PredictionRefused("Say by how much, too: choose one of the sizes.")
    return Prediction(direction, offered[size])


@dataclass(frozen=True)
class Counted:
    """A question that was closed: how many answered, and how many expected which difference (lowland minus upland, MPa).

    `by_difference` is empty where fewer than `FEWEST_SHOWN` answered. `opened_at` is UTC as ISO text, and its name.
    """

    question: Question
    opened_at: str
    n_answered: int
    by_difference: Mapping[float, int]


def counted(question: Question, opened_at: str, predictions: list[Prediction]) -> Counted:
    """The answers as counts; too few of them are only a number."""
    found = Counter(one.difference_mpa for one in predictions) if len(predictions) >= FEWEST_SHOWN else Counter()
    return Counted(question, opened_at, len(predictions), dict(sorted(found.items(), reverse=True)))


@dataclass(frozen=True)
class Open:
    """The question at hand, and the code under which phones join it."""

    question: Question
    code: str
    opened_at: dt.datetime
    closes_at: dt.datetime
    answers: dict[str, Prediction] = field(default_factory=dict)


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)


class Predictions:
    """The one question that may be open; shared by the instructor's pages and the page for phones, and safe over threads."""

    def __init__(self, kept: KeptPredictions, clock: Callable[[], dt.datetime] = _now) -> None:
        self.kept = kept
        self._clock = clock
        self._lock = Lock()
        self._open: Open | None = None

    def open(self, question: Question) -> Open:
        """Open a question under a new code; one that is still open is closed and kept first.

        Raises:
            PredictionsNotKept: the counts of the earlier question cannot be written.
        """
        self.close()
        with self._lock:
            code = "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH))
            now = self._clock()
            self._open = Open(question, code, now, now + OPEN_FOR)
            return self._open

    def at_hand(self) -> Open | None:
        """The question that was opened and not closed yet, also when its time has run out."""
        return self._open

    def has_run_out(self) -> bool:
        """True where the question at hand takes no more answers, and only waits to be closed."""
        return self._open is not None and self._clock() >= self._open.closes_at

    def n_answered(self) -> int:
        """How many phones have answered the question at hand."""
        return 0 if self._open is None else len(self._open.answers)

    def joined(self, code: str) -> Open:
        """The question at hand, by its code; compared in constant time, so that no answer's delay tells of the code.

        Raises:
            QuestionClosed: it is another code, has run out, or nothing is open.
        """
        at_hand = self._open
        wanted = at_hand.code if at_hand is not None and self._clock() < at_hand.closes_at else ""
        if not hmac.compare_digest(code.casefold().encode(), wanted.encode()) or at_hand is None or not wanted:
            raise QuestionClosed("No question is open under this code. Look at the board: it may be closed, or the code may be another.")
        return at_hand

    def answer(self, code: str, token: str, given: Prediction) -> None:
        """Take the answer of one phone, in place of its earlier one.

        Raises:
            QuestionClosed: no question is open under the code.
            PredictionRefused: more phones have answered than a class can have.
        """
        with self._lock:
            at_hand = self.joined(code)
            if token not in at_hand.answers and len(at_hand.answers) >= MOST_ANSWERS:
                raise PredictionRefused(f"{MOST_ANSWERS} answers are in already: more are not counted. Tell your instructor.")
            at_hand.answers[token] = given

    def close(self) -> Counted | None:
        """Close the question at hand: count, keep the counts, forget who gave what. None where nothing was open.

        Raises:
            PredictionsNotKept: the counts cannot be written; the question stays at hand, to be closed again.
        """
        with self._lock:
            if self._open is None:
                return None
            opened_at = self._open.opened_at.isoformat(timespec="milliseconds")
            found = counted(self._open.question, opened_at, list(self._open.answers.values()))
            if found.n_answered:
                self.kept.add(found)
            self._open = None
            return found
