"""From what a reviewer is shown of learning no small number of students can be reckoned back: audited by linear programme."""

from __future__ import annotations

from dataclasses import asdict
from math import ceil, floor, inf
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from warehouse.reviewed_learning import reviewed_gain, reviewed_item, reviewed_outcome, shown_share
from warehouse.statistics.attainment import attainment
from warehouse.suppress import hidden_cells

KEY = {"program": "p", "semester": "2024-fall", "year": 2024, "season": "fall"}


def whole_range(cell: dict[int, float], known: list[tuple[dict[int, float], float, float]], n_unknown: int) -> tuple[float, float]:
    """Least and greatest whole number that a sum of unknown counts can be, given the bounds that are known of other sums.

    Args:
        cell: weight of each unknown in the sum.
        known: sums of unknowns, each with its least and greatest value.
        n_unknown: how many unknowns there are, none below 0.
    """
    weights, most = [], []
    for sum_of, low, high in known:
        row = [sum_of.get(place, 0.0) for place in range(n_unknown)]
        weights += [row, [-weight for weight in row]]
        most += [high, -low]
    kept = [place for place, limit in enumerate(most) if limit < inf]
    cost = [cell.get(place, 0.0) for place in range(n_unknown)]
    ends = []
    for sign in (1, -1):
        found = linprog([sign * c for c in cost], A_ub=[weights[place] for place in kept], b_ub=[most[place] for place in kept])
        assert found.status in (0, 3)  # what is shown never contradicts itself; 3: there is no end
        ends.append(sign * float(found.fun) if found.status == 0 else sign * -inf)
    return ceil(ends[0] - 1e-6), (ends[1] if ends[1] == inf else floor(ends[1] + 1e-6))


def class_of(matched: int, only_before: int, only_after: int, more: list[int], attained: list[int]) -> tuple[Any, list[Any]]:
    """The instructor's rows: a gain, and outcomes on which so many `more` than those with a whole score after were scored."""
    gain = {**KEY, "instrument": "quiz", "n_matched": matched, "n_pre_only": only_before, "n_post_only": only_after}
    gain |= {"pre_mean_percent": 40.0, "post_mean_percent": 70.0, "class_gain": 0.5, "class_gain_ci_low": 0.4, "class_gain_ci_high": 0.6}
    gain |= {"class_gain_band": "medium", "reason_code": "few_matched" if matched < 10 else None, "reason": None}
    if matched == 0:
        gain |= {"pre_mean_percent": None, "post_mean_percent": None, "reason_code": "no_matched", "reason": "No student."}
    outcomes = []
    for place, (extra, of) in enumerate(zip(more, attained, strict=True)):
        n = matched + only_after + extra
        outcomes.append(
            {**KEY, "outcome": f"o{place}", "statement": "Does it", "evidence": "assessment", "n_scored": n, "n_attained": min(of, n)}
            | {"target_share": 0.7, "n_unscored": 2}
        )
    return gain, outcomes


def known_of(gain: Any, outcomes: list[Any], threshold: int) -> list[tuple[dict[int, float], float, float]]:
    """All that the reviewer's rows tell, by one who knows the rules of hiding too.

    Unknowns 0, 1, 2: matched, only before, only after; then for each outcome who was scored beside them, who attained it, who did not.
    """
    few, known = threshold - 1, []
    # Hidden, they are fewer than the threshold; told, fewer than the next step; or at that end, where an outcome tells it.
    least, end = (1, threshold) if gain.is_suppressed else (gain.n_matched_at_least, gain.n_matched_at_least + threshold)
    known.append(({0: 1.0}, least, end if end in [row.n_scored for row in outcomes] else end - 1))
    if not gain.is_suppressed and gain.n_matched_at_least == 0:
        known[-1] = ({0: 1.0}, 0, 0)
    for place, row in enumerate(outcomes):
        more, of, others = (3 + 3 * place + step for step in range(3))
        known.append(({of: 1.0, others: 1.0, 0: -1.0, 2: -1.0, more: -1.0}, 0, 0))
        known.append(({of: 1.0, others: 1.0}, *((1, few) if row.n_scored is None else (row.n_scored, row.n_scored))))
        if row.n_attained is not None:
            known.append(({of: 1.0}, row.n_attained, row.n_attained))
        elif row.share_at_least is not None:
            known.append(({others: 1.0}, 0, few))
        elif row.share_at_most is not None:
            known.append(({of: 1.0}, 0, few))
        if row.is_target_met is not None:
            least = ceil(0.7 * row.n_scored - 1e-9)
            known.append(({of: 1.0}, least, inf) if row.is_target_met else ({of: 1.0}, 0, least - 1))
    return known


