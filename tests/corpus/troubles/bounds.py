"""Bounds and remarks: a bound stays a bound, a doubtful reading stays with its mark, and no value is never a number."""

from __future__ import annotations

from typing import Any

from tests.corpus.truth import BAR, DATE, LEAF, PLACE, PLANT, SITE, TAXON, TIME, Cell, Grid, Ugly, a_class
from tests.corpus.writing import csv_bytes

NAME = "Fall 2024 Section A"
BOUND: dict[str, Any] = {"number": 40.0, "endpoint": "not_reached"}
DOUBT: dict[str, Any] = {"expect": "doubt"}
ASIDE: dict[str, Any] = {"expect": "aside"}
# Spelled as people spell them, split at "; ".
BOUNDS = (
    ">40; > 40; 40+; ≥40; over 40; more than 40; >40 bar; 40 +; no bubbles by 40; no endpoint at 40 bar; "
    "did not bubble by 40; >=40; no water at 40; 40 no endpoint; off scale (40); max 40; ＞40; nothing at 40 bar"
)
DOUBTED = (
    "first bubbles were from the cut; recut; re-cut twice; leaf slipped at 15; leaf broke before endpoint; "
    "leak at the seal; hissing; cut end crushed, sap everywhere; pressurized too fast; missed the endpoint; "
    "not sure of the endpoint; overshot; chamber leaking; leaf popped out; petiole split; endpoint unclear; guess; "
    "might be too high; bubbles early, ignored?"
)
HARMLESS = (
    "cut at base; windy; max wind today; no problem; good seal, no leak; sunny leaf; shaded; wet from dew; "
    "second try on another leaf; brown bag used; see note 3; plant 40 cm tall; temperature 31 C; chamber 1; "
    "new blade; broke for lunch after this"
)
NO_VALUE = (
    "lost leaf; NR; n/a; -; —; --; leaf broke; slipped; no sample; dropped; x; ?; not done; …; N.A.; missing; nil; "
    "leaf lost in wind; none; *"
)


def _remarked(seed: int, written: dict[int, tuple[Cell, str, dict[str, Any]]], *, plants: int = 6, unit: str = "bar") -> Grid:
    """The plain table with a remark column; `written` gives a row its reading (None: as it was), its remark, and what is then true."""
    leaves = a_class(seed, plants=plants, unit=unit)
    true = [leaf.but(**written[at][2]) if at in written else leaf for at, leaf in enumerate(leaves)]
    header = f"Pressure ({unit})"
    grid = Grid().table(true, (*PLACE, (header, lambda leaf: leaf.number), ("Remarks", lambda _: None)), 6)
    for at, (cell, remark, _) in written.items():
        row = grid.rows[at + 1]
        row[6], row[7] = leaves[at].number if cell is None else cell, remark
    return grid


