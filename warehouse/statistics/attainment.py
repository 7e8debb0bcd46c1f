"""How many students attained an outcome, with Wilson's interval, and whether that meets the program's target."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import sqrt

from scipy.special import ndtri

from warehouse.statistics.learning_words import attainment_sentence
from warehouse.statistics.reasons import reason

_ROUNDING = 1e-9


@dataclass(frozen=True)
class Attainment:
    """Shares are 0 to 1; the interval is Wilson's, 95 %."""

    share_attained: float | None = None
    share_ci_low: float | None = None
    share_ci_high: float | None = None
    is_target_met: bool | None = None
    reason_code: str | None = None
    reason: str | None = None
    sentence: str | None = None


def wilson_interval(n_of: int, n: int, level: float = 0.95) -> tuple[float, float] | None:
    """Wilson's interval of a share, n_of out of n; None where n is 0 (Wilson 1927, JASA 22:209; Newcombe 1998, Stat. Med. 17:857)."""
    if n <= 0:
        return None
    z, p = float(ndtri((1 + level) / 2)), n_of / n
    middle, half = p + z * z / (2 * n), z * sqrt(p * (1 - p) / n + z * z / (4 * n * n))
    low, high = (middle - half) / (1 + z * z / n), (middle + half) / (1 + z * z / n)
    return (0.0 if n_of == 0 else low), (1.0 if n_of == n else high)


def attainment(
    n_scored: int, n_unscored: int, n_attained: int | None, target_share: float | None, evidence: str, statement: str, semester: str
) -> Attainment:
    """The attainment of one outcome in one semester by one kind of evidence.

    Args:
        n_scored: students with a score; those without are not in the denominator.
        n_unscored: students that are listed without a score; for the sentence.
        n_attained: scored students at or above the outcome's target score or level; None where the program states none.
        target_share: share of students that the program wants to attain it, 0 to 1; None where it states none.
        evidence: assessment, rubric or none.
        statement: the outcome in words; for the sentence.
        semester: code of the semester; for the sentence.
    """
    ends = None if n_attained is None else wilson_interval(n_attained, n_scored)
    if n_attained is None or ends is None:
        found = Attainment(**reason("no_evidence" if evidence == "none" else "nobody_scored" if n_scored == 0 else "no_target"))
    else:
        share = n_attained / n_scored
        found = Attainment(share, *ends, None if target_share is None else share >= target_share - _ROUNDING)
    said = attainment_sentence(found, (n_scored, n_unscored, n_attained), target_share, evidence, statement, semester)
    return replace(found, sentence=said)