def small_cells(gain: Any, outcomes: list[Any], threshold: int) -> list[dict[int, float]]:
    """Sums of the unknowns that are above 0 and under the threshold in truth."""
    counts = [gain["n_matched"], gain["n_pre_only"], gain["n_post_only"]]
    for row in outcomes:
        counts += [row["n_scored"] - gain["n_matched"] - gain["n_post_only"], row["n_attained"], row["n_scored"] - row["n_attained"]]
    cells: list[dict[int, float]] = [{place: 1.0} for place, n in enumerate(counts) if 0 < n < threshold]
    for place, row in enumerate(outcomes):
        if 0 < row["n_scored"] < threshold:
            cells.append({4 + 3 * place: 1.0, 5 + 3 * place: 1.0})
    return cells


COUNT = st.one_of(st.integers(0, 12), st.integers(0, 60))


@given(COUNT, COUNT, COUNT, st.lists(st.tuples(st.integers(0, 3), COUNT), min_size=1, max_size=3), st.integers(3, 15))
@settings(max_examples=40)
def test_every_small_number_could_have_been_another(
    matched: int, only_before: int, only_after: int, more: list[tuple[int, int]], threshold: int
) -> None:
    gain, outcomes = class_of(matched, only_before, only_after, [extra for extra, _ in more], [of for _, of in more])
    scored = [row["n_scored"] for row in outcomes]
    shown = reviewed_gain(gain, threshold, scored), [reviewed_outcome(row, threshold) for row in outcomes]
    known = known_of(*shown, threshold)
    for cell in small_cells(gain, outcomes, threshold):
        low, high = whole_range(cell, known, 3 + 3 * len(outcomes))
        assert low < high, (cell, known)


def test_the_audit_finds_a_leak() -> None:
    """Were the matched students told exactly, 2 who came only after would be 29 scored minus 27 matched."""
    gain, outcomes = class_of(27, 3, 2, [0], [15])
    known = known_of(reviewed_gain(gain, 10), [reviewed_outcome(row, 10) for row in outcomes], 10)
    known += [({3: 1.0}, 0, 0)]  # the outcome is on the whole instrument
    assert whole_range({2: 1.0}, known, 6) == (0, 9)
    assert whole_range({2: 1.0}, [*known, ({0: 1.0}, 27, 27)], 6) == (2, 2)


def test_the_least_of_the_matched_is_never_the_number_that_an_outcome_tells() -> None:
    """9 matched, and 9 and 10 scored on two outcomes: told 9 or more, one student would be known to lack an item."""
    gain, outcomes = class_of(9, 0, 0, [0, 1], [4, 4])
    shown = reviewed_gain(gain, 3, [9, 10])
    assert shown.n_matched_at_least == 6
    known = known_of(shown, [reviewed_outcome(row, 3) for row in outcomes], 3)
    assert whole_range({6: 1.0}, known, 9) == (1, 4)
    assert reviewed_gain({**gain, "n_matched": 3}, 3, [3]).is_suppressed


def test_three_levels_with_a_known_total() -> None:
    """17, 6 and 4 of 27 at a threshold of 5: 4 is hidden and at least one of the others (by definition)."""
    cells = {"high": 17, "middle": 6, "low": 4}
    hidden = hidden_cells(cells, 5)
    assert "low" in hidden
    assert len(hidden) >= 2
    known: list[tuple[dict[int, float], float, float]] = [({0: 1.0, 1: 1.0, 2: 1.0}, 27, 27)]
    known += [({place: 1.0}, n, n) for place, (name, n) in enumerate(cells.items()) if name not in hidden]
    assert whole_range({2: 1.0}, known, 3) == (0, 10)


@pytest.mark.parametrize(
    ("of", "n", "threshold", "told"),
    [
        (15, 30, 10, (0.5, None, None)),
        (30, 30, 10, (None, 0.7, None)),  # everyone, and 21 of 30 look the same
        (21, 30, 10, (None, 0.7, None)),
        (0, 30, 10, (None, None, 0.3)),
        (9, 30, 10, (None, None, 0.3)),
        (10, 15, 10, (None, None, None)),  # whatever the number: 5 or 10 of 15 would be small
        (5, 5, 10, (None, None, None)),
        (29, 29, 10, (None, 0.65, None)),  # 20 of 29 is 69 %, rounded outwards
        (3, 7, 1, (3 / 7, None, None)),  # a program that hides nothing
        (0, 0, 1, (None, None, None)),
    ],
)
def test_a_share_is_told_exactly_as_a_bound_or_not(of: int, n: int, threshold: int, told: tuple[float | None, ...]) -> None:
    share = shown_share(of, n, threshold)
    assert (share.exact, share.at_least, share.at_most) == told


