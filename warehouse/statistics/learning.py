"""What a class learned between two sittings of one instrument: class normalized gain, paired difference, standardised difference.

The student is the unit, and only students with a whole score in both sittings count. Class normalized gain: Hake 1998,
Am. J. Phys. 66:64. d_av: Cumming 2012, Understanding the New Statistics, ch. 11 (from memory); its interval: Algina & Keselman
2003, Educ. Psychol. Meas. 63:537 (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import sqrt
from typing import Any

import numpy as np
from scipy.special import stdtrit

from warehouse.statistics.effect_size import noncentral_interval
from warehouse.statistics.learning_words import gain_sentence
from warehouse.statistics.reasons import reason
from warehouse.statistics.resampling import Floats, bca_of_ratio

LEAST_STUDENTS = 10  # fewer: means are told, nothing is inferred from them
MEDIUM_FROM, HIGH_FROM = 0.3, 0.7  # class gain, Hake 1998
_ALL_POINTS = 100.0
_ROUNDING = 1e-9


@dataclass(frozen=True)
class LearningGain:
    """Scores are percent of the points; gains are shares of what was left to gain; d_av is in standard deviations; intervals are 95 %."""

    n_matched: int
    n_pre_only: int
    n_post_only: int
    pre_mean_percent: float | None = None
    post_mean_percent: float | None = None
    class_gain: float | None = None
    class_gain_ci_low: float | None = None
    class_gain_ci_high: float | None = None
    class_gain_band: str | None = None
    gain_mean_of_students: float | None = None
    gain_median_of_students: float | None = None
    n_gain_undefined: int | None = None
    difference_percent: float | None = None
    difference_ci_low_percent: float | None = None
    difference_ci_high_percent: float | None = None
    d_av: float | None = None
    d_av_ci_low: float | None = None
    d_av_ci_high: float | None = None
    reason_code: str | None = None
    reason: str | None = None
    sentence: str | None = None


def learning_gain(
    pre_percent: Sequence[float | None], post_percent: Sequence[float | None], semester: str, instrument: str
) -> LearningGain:
    """The gain of one class on one instrument.

    The interval of the class gain is a bootstrap over matched students (BCa, fixed seed), that of the difference Student's t of the
    paired differences. d_av is the mean difference over sqrt((s_pre² + s_post²)/2). Fewer than ten matched students have means and
    gains, but no band, no interval and no d_av.

    Args:
        pre_percent: each student's whole score before, percent of the points; None where there is none.
        post_percent: the same students' score after.
        semester: code of the semester; for the sentence.
        instrument: code of the instrument; for the sentence.
    """
    pairs = [(a, b) for a, b in zip(pre_percent, post_percent, strict=True) if a is not None and b is not None]
    n_pre, n_post = (sum(score is not None for score in scores) for scores in (pre_percent, post_percent))
    found = LearningGain(len(pairs), n_pre - len(pairs), n_post - len(pairs))
    if pairs:
        before, after = np.array(pairs, dtype=float).T
        found = replace(found, **_described(before, after))
        found = replace(found, **_inferred(found, before, after))
    else:
        found = replace(found, **reason("no_matched"))
    return replace(found, sentence=gain_sentence(found, semester, instrument))


def _described(before: Floats, after: Floats) -> dict[str, Any]:
    """Means and gains of the matched students, without any inference."""
    pre, post = float(before.mean()), float(after.mean())
    has_room = before < _ALL_POINTS - _ROUNDING
    single = (after[has_room] - before[has_room]) / (_ALL_POINTS - before[has_room])
    room = _ALL_POINTS - pre
    return {
        "pre_mean_percent": pre,
        "post_mean_percent": post,
        "difference_percent": post - pre,
        "class_gain": (post - pre) / room if room > _ROUNDING else None,
        "gain_mean_of_students": float(single.mean()) if single.size else None,
        "gain_median_of_students": float(np.median(single)) if single.size else None,
        "n_gain_undefined": int((~has_room).sum()),
    }


def _inferred(found: LearningGain, before: Floats, after: Floats) -> dict[str, Any]:
    """Band, intervals and effect size, or why there are none."""
    n, change = len(before), after - before
    if n < LEAST_STUDENTS:
        return reason("few_matched", n=n, needed=LEAST_STUDENTS)
    told = _of_difference(before, after)
    if found.class_gain is None:
        return told | reason("no_room_to_gain")
    told["class_gain_band"] = gain_band(found.class_gain)
    ends = bca_of_ratio(change, _ALL_POINTS - before)
    if ends is None:
        return told | reason("gain_without_interval")
    return told | {"class_gain_ci_low": ends[0], "class_gain_ci_high": ends[1]}


def _of_difference(before: Floats, after: Floats) -> dict[str, Any]:
    """Student's interval of the paired difference, and d_av: t times the standard error over s_av, as are its ends."""
    n, middle, se = len(before), float((after - before).mean()), float((after - before).std(ddof=1)) / sqrt(len(before))
    ends = noncentral_interval(middle / se, n - 1) if se > _ROUNDING else None
    if ends is None:
        return reason("changes_alike")
    half, scale = float(stdtrit(n - 1, 0.975)) * se, se / sqrt((float(before.var(ddof=1)) + float(after.var(ddof=1))) / 2)
    return {
        "difference_ci_low_percent": middle - half,
        "difference_ci_high_percent": middle + half,
        "d_av": middle / se * scale,
        "d_av_ci_low": ends[0] * scale,
        "d_av_ci_high": ends[1] * scale,
    }


def gain_band(class_gain: float) -> str:
    """low, medium or high (Hake 1998)."""
    return "high" if class_gain >= HIGH_FROM - _ROUNDING else "medium" if class_gain >= MEDIUM_FROM - _ROUNDING else "low"
