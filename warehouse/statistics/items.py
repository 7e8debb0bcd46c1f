"""How the items of one instrument behave in one sitting: difficulty, discrimination, and how well they hang together.

Discrimination is the corrected item-total correlation: the item against the sum of the others. Cronbach 1951, Psychometrika
16:297 (from memory). Both take the students who have every item scored.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from warehouse.statistics.learning import LEAST_STUDENTS
from warehouse.statistics.learning_words import item_sentence
from warehouse.statistics.reasons import reason
from warehouse.statistics.resampling import Floats

_ROUNDING = 1e-12


@dataclass(frozen=True)
class ItemAnalysis:
    """One item. Difficulty is the share of its points that was reached, 0 to 1 (the higher, the easier); alpha is of all items together."""

    item: str
    n_scored: int
    difficulty: float | None = None
    discrimination: float | None = None
    alpha: float | None = None
    n_complete: int = 0
    reason_code: str | None = None
    reason: str | None = None
    sentence: str | None = None


def item_analysis(
    students: Sequence[str],
    items: Sequence[str],
    scores: Sequence[float | None],
    max_scores: Sequence[float | None],
    semester: str,
    instrument: str,
    phase: str,
) -> list[ItemAnalysis]:
    """One result per item, in the order of their names.

    Args:
        students: of each score whose it is.
        items: of each score which item it is of; a student and an item together occur once.
        scores: points; None where absent or not scored.
        max_scores: points that the item gives at most; a score without one is left out.
        semester: code of the semester; for the sentence.
        instrument: code of the instrument; for the sentence.
        phase: pre or post; for the sentence.
    """
    known = [
        (student, item, score, most)
        for student, item, score, most in zip(students, items, scores, max_scores, strict=True)
        if score is not None and most is not None and most > 0
    ]
    names, who = sorted(set(items)), sorted(set(students))
    table = np.full((len(who), len(names)), np.nan)
    row_of, column_of = {name: n for n, name in enumerate(who)}, {name: n for n, name in enumerate(names)}
    for student, item, score, _ in known:
        table[row_of[student], column_of[item]] = score
    complete = table[~np.isnan(table).any(axis=1)]
    alpha = cronbach_alpha(complete)
    found = []
    for name in names:
        mine = [(score, most) for _, item, score, most in known if item == name]
        one = ItemAnalysis(name, len(mine), alpha=alpha, n_complete=len(complete))
        if mine:
            one = replace(one, difficulty=sum(score for score, _ in mine) / sum(most for _, most in mine))
        one = replace(one, **_discrimination(complete, column_of[name]))
        found.append(replace(one, sentence=item_sentence(one, semester, instrument, phase)))
    return found


def cronbach_alpha(complete: Floats) -> float | None:
    """Alpha = k/(k - 1) (1 - sum of the items' variances over the variance of the total).

    Args:
        complete: students by items, points; no score missing.

    Returns:
        None below ten students or two items, or where all totals are alike.
    """
    n, k = complete.shape
    if n < LEAST_STUDENTS or k < 2:
        return None
    total = float(complete.sum(axis=1).var(ddof=1))
    return k / (k - 1) * (1 - float(complete.var(axis=0, ddof=1).sum()) / total) if total > _ROUNDING else None


def _discrimination(complete: Floats, column: int) -> dict[str, Any]:
    """The item's correlation with the sum of the other items, or why there is none."""
    n, k = complete.shape
    if k < 2:
        return reason("one_item")
    if n < LEAST_STUDENTS:
        return reason("few_whole", n=n, needed=LEAST_STUDENTS)
    item = complete[:, column]
    rest = complete.sum(axis=1) - item
    if not item.var() > _ROUNDING:
        return reason("item_alike")
    if not rest.var() > _ROUNDING:
        return reason("rest_alike")
    return {"discrimination": float(np.corrcoef(item, rest)[0, 1])}