@given(st.integers(1, 80), st.integers(2, 15), st.data())
@settings(max_examples=200)
def test_a_bound_holds_and_as_many_numbers_as_the_threshold_lie_behind_it(n: int, threshold: int, data: Any) -> None:
    of = data.draw(st.integers(0, n))
    share = shown_share(of, n, threshold)
    alike = [other for other in range(n + 1) if shown_share(other, n, threshold) == share]
    assert share.exact is not None or len(alike) >= min(threshold, n + 1)
    if share.exact is None:
        assert (share.at_least or 0) <= of / n <= (1 if share.at_most is None else share.at_most)
    else:
        assert min(of, n - of) >= threshold


def test_a_hidden_outcome_says_so_and_tells_no_number_of_it() -> None:
    row = {**KEY, "outcome": "o", "statement": "Reads it.", "evidence": "rubric", "n_scored": 24, "n_attained": 22, "target_share": 0.7}
    shown = asdict(reviewed_outcome(row, 10))
    assert shown["sentence"] == (
        "In Fall 2024, at least 60 % of 24 scored students attained “Reads it” by the rubric; the exact number is hidden, so that it tells "
        "of nobody, and so is whether the target of 70 % was met."
    )
    assert shown["is_suppressed"]
    assert [shown[name] for name in ("n_attained", "share_attained", "share_ci_low", "share_ci_high", "is_target_met")] == [None] * 5
    met = reviewed_outcome({**row, "target_share": 0.6}, 10)
    assert (met.is_target_met, met.sentence.endswith("it is at or above the target of 60 %.")) == (True, True)
    small = reviewed_outcome({**row, "n_scored": 6, "n_attained": 3}, 10)
    assert (small.n_scored, small.share_at_least) == (None, None)
    assert "few students were scored" in small.sentence


def test_a_shown_outcome_is_the_instructor_s_but_for_who_was_not_scored() -> None:
    row = {**KEY, "outcome": "o", "statement": "Reads it", "evidence": "rubric", "n_scored": 40, "n_attained": 28, "target_share": 0.7}
    shown, told = reviewed_outcome(row, 10), attainment(40, 0, 28, 0.7, "rubric", "Reads it", "2024-fall")
    assert (shown.share_ci_low, shown.is_target_met, shown.sentence) == (told.share_ci_low, True, told.sentence)


@pytest.mark.parametrize(
    ("changes", "is_hidden"),
    [
        ({}, False),
        ({"n_matched": 0, "pre_mean_percent": None}, False),
        ({"n_matched": 9}, True),
        ({"post_mean_percent": 96.0}, True),
        ({"pre_mean_percent": 3.0}, True),
        ({"reason_code": "changes_alike"}, True),
    ],
)
def test_gains_of_few_or_of_all_are_hidden(changes: dict[str, Any], is_hidden: bool) -> None:
    gain, _ = class_of(27, 3, 2, [], [])
    shown = asdict(reviewed_gain({**gain, **changes}, 10))
    assert shown["is_suppressed"] == is_hidden
    if is_hidden:
        own = {"is_suppressed", "reason_code", "reason", "sentence", "instrument", *KEY}
        assert {value for name, value in shown.items() if name not in own} == {None}
        assert shown["sentence"] == "In Fall 2024, the gain on quiz is hidden, so that it tells of nobody."


@pytest.mark.parametrize(
    ("n", "difficulty", "told"),
    [
        (24, 0.5, (0.5, None, None)),
        (24, 0.9, (None, 0.6, None)),
        (24, 1.0, (None, 0.6, None)),
        (24, 0.02, (None, None, 0.4)),
        (8, 0.5, (None,) * 3),
    ],
)
def test_items_are_told_in_steps_or_as_bounds(n: int, difficulty: float, told: tuple[float | None, ...]) -> None:
    row = {**KEY, "instrument": "quiz", "phase": "post", "item": "q1", "n_scored": n, "difficulty": difficulty, "discrimination": 0.314}
    shown = reviewed_item({**row, "alpha": 0.777, "n_complete": n}, 10)
    assert (shown.difficulty, shown.difficulty_at_least, shown.difficulty_at_most) == told
    assert shown.discrimination == (0.31 if told[0] else None)
    assert shown.alpha == (0.78 if n > 9 else None)
    assert str(n) not in shown.sentence.replace("2024", "")
