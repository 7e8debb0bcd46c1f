"""What a remark says of the endpoint and the leaf; what it does not say stays open."""

from __future__ import annotations

import pytest

from ingest.cells.remarks import RemarkMeaning, endpoint_named, leaf_state_named, spoken, understand_remark

# remark, endpoint, leaf state, doubtful state, recut
REMARKS: list[tuple[str, str | None, str | None, bool, bool]] = [
    ("", None, None, False, False),
    ("windy", None, None, False, False),
    ("no water by 40 bar", "not_reached", None, False, False),
    ("never saw an endpoint", "not_reached", None, False, False),
    ("didn't reach endpoint", "not_reached", None, False, False),
    ("off scale", "not_reached", None, False, False),
    ("first bubbles came from the cut", "doubtful", None, False, False),
    (">max", "not_reached", None, False, False),
    ("no bubbles until 17.5", None, None, False, False),
    ("gauge at 0 before", None, None, False, False),
    ("?", "doubtful", None, False, False),
    ("dead branch above the leaf", None, None, False, False),
    ("leaking at the seal", "doubtful", None, False, False),
    ("leaf slipped in the gasket", "doubtful", None, False, False),
    ("sap squeezed out of the fresh cut", "doubtful", None, False, False),
    ("leaf dead", None, "senesced", False, False),
    ("senescent", None, "senesced", False, False),
    ("brown", None, "senesced", False, False),
    ("dead?", None, "senesced", True, False),
    ("tip brown", None, "partly_senesced", False, False),
    ("half senesced", None, "partly_senesced", False, False),
    ("yellowing", None, "partly_senesced", False, False),
    ("recut once", None, None, False, True),
    ("had to re-cut, tip dead", None, "partly_senesced", False, True),
    ("no bubbles by 550 psi, leaf brown", "not_reached", "senesced", False, False),
    ("nothing until 27 then lots", None, None, False, False),
    ("max temp 31 C", None, None, False, False),
    ("pumped to 38 still nothing", "not_reached", None, False, False),
    ("NB", "not_reached", None, False, False),
    ("NB: shaded", None, None, False, False),
    ("popped out", "doubtful", None, False, False),
    ("blew out", "doubtful", None, False, False),
    ("healthy, no brown", None, None, False, False),
    ("brownfield site", None, None, False, False),
    ("slow but clear", None, None, False, False),
]


@pytest.mark.parametrize(("text", "endpoint", "state", "is_doubtful", "is_recut"), REMARKS)
def test_a_remark_s_meaning(text: str, endpoint: str | None, state: str | None, is_doubtful: bool, is_recut: bool) -> None:
    found = understand_remark(text)
    assert (found.endpoint, found.leaf_state, found.is_state_doubtful, found.is_recut) == (endpoint, state, is_doubtful, is_recut)


def test_a_remark_s_limit_comes_with_its_unit() -> None:
    assert understand_remark("no bubbles by 550 psi") == RemarkMeaning("not_reached", (550.0, "psi"))


# header that asks, cell, what it says
ASKED = [
    ("Dead?", "yes", "dead"),
    ("Dead (y/n)", "N", ""),
    ("Dead?", "tip only", "dead: tip only"),
    ("Dead?", "yes?", "dead?"),
    ("Alive?", "no", "not alive"),
    ("Alive?", "Y", ""),
    ("Use?", "n", "not use"),
    ("Use?", "perhaps", "unsure: perhaps"),
    ("Maxed out", "x", "maxed out"),
    ("No endpoint", "x", "no endpoint"),
    ("% brown", "90", "brown"),
    ("% brown", "10", "partly brown"),
    ("% brown", "0", ""),
    ("Senesced", "", ""),
    ("Remarks", "no", "no"),
]


@pytest.mark.parametrize(("header", "cell", "said"), ASKED)
def test_a_header_that_asks_something_is_answered_by_its_cells(header: str, cell: str, said: str) -> None:
    assert spoken(header, cell) == said


@pytest.mark.parametrize(
    ("word", "endpoint"),
    [("Yes", "seen"), ("y", "seen"), ("NO", "not_reached"), ("never reached", "not_reached"), ("Leak", "doubtful"), ("purple", None)],
)
def test_an_endpoint_s_word(word: str, endpoint: str | None) -> None:
    assert endpoint_named(word) == endpoint


@pytest.mark.parametrize(
    ("word", "state"),
    [("Green", "green"), ("partly_senesced", "partly_senesced"), ("Brown tips", "partly_senesced"), ("dead", "senesced"), ("blue", None)],
)
def test_a_leaf_state_s_word(word: str, state: str | None) -> None:
    assert leaf_state_named(word) == state
