"""The parts of sentences: proper minus, no minus zero, singular and plural."""

from __future__ import annotations

import pytest

from warehouse.statistics.wording import counted, interval, listed, mpa, semester_words, sentence, when


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        (mpa(-1.254), "−1.25 MPa"),
        (mpa(-0.001), "0.00 MPa"),
        (mpa(0.5, 1), "0.5 MPa"),
        (counted(1, "plant"), "1 plant"),
        (counted(14, "plant"), "14 plants"),
        (counted(2, "leaf", "leaves"), "2 leaves"),
        (interval(-0.31, 0.934), "(95 % interval −0.31 to 0.93)"),
        (semester_words("2024-fall"), "Fall 2024"),
        (semester_words("2024-spring"), "Spring 2024"),
        (semester_words("pilot"), "pilot"),
        (semester_words("pilot-2024"), "pilot-2024"),
        (when("2024-fall", "midday"), "At midday in Fall 2024"),
        (when("2024-fall", "noon"), "Noon in Fall 2024"),
        (sentence("the hill"), "The hill"),
        (sentence(""), ""),
        (listed([]), ""),
        (listed(["a"]), "a"),
        (listed(["a", "b"]), "a and b"),
        (listed(["a", "b", "c"]), "a, b and c"),
        (listed(iter(["a", "b", "c"]), "or"), "a, b or c"),
    ],
)
def test_words(said: str, wanted: str) -> None:
    assert said == wanted
