"""Bounds and remarks in more of the words that classes use: beside numbers, instead of them, in columns of their own."""

from __future__ import annotations

from typing import Any

from tests.corpus.troubles.bounds import ASIDE, BOUND, DOUBT, _remarked
from tests.corpus.truth import BAR, DATE, LEAF, PLACE, PLANT, SITE, TAXON, TIME, Column, Grid, Ugly, a_class
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"
BOUNDS = (
    "no water at 40; maxed out at 40; off gauge (40); > 40.0; 40.0+; 40 bar+; beyond 40; exceeds 40; past 40; >>40; 40 or more; 40 and up; "
    "40 (max); 40 max; 40 - no bubbles; 40, nothing; at least 40; no sap by 40; none by 40; still nothing at 40; no end pt at 40; "
    "40 no water; never bubbled (40); didn't bubble at 40; didn’t reach endpoint by 40 bar; wouldn't bubble by 40; no exudation by 40; "
    "no drop at 40; no sign of water at 40 bar; 40 w/o endpoint; higher than 40; greater than 40 bar; 40 (not reached); not yet at 40; "
    "no meniscus at 40; NO BUBBLES @ 40; no bubbles up to 40; no bubbling by 40 bar; 40 = max; hit max at 40; > 40 bar; >=40.0 bar; "
    "gauge max (40); reached 40, no bubbles; no end point by 40 bar; nothing by 40; >40!; > 40 (max); no balance at 40; 40 bar, no endpoint"
)
LIMITLESS = (
    "off gauge; maxed; MAXED OUT; beyond range; above range; over limit; too high; pegged; no bubbles; never reached; exceeded gauge; "
    "out of range; off the scale; over; ∞; >max; > max; max.; +++; NB; nothing; off the gauge; beyond gauge; no balance"
)
BELOW = "<2; under 2; less than 2 bar; ≤ 2; below 2; <=2; 2 or less; lower than 2; bubbled before 2; <2.0; 0-2; at once"
POTENTIALS = (
    "<-4.0; < -4; ≤ -4.0; below -4.0; lower than -4; less than −4.0; under -4.0; -4.0 or lower; more negative than -4; drier than -4.0; "
    "no endpoint at -4.0; -4.0 no endpoint; beyond -4.0; no water at -4.0; <−4,0; -4.0 (not reached)"
)
NO_VALUE = (
    "N/R; n.r.; N.D.; no reading taken; none taken; didn't read; not recorded; not measured; forgot; absent; leaf lost; lost; LOST LEAF; "
    "leaf missing; leaf fell out; leaf tore; broken; snapped; ran out of gas; no gas; no N2; chamber broken; ran out of time; bad seal; "
    "see below; see note; TBD; ???; //; /; \\; ..; ---; ——; *; #; #REF!; #DIV/0!; #NUM!; empty; blank; void; skip; skipped; cancelled; "
    "no leaf; no leaves left; dead plant; plant dead; dead; senesced; blew out; redo; pending; -99; 9999"
)
DOUBTED = (
    "water came from cut edge; froth at the cut; sap from crushed tissue; bubbled too soon, probably leak; gasket leaked; slow leak; "
    "air leak; "
    "leaf slid out a bit; slipped in the gasket; leaf tore at end; stem snapped; midrib cracked; endpoint hard to see; endpoint not clear; "
    "not certain; questionable; iffy; suspicious; may be off; probably wrong; passed the endpoint; went past it; overshot a little; "
    "raised pressure too quickly; foam instead of water; bubbles right away, from cut?; first bubbles from cut; recut; cut twice; "
    "cut a 2nd time; "
    "had to cut again; trimmed and reread; leaf waited 20 min unbagged; leaf was wilted when bagged late; juice everywhere; false endpoint"
)
TAKEN_BACK = (
    "discard; throw out; do not include; don't count; outlier - omit; bogus; bad reading; misread; misread gauge; wrong leaf; wrong plant; "
    "wrong species?; should be 17; meant 17.5; corrected to 18; this is an estimate; TA's value, not ours; copied from group 2; "
    "placeholder; "
    "fake number; ignore; strike this"
)
STATES = (
    "dead leaf; leaf dead; Dead?; browned; leaf brown; mostly brown; all brown; brown & crispy; dry and brown; leaf dry; dried out; "
    "senescent; "
    "senescing; leaf is dying; withered; shriveled; shrivelled up; necrotic; maybe dead; possibly dead; looks dead; looked senesced; "
    "dead tissue; straw colored; bleached; not alive; tan and dry; no longer green"
)
HARMLESS = (
    "no leaks; no leak today; not wet; leaf not brown; nothing unusual; nothing to report; nothing odd; no remarks; none; no comment; "
    "fine; "
    "OK; good; great reading; first leaf of plant; upper leaf; full sun; in shade; third from top; cloudy; breezy; used chamber 2; "
    "cut at 13:02; gauge tapped; max temp 31 C; 40 cm tall; leaf 12 cm long; near stake 40; new tank of N2; nitrogen low; "
    "flag leaf; bubbles clear; clear endpoint; endpoint sharp; sap seen; drop at the xylem; wind max 40 km/h; "
    "no rain since Monday; n/a; -; tree 40; read twice, same value; plant has brown seed heads; dead branch above; old dead culms removed"
)