def _csv(case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(4, case, f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def bounds_in_cells() -> list[Ugly]:
    """Bounds in the cell of the reading, spelled as people spell them."""
    forms = BOUNDS.split("; ")
    grid = _remarked(401, {at: (form, "", BOUND) for at, form in enumerate(forms)})
    grams = _remarked(402, {
        0: ("no bubbles by 550", "", {"number": 550.0, "unit": "psi", "endpoint": "not_reached"}),
        1: (">550psi", "", {"number": 550.0, "unit": "psi", "endpoint": "not_reached"}),
        2: ("550+", "", {"number": 550.0, "unit": "psi", "endpoint": "not_reached"}),
    }, unit="psi")  # fmt: skip
    lower = _remarked(
        403,
        {0: ("<2", "", ASIDE), 1: ("< 2", "", ASIDE), 2: ("less than 2", "", ASIDE), 3: ("≤2", "", ASIDE), 4: ("under 2 bar", "", ASIDE)},
    )
    words = _remarked(
        404,
        {
            0: ("off scale", "", ASIDE),
            1: ("max", "", ASIDE),
            2: ("maxed out", "", ASIDE),
            3: ("no endpoint", "", ASIDE),
            4: ("OFF", "", ASIDE),
        },
    )
    return [
        _csv("bounds in cells", grid),
        _csv("bounds in psi", grams),
        _csv("bounds from below", lower),
        _csv("bounds without a limit", words),
    ]


def potentials() -> Ugly:
    """A bound of a potential: below, or less than, the number."""
    leaves = [leaf.but(number=round(leaf.number / 10, 2), unit="MPa") for leaf in a_class(405)]
    limit = {"number": 4.0, "unit": "MPa", "endpoint": "not_reached"}
    true = [leaf.but(**limit) if at in (1, 3) else leaf.but(expect="aside") if at == 5 else leaf for at, leaf in enumerate(leaves)]
    grid = Grid().table(true, (*PLACE, ("Ψ (MPa)", lambda leaf: f"-{leaf.number:.2f}")), 6)
    grid.rows[2][6], grid.rows[4][6], grid.rows[6][6] = "<-4.0", "< −4.0", ">-4.0"
    return _csv("bounds of potentials", grid)


def bounds_in_remarks() -> list[Ugly]:
    """The bound stands in the remark: beside a blank, beside the number, in an endpoint column, against the number."""
    grid = _remarked(406, {
        0: ("", "no bubbles by 40 bar", BOUND),
        1: ("", "never reached endpoint, stopped at 40 bar", BOUND),
        2: (40, "no endpoint", BOUND),
        3: (40, "max, no water seen", BOUND),
        4: (40, "did not reach endpoint", BOUND),
        5: ("", "off scale, >40", BOUND),
        6: ("", "went to 40 without any water", BOUND),
        7: (40, "gauge at max, nothing came out", BOUND),
        8: (22.5, "no bubbles by 40", DOUBT),
        9: (18.5, "good endpoint, no problem", {"number": 18.5}),
        10: (19.5, "no bubbles from the cut, clean endpoint", {"number": 19.5}),
        11: (16.5, "bubbles at 16.5, no water on leaf surface", {"number": 16.5}),
        12: ("", "stopped at 40", BOUND),
        13: (40, "stopped here, chamber limit", BOUND),
    })  # fmt: skip
    leaves = a_class(407)
    true = [leaf.but(**BOUND) if at in (2, 6) else leaf for at, leaf in enumerate(leaves)]
    column = Grid().table(
        true, (*PLACE, BAR, ("Endpoint?", lambda leaf: "no" if leaf.endpoint == "not_reached" else "yes"), ("Notes", lambda _: None)), 6
    )
    named = [leaf.but(**BOUND) if at == 4 else leaf for at, leaf in enumerate(a_class(408))]
    chamber = Grid().table(named, (*PLACE, BAR, ("Chamber", lambda _: "chamber 1")), 6)
    chamber.rows[5][6] = "max"
    return [_csv("bounds in remarks", grid), _csv("bounds by an endpoint column", column), _csv("max of a named chamber", chamber)]


def leaf_states() -> list[Ugly]:
    """Dead, brown, senesced leaves, and doubts about them, in remarks and in a column."""
    grid = _remarked(409, {
        0: (None, "dead", DOUBT),
        1: (None, "dead?", DOUBT),
        2: (None, "leaf was brown", DOUBT),
        3: (None, "senesced", DOUBT),
        4: (None, "Senescing, mostly yellow", DOUBT),
        5: (None, "brown tip", {}),
        6: (None, "not dead", {}),
        7: (None, "healthy, green", {}),
        8: (None, "crispy, dry leaf", DOUBT),
        9: (None, "dead grass around the plant", {}),
        10: (None, "looked dead to me", DOUBT),
        11: (None, "withered", DOUBT),
        12: (None, "brown soil, wet", {}),
        13: (None, "no brown", {}),
    })  # fmt: skip
    states = ("green", "G", "dead", "senesced", "brown", "alive?", "dead?", "green", "yellowish", "S", "green", "partly brown")
    leaves = a_class(410)
    true = [
        leaf.but(expect="doubt") if state in ("dead", "senesced", "brown", "dead?", "alive?", "S") else leaf
        for leaf, state in zip(leaves, states, strict=True)
    ]
    column = Grid().table(true, (DATE, TIME, SITE, TAXON, PLANT, LEAF, BAR, ("Leaf condition", lambda _: None)), 6)
    for row, state in zip(column.rows[1:], states, strict=True):
        row[7] = state
    return [_csv("states of leaves in remarks", grid), _csv("states of leaves in a column", column)]


def endpoints_in_doubt() -> Ugly:
    """Bubbles from the cut, leaks, slips, recuts, leaves broken before the endpoint: kept with their mark, out of the means."""
    remarks = DOUBTED.split("; ")
    return _csv("endpoints in doubt", _remarked(411, {at: (None, remark, DOUBT) for at, remark in enumerate(remarks)}))


def harmless() -> Ugly:
    """Remarks that look like trouble and are none, so that ordinary readings are not taken away."""
    remarks = HARMLESS.split("; ")
    return _csv("harmless remarks", _remarked(412, {at: (None, remark, {}) for at, remark in enumerate(remarks)}))


def no_value() -> list[Ugly]:
    """Words and marks for no value."""
    words = NO_VALUE.split("; ")
    grid = _remarked(413, {at: (word, "", ASIDE) for at, word in enumerate(words)}, plants=9)
    number = _remarked(414, {
        0: (None, "leaf lost before reading, value from neighbour", DOUBT),
        1: (None, "do not use", DOUBT),
        2: (None, "ignore this one", DOUBT),
        3: (None, "WRONG, repeat", DOUBT),
        4: (None, "should be 18.5", DOUBT),
        5: (None, "actually 350 psi", DOUBT),
        6: (None, "practice reading", DOUBT),
        7: (None, "estimated", DOUBT),
        8: (None, "typo?", DOUBT),
    })  # fmt: skip
    return [_csv("words for no value", grid), _csv("remarks that take the number back", number)]


FILES = [bounds_in_cells, potentials, bounds_in_remarks, leaf_states, endpoints_in_doubt, harmless, no_value]
