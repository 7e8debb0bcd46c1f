"""Numbers and codes are said as people say them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards import words


@pytest.mark.parametrize(
    ("value", "decimals", "sign", "said"),
    [
        (-1.25, 1, False, "−1.2"),
        (-0.004, 2, False, "0.00"),
        (0.0, 1, True, "0.0"),
        (0.4, 2, True, "+0.40"),
        (0.004, 2, True, "0.00"),
        (10.0, 0, True, "+10"),
        (-0.4, 2, True, "−0.40"),
        (None, 2, False, "–"),
        (math.nan, 2, False, "–"),
    ],
)
def test_numbers_have_a_proper_minus_and_no_minus_zero(value: float | None, decimals: int, sign: bool, said: str) -> None:
    assert words.number(value, decimals, sign=sign) == said


@given(st.floats(-20, 20, allow_nan=False), st.integers(1, 3))
def test_a_number_said_is_the_number_rounded(value: float, decimals: int) -> None:
    said = words.number(value, decimals)
    assert "-" not in said
    assert abs(float(said.replace("−", "-")) - value) <= 0.5 * 10**-decimals + 1e-9


@pytest.mark.parametrize(("code", "said"), [("2024-fall", "Fall 2024"), ("2025-spring", "Spring 2025"), ("pilot", "pilot")])
def test_semesters(code: str, said: str) -> None:
    assert words.semester_words(code) == said


def test_semesters_stand_in_the_order_of_the_year() -> None:
    codes = ["2024-fall", "2023-fall", "2024-spring", "2024-summer"]
    assert sorted(codes, key=words.semester_order) == ["2023-fall", "2024-spring", "2024-summer", "2024-fall"]


@pytest.mark.parametrize(
    ("resolution_mpa", "decimals"),
    [(0.01, 2), (0.05, 2), (0.06894757, 2), (0.1, 1), (0.5, 1), (None, 2), (math.nan, 2), (0.001, 2)],
)
def test_decimals_are_those_that_the_gauge_supports(resolution_mpa: float | None, decimals: int) -> None:
    assert words.decimals_for(resolution_mpa) == decimals


@pytest.mark.parametrize(("n", "said"), [(1, "1\u00a0leaf"), (0, "0\u00a0leaves"), (1542, "1\u202f542\u00a0leaves")])
def test_counts(n: int, said: str) -> None:
    assert words.count(n, "leaf", "leaves") == said


@pytest.mark.parametrize(
    ("text", "most", "said"),
    [
        ("Reads a gauge", 13, "Reads a gauge"),
        ("Reads a gauge", 12, "Reads a…"),
        ("Reads, and writes", 8, "Reads…"),
        ("Unbrokenword", 6, "Unbro…"),
        ("", 5, ""),
    ],
)
def test_a_long_text_is_shortened_at_a_word(text: str, most: int, said: str) -> None:
    assert words.shortened(text, most) == said


@given(st.text(), st.integers(2, 30))
def test_a_shortened_text_is_its_own_beginning(text: str, most: int) -> None:
    said = words.shortened(text, most)
    assert len(said) <= most + 1
    assert said == text or text.startswith(said[:-1])


def test_lists_and_groups() -> None:
    assert words.listed(["a", "b", "c"]) == "a, b and c"
    assert words.groups_words(["tree", "forb"]) == "forbs and trees"
