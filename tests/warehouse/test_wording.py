"""The parts of sentences: proper minus, no minus zero, singular and plural."""

from __future__ import annotations

import pytest

from warehouse.statistics.wording import counted, interval, listed, mpa


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
        (listed(["a"]), "a"),
        (listed(["a", "b"]), "a and b"),
        (listed(["a", "b", "c"]), "a, b and c"),
    ],
)
def test_words(said: str, wanted: str) -> None:
    assert said == wanted
