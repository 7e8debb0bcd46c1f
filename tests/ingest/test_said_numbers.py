"""Whether a remark names another number or unit than the reading, and whether it says what nobody here understands."""

from __future__ import annotations

import pytest

from ingest.cells.numbers import number_and_words
from ingest.cells.people import Scrubber
from ingest.cells.remarks import is_unread
from ingest.cells.said_numbers import names_another

# beside 18 bar
ANOTHER = ["redo: 22", "second try 21", "repeat gave 17.5", "bubbles at 14", "250 psi", "psi?", "19", "~19", "18.5 or 19", "was 2.1 MPa"]
THE_SAME = [
    *("", "bubbled at 18", "1.8 MPa", "261 psi", "no bubbles until 18", "leaf 3", "2nd leaf", "20 cm long", "cut at 13", "read at 13:05"),
    *("wind was 20 km/h", "row 14", "plant 12: fine", "9/17", "temp was 31 C", "3 of us read it", "8 drops", "was 900"),
]


@pytest.mark.parametrize("remark", ANOTHER)
def test_a_remark_that_names_another_number_is_against_its_reading(remark: str) -> None:
    assert names_another(remark, 18.0, "bar")


@pytest.mark.parametrize("remark", THE_SAME)
def test_a_remark_that_names_the_reading_or_another_thing_is_not(remark: str) -> None:
    assert not names_another(remark, 18.0, "bar")


@pytest.mark.parametrize(
    ("remark", "unread"),
    [
        *((said, True) for said in ("zzt", "chickened out", "SN", "d", "weird leaf", "Squashy the whole leaf", "did it bubble??")),
        *((said, False) for said in ("windy", "Zabreth read this one", "first leaf", "31 C", "nothing unusual")),
    ],
)
def test_a_remark_of_words_that_are_not_known_is_shown(remark: str, unread: bool) -> None:
    assert is_unread(remark, Scrubber().scrub) == unread


@pytest.mark.parametrize(
    ("cell", "value", "unit", "is_doubtful"),
    [
        ("19 (dead)", 19.0, None, True),
        ("20ish", 20.0, None, True),
        ("18*", 18.0, None, True),
        ("18.5 ± 0.5", 18.5, None, True),
        ("250 psi - red", 250.0, "psi", True),
        ("14 ok", 14.0, None, False),
    ],
)
def test_words_behind_a_number_make_it_doubtful(cell: str, value: float, unit: str | None, is_doubtful: bool) -> None:
    found = number_and_words(cell, "point")
    assert found is not None
    assert (found.value, found.unit, found.is_doubtful, found.text) == (value, unit, is_doubtful, cell)


@pytest.mark.parametrize("cell", ["18 (19)", "leaf 3 broke", "17-19", "13 bar / 188 psi", "17.5a", "dead", 18.0, None])
def test_what_may_be_two_numbers_or_another_thing_is_none(cell: str | float | None) -> None:
    assert number_and_words(cell, "point") is None