def _csv(case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(4, case, f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def _cells(seed: int, case: str, words: str, true: dict[str, Any]) -> Ugly:
    forms = words.split("; ")
    grid = _remarked(seed, {at: (form, "", true) for at, form in enumerate(forms)}, plants=len(forms) // 4 + 2)
    return _csv(case, grid)


def _remarks(seed: int, case: str, words: str, true: dict[str, Any]) -> Ugly:
    forms = words.split("; ")
    grid = _remarked(seed, {at: (None, form, true) for at, form in enumerate(forms)}, plants=len(forms) // 4 + 2)
    return _csv(case, grid)


def in_cells() -> list[Ugly]:
    """Bounds, words for a bound without its limit, and words for no value, in the cell of the reading."""
    return [
        _cells(421, "more bounds in cells", BOUNDS, BOUND),
        _cells(422, "more bounds without a limit", LIMITLESS, ASIDE),
        _cells(423, "more bounds from below", BELOW, ASIDE),
        _cells(424, "more words for no value", NO_VALUE, ASIDE),
    ]


def in_remarks() -> list[Ugly]:
    """Doubts, corrections, states of leaves and harmless words, in remarks beside an ordinary number."""
    return [
        _remarks(425, "more doubts in remarks", DOUBTED, DOUBT),
        _remarks(426, "more numbers taken back in remarks", TAKEN_BACK, DOUBT),
        _remarks(427, "more states of leaves in remarks", STATES, DOUBT),
        _remarks(428, "more harmless remarks", HARMLESS, {}),
    ]


def of_potentials() -> Ugly:
    """Bounds of potentials in MPa."""
    forms = POTENTIALS.split("; ")
    leaves = [leaf.but(number=round(leaf.number / 10, 2), unit="MPa") for leaf in a_class(429, plants=6)]
    limit = {"number": 4.0, "unit": "MPa", "endpoint": "not_reached"}
    true = [leaf.but(**limit) if at < len(forms) else leaf for at, leaf in enumerate(leaves)]
    grid = Grid().table(true, (*PLACE, ("LWP (MPa)", lambda leaf: f"-{leaf.number:.2f}")), 6)
    for at, form in enumerate(forms):
        grid.rows[at + 1][6] = form
    return _csv("more bounds of potentials", grid)


def with_units() -> list[Ugly]:
    """A bound in its own unit, in MPa and psi columns, and pressures above the bound of the chamber."""
    mpa = {"number": 4.0, "unit": "MPa", "endpoint": "not_reached"}
    psi = {"number": 580.0, "unit": "psi", "endpoint": "not_reached"}
    leaves = _remarked(430, {
        0: ("> 4.0 MPa", "", mpa),
        1: (">580 psi", "", psi),
        2: ("no bubbles by 580 psi", "", psi),
        3: ("580psi+", "", psi),
        4: ("maxed out at 4 MPa", "", mpa),
        5: ("4.0 MPa, no water", "", mpa),
        6: ("> 580 p.s.i.", "", psi),
        7: ("nothing at 580 PSI", "", psi),
        8: ("> 40 bars", "", BOUND),
        9: ("", "no water by 580 psi", psi),
        10: ("", "Off scale; > 4 MPa", mpa),
        11: ("-", "no endpoint, stopped at 40 bar", BOUND),
        12: ("NR", "maxed out at 40", BOUND),
        13: ("n/a", ">40", BOUND),
        14: ("see note", "no bubbles by 40", BOUND),
        15: ("", "over 40 bar", BOUND),
        16: ("", "40+", BOUND),
    })  # fmt: skip
    return [_csv("bounds in units of their own", leaves)]


def numbers_and_remarks() -> list[Ugly]:
    """A number against its remark, a remark that explains the number, the bound in the one and not in the other."""
    low = {"number": 17.5, "endpoint": "not_reached", "expect": "doubt"}  # others were taken further
    grid = _remarked(431, {
        0: (40, "maxed out", BOUND),
        1: (40, "no water", BOUND),
        2: (40, ">", BOUND),
        3: (40, "off gauge", BOUND),
        4: (40, "no bubbles seen", BOUND),
        5: (40, "gauge limit", BOUND),
        6: (40, "highest we could go, no endpoint", BOUND),
        7: (17.5, "never reached endpoint, quit", low),
        8: (17.5, "gave up, no water", low),
        9: (17.5, "no endpoint seen", low),
        10: (17.5, ">40", DOUBT),
        11: (17.5, "reads 18.5 on the sheet", {"number": 17.5} | DOUBT),
        12: (40, "exceeds the chamber", BOUND),
        13: (">40", "no water at 40", BOUND),
        14: (">40", "no bubbles by 35", DOUBT | BOUND),
        15: (40, "at max pressure", BOUND),
        16: (40, "did not bubble", BOUND),
        17: (40, "greater than", BOUND),
        18: (40, "not reached", BOUND),
    })  # fmt: skip
    return [_csv("numbers against their remarks", grid)]


def columns_of_their_own() -> list[Ugly]:
    """Endpoint and bound in columns: > before the number, flags, yes and no in other words."""
    leaves = a_class(432, plants=4)
    true = [leaf.but(number=40.0, endpoint="not_reached") if at in (2, 5, 9) else leaf for at, leaf in enumerate(leaves)]

    def said(yes: object, no: object) -> Column:
        return asked("Endpoint reached?", no, yes)

    def asked(header: str, yes: object, no: object) -> Column:
        return (header, lambda leaf: yes if leaf.endpoint == "not_reached" else no)

    made = []
    for yes, no in (
        ("Y", "N"),
        ("reached", "not reached"),
        ("X", None),
        ("1", "0"),
        ("TRUE", "FALSE"),
        ("x", "-"),
        ("bubbles", "no bubbles"),
    ):
        grid = Grid().table(true, (*PLACE, BAR, said(yes, no)), 6)
        unclear = no is None or no == "-"
        more: dict[str, Any] = {}
        if unclear:
            grid.truth = [each.but(expect="doubt") if each.leaf.endpoint == "not_reached" else each for each in grid.truth]
            more = {"is_hopeless": True}
        made.append(_csv(f"an endpoint column of {yes} and {no}", grid, **more))
    signs = Grid().table(true, (*PLACE, asked(">", ">", None), BAR), 7)
    return [
        *made,
        _csv("the sign of a bound in a column of its own", signs),
        *(
            _csv(f"a column of {header}", Grid().table(true, (*PLACE, BAR, asked(header, yes, no)), 6))
            for header, yes, no in (("Maxed out?", "yes", "no"), ("No endpoint", "x", None), ("Flag", ">max", None))
        ),
    ]


def leaf_columns() -> list[Ugly]:
    """The state of the leaf in columns of other names: dead? alive? % brown."""
    leaves = a_class(433)

    true = [leaf.but(expect="doubt") if at in (1, 4, 8) else leaf for at, leaf in enumerate(leaves)]
    made = []
    for header, yes, no in (
        ("Dead?", "yes", "no"),
        ("Dead (y/n)", "Y", "N"),
        ("Alive?", "no", "yes"),
        ("Leaf dead", "x", None),
        ("% brown", 90, 0),
        ("Leaf color", "brown", "green"),
        ("Green?", "N", "Y"),
        ("Senesced", "TRUE", "FALSE"),
        ("Use?", "no", "yes"),
        ("Valid", "N", "Y"),
        ("Include (y/n)", "n", "y"),
        ("Quality", "bad", "good"),
        ("OK?", "no", "yes"),
    ):
        grid = Grid().table(true, (DATE, TIME, SITE, TAXON, PLANT, LEAF, BAR, (header, lambda _: None)), 6)
        for row, leaf in zip(grid.rows[1:], true, strict=True):
            row[7] = yes if leaf.expect == "doubt" else no
        made.append(_csv(f"a column of {header}", grid))
    return made


def formulas_of_blanks() -> Ugly:
    """Zeros that formulas left for blanks, in readings and in whole rows below them."""
    leaves = a_class(434)
    true = [leaf.but(expect="aside") if at in (3, 7) else leaf for at, leaf in enumerate(leaves)]
    grid = Grid("Sheet1").table(true, (*PLACE, BAR), 6)
    for row in (4, 8):
        grid.rows[row][6] = 0
    for _ in range(4):
        grid.add([0, 0, 0, 0, 0, 0, 0])
    return Ugly(3, "rows of zeros from formulas", f"{NAME}.xlsx", xlsx_bytes(grid), tuple(grid.truth))


FILES = [
    in_cells,
    in_remarks,
    of_potentials,
    with_units,
    numbers_and_remarks,
    columns_of_their_own,
    leaf_columns,
    formulas_of_blanks,
]
