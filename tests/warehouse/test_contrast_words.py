"""Sentences of contrasts: numbers with n and interval, the drier side named, no cause, and why there is none in the same place."""

from __future__ import annotations

from typing import Any

import pytest

from warehouse.statistics.contrast_words import contrast_sentence, own_history_words

PLAIN: dict[str, Any] = {
    "kind": "lowland_minus_upland",
    "named": "c4_grass",
    "semester": "2023-fall",
    "sampling_window": "midday",
    "side_a": "lowland",
    "side_b": "upland",
    "n_plants_a": 15,
    "n_plants_b": 14,
    "n_leaves": 57,
    "n_bounds": 0,
    "n_sites_a": 2,
    "n_sites_b": 2,
    "kinds_are_alike": True,
    "leaves_stand_for_plants": False,
    "method": "welch",
    "difference_mpa": 0.62,
    "ci_low_mpa": 0.31,
    "ci_high_mpa": 0.93,
    "p_value": 0.0004,
    "p_holm": 0.004,
    "n_tests": 10,
    "readings_a": None,
    "readings_b": None,
    "why": None,
}
NONE = {"difference_mpa": None, "ci_low_mpa": None, "ci_high_mpa": None, "p_value": None, "p_holm": None}
RAIN = {"kind": "after_minus_before_rain", "side_a": "2023-09-22", "side_b": "2023-09-19", "method": "by_site"}
PAIRS = {"kind": "predawn_minus_midday", "sampling_window": "predawn_and_midday", "side_a": "predawn", "side_b": "midday", "n_plants_a": 14}
NO_INTERVAL = {"ci_low_mpa": None, "ci_high_mpa": None, "p_value": None, "p_holm": None}


def told(**changes: Any) -> str:
    return contrast_sentence(**{**PLAIN, **changes})


SURE = "by 0.62 MPa on average (95 % interval 0.31 to 0.93; 57 leaves; p < 0.001, 0.004 after Holm's correction for 10 tests)."
ALONE = "by 0.62 MPa on average (95 % interval 0.31 to 0.93; 57 leaves; p 0.020)."
OPEN = "0.62 MPa (95 % interval −0.10 to 0.93; 57 leaves; p 0.12, 1.00 after Holm's correction for 10 tests)."
WITHIN = "Compared within each of the 2 sites that have both."


@pytest.mark.parametrize(
    ("changes", "start", "end"),
    [
        ({}, "At midday in Fall 2023, in C4 grasses, the 14 upland plants were drier than the 15 lowland plants", SURE),
        (
            {"difference_mpa": -0.62, "ci_low_mpa": -0.93, "ci_high_mpa": -0.31, "n_plants_a": 1, "n_tests": 1, "p_value": 0.02},
            "At midday in Fall 2023, in C4 grasses, the 1 lowland plant was drier than the 14 upland plants",
            ALONE,
        ),
        (
            {"ci_low_mpa": -0.1, "p_value": 0.12, "p_holm": 1.0, "kind": "between_sites", "side_a": "Swale", "side_b": "Crown"},
            "At midday in Fall 2023, in C4 grasses, it is open whether the 15 plants at Swale or the 14 plants at Crown were drier: "
            "Swale minus Crown is",
            OPEN,
        ),
        (
            {"kind": "between_seasons", "side_a": "2023-fall", "side_b": "2022-fall", "named": "big bluestem", "method": "by_site"},
            "At midday, in big bluestem, the 14 plants of Fall 2022 were drier than the 15 plants of Fall 2023",
            f"{SURE} {WITHIN}",
        ),
        (
            RAIN,
            "At midday in Fall 2023, in C4 grasses, the 14 plants read on 19 September before the rain were drier than the 15 plants "
            "read on 22 September after the rain",
            f"{SURE} {WITHIN} What else changed between the days is not known.",
        ),
        (PAIRS, "In Fall 2023, in C4 grasses, the 14 plants were drier at midday than before dawn", SURE),
        (
            PAIRS | {"ci_low_mpa": -0.1, "p_value": 0.12, "p_holm": 1.0},
            "In Fall 2023, in C4 grasses, it is open whether the 14 plants were drier before dawn or at midday: predawn minus midday is",
            OPEN,
        ),
        (
            NONE | {"why": "2 and 3 plants.", "readings_a": "−1.00 and −0.50 MPa", "readings_b": "−2.00 MPa"},
            "At midday in Fall 2023, in C4 grasses, lowland and upland are not compared.",
            "2 and 3 plants. Lowland: −1.00 and −0.50 MPa; upland: −2.00 MPa.",
        ),
        (
            NO_INTERVAL | {"why": "All alike."},
            "At midday in Fall 2023, in C4 grasses, the 14 upland plants were drier than the 15 lowland plants",
            "by 0.62 MPa on average (57 leaves). All alike.",
        ),
        (
            NO_INTERVAL | {"why": "All alike.", "difference_mpa": -0.001},
            "At midday in Fall 2023, in C4 grasses, lowland and upland",
            "read alike on average (57 leaves). All alike.",
        ),
    ],
)
def test_what_is_said(changes: dict[str, Any], start: str, end: str) -> None:
    assert told(**changes) == f"{start} {end}"


@pytest.mark.parametrize(
    ("changes", "caveat"),
    [
        ({"kinds_are_alike": False}, "The kinds of plant are not the same on both sides."),
        ({"leaves_stand_for_plants": True}, "leaves stand for plants, and the interval may be too narrow."),
        ({"n_bounds": 2}, "2 plants were drier than the chamber could show and so bounds."),
        ({"n_sites_b": 1}, "There is one upland site: what is its own cannot be told from its position."),
        ({"n_sites_a": 1, "n_sites_b": 1}, "There is one lowland and one upland site"),
        ({"p_value": 0.03, "p_holm": 0.3}, "Among 10 such comparisons one so clear may come by chance."),
        ({"method": "mixed"}, "readings of one person or section share."),
    ],
)
def test_what_to_mind(changes: dict[str, Any], caveat: str) -> None:
    assert caveat in told(**changes)
    assert caveat not in told()


def test_a_group_against_its_own_history() -> None:
    words = own_history_words("tree", "2023-fall", "midday", "Crown", 85.7, -0.31, 7, "provisional")
    assert words.sentence.startswith(
        "At midday in Fall 2023 at Crown, trees were drier than in 86 % of their 7 earlier falls, 0.31 MPa drier than their mean "
        "(provisional). "
    )
    assert words.sentence.endswith(words.reason)
    for anomaly in (-0.004, 0.004):
        alike = own_history_words("tree", "2023-fall", "midday", "Crown", 50.0, anomaly, 7, "firm")
        assert "their 7 earlier falls, at their mean. " in alike.sentence
    short = own_history_words("tree", "2023-fall", "midday", "Crown", None, None, 1, "too_few")
    assert "cannot be set against their own history yet (1 earlier fall)" in short.sentence
