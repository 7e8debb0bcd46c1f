"""What a rushed class leaves to its remarks, and columns under names of their own: bounds, second numbers, doubts, comments on cells."""

from __future__ import annotations

from datetime import date
from typing import Any

from tests.corpus.places import SITES, TAXA
from tests.corpus.troubles.bounds import BOUND, DOUBT, _remarked
from tests.corpus.truth import BAR, DATE, LEAF, PLACE, PLANT, SITE, TAXON, TIME, USUAL, Column, Grid, Leaf, Ugly, a_class, usual
from tests.corpus.writing import csv_bytes, ods_bytes, with_member, xlsx_bytes

NAME = "Fall 2024 Section A"
BOUNDS = (
    "never saw bubbles, stopped at 40; pumped to 40 still nothing; couldn't get it to bubble; limit of gauge; didnt see anything; no bub; "
    "no bubs @ 40; NB; DNB; NEP; no ep; no H2O; topped out; ran out of gas at 40, no bubbles; quit at 40, dry; nothing happened; max"
)
DOUBTED = (
    "blew out; shot out of the gasket; air bubbles from the seal not the leaf; lost it; leaf sat 20 min before reading; "
    "squished the midrib; bumped the gauge; needle stuck, tapped it; number smudged; could be little bluestem; mixed up the bags;"
    " cut half an hour ago; "
    "this can't be right; bubbles right away; already bubbling; toss; redone; brk; don't trust this number"
)
UNREAD = "zzt; chickened out; SN; hm odd; second try; leaf was kinda meh; did it bubble??"
FINE = (
    "windy; slow, steady pressure rise; lovely day, first drop clear to see; needed a fresh razor blade; max light; no issues; "
    "almost slipped; healthy, no brown; redone, same; plant 12 leaf 2; sunny, leaf 23 cm; cut at 13:05;"
    " temp was 24 C; took forever; nothing unusual"
)


def _csv(trouble: int, case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(trouble, case, f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def _each(seed: int, case: str, words: str, true: dict[str, Any], **more: Any) -> Ugly:
    """Each remark beside a number as high as any, so that a bound is not in doubt."""
    forms = words.split("; ")
    grid = _remarked(seed, {at: (40, form, {"number": 40.0} | true) for at, form in enumerate(forms)}, plants=len(forms) // 4 + 2)
    return _csv(4, case, grid, **more)


def in_remarks() -> list[Ugly]:
    """Bounds and doubts in a hurry's words; what is not understood is shown; what is plain is left alone."""
    other = _remarked(462, {
        0: (18, "redo: 22", {"number": 18.0} | DOUBT),
        1: (18, "second try 21", {"number": 18.0} | DOUBT),
        2: (18, "repeat gave 17", {"number": 18.0} | DOUBT),
        3: (18, "bubbles at 14", {"number": 18.0} | DOUBT),
        4: (18, "250 psi", {"number": 18.0} | DOUBT),
        5: (18, "psi?", {"number": 18.0} | DOUBT),
        6: (18, "19", {"number": 18.0} | DOUBT),
        7: (18, "she saw it bubble at 15", {"number": 18.0} | DOUBT),
        8: (18, "bubbled at 18", {"number": 18.0}),
        9: (18, "no bubbles until 18", {"number": 18.0}),
        10: (18, "nothing until 18 then lots", {"number": 18.0}),
        11: (18, "1.8 MPa", {"number": 18.0}),
        12: (18, "max temp 31 C", {"number": 18.0}),
        13: (18, "2nd leaf, 20 cm long", {"number": 18.0}),
    })  # fmt: skip
    return [
        _each(460, "bounds in a hurry's remarks", BOUNDS, BOUND),
        _each(461, "doubts in a hurry's remarks", DOUBTED, DOUBT),
        _csv(4, "remarks that name another number", other),
        _each(463, "remarks that nobody understands", UNREAD, {}, says=("the remark is not understood",)),
        _each(464, "remarks that say nothing of the reading", FINE, {}),
    ]


def beside_numbers() -> Ugly:
    """Words and marks behind the number of a cell."""
    written = {0: "19 (dead)", 1: "24 slipped", 2: "18*", 3: "20ish", 4: "maybe 19", 5: "18.5 ± 0.5"}
    grid = _remarked(
        465, {at: (cell, "", {"number": float(cell.removeprefix("maybe ")[:2]) + (at == 5) / 2} | DOUBT) for at, cell in written.items()}
    )
    return _csv(4, "words and marks behind the number", grid)


def comments() -> list[Ugly]:
    """Comments on cells of a workbook or an OpenDocument sheet are remarks of their rows, and name nobody."""
    grid = usual(a_class(466), "Sheet1")
    grid.truth = [true.but(expect="doubt") if at in (1, 4) else true for at, true in enumerate(grid.truth)]

    def commented(book: Any) -> None:
        from openpyxl.comments import Comment

        book["Sheet1"]["G3"].comment = Comment("Odile Quarrington:\nleaf slipped", "Odile Quarrington")
        book["Sheet1"]["C6"].comment = Comment("Yoram says recut", "Odile Quarrington")

    said = (
        '<office:annotation xmlns:dc="http://purl.org/dc/elements/1.1/">'
        "<dc:creator>Odile Quarrington</dc:creator><text:p>leaf slipped</text:p>"
    )
    leaves = [leaf.but(expect="doubt") if at == 1 else leaf for at, leaf in enumerate(a_class(476))]
    noted = Grid("Sheet1").table(leaves, (*USUAL, ("Shade", lambda leaf: "some" if leaf.expect == "doubt" else None)), 6)
    annotated = with_member(
        ods_bytes(noted), "content.xml", lambda text: text.replace("<text:p>some<", f"{said}</office:annotation><text:p>some<")
    )
    more: dict[str, Any] = {"says": ("comments on cells",), "hides": ("Odile", "Quarrington", "Yoram")}
    return [
        Ugly(4, "comments on cells", f"{NAME}.xlsx", xlsx_bytes(grid, shape=commented), tuple(grid.truth), **more),
        Ugly(4, "comments on cells of an open document", f"{NAME}.ods", annotated, tuple(noted.truth), **more),
    ]


def odd_columns() -> list[Ugly]:
    """Columns whose header says little, or something else: their cells tell what they hold."""
    leaves = a_class(467)
    true = [leaf.but(expect="doubt") if at == 3 else leaf for at, leaf in enumerate(leaves)]
    happened: Column = ("stuff that happened", lambda leaf: "popped out" if leaf.expect == "doubt" else None)
    bounds = [leaf.but(number=40.0, endpoint="not_reached") if at in (2, 7) else leaf for at, leaf in enumerate(leaves)]
    seen: Column = ("Bubbles seen", lambda leaf: "none" if leaf.endpoint == "not_reached" else "few")
    full: Column = ("Max?", lambda leaf: "x" if leaf.endpoint == "not_reached" else None)
    codes: Column = ("Plant", lambda leaf: {"ange": "ANGE", "rhgl": "RHGL"}[leaf.taxon])
    place: Column = ("hmm", lambda leaf: SITES[leaf.site])
    common: Column = ("Common name", lambda leaf: "smooth sumac" if (leaf.taxon == "rhgl") != (leaf.expect == "doubt") else "big bluestem")
    when: Column = ("When did you take the reading? (date)", lambda leaf: leaf.day)
    clock: Column = ("What time did you take the reading?", TIME[1])
    return [
        _csv(2, "remarks under a name of their own", Grid().table(true, (*USUAL, happened), 6)),
        _csv(6, "two columns of names that disagree", Grid().table(true, (*PLACE, BAR, common), 6)),
        _csv(4, "a column of bubbles seen", Grid().table(bounds, (*USUAL, seen), 6)),
        _csv(4, "a column of Max?", Grid().table(bounds, (*USUAL, full), 6)),
        _csv(
            6,
            "plants' names under Plant, sites under anything",
            Grid().table(leaves, (DATE, TIME, place, codes, ("Ind.", PLANT[1]), LEAF, BAR), 6),
        ),
        _csv(5, "a form that asks when", Grid().table(leaves, (when, clock, SITE, TAXON, PLANT, LEAF, BAR), 6)),
    ]


def parted() -> list[Ugly]:
    """Dates, clocks and names split over columns; a column for each chamber; windows with their hours in brackets."""
    leaves = a_class(468)
    days: tuple[Column, ...] = (
        ("Month", lambda leaf: leaf.day.month),
        ("Day", lambda leaf: leaf.day.day),
        ("Year", lambda leaf: leaf.day.year),
    )
    clock: tuple[Column, ...] = (("Hr", lambda leaf: int(leaf.clock[:2])), ("Min", lambda leaf: int(leaf.clock[3:])))
    names: tuple[Column, ...] = (("Genus", lambda leaf: TAXA[leaf.taxon].split()[0]), ("Species", lambda leaf: TAXA[leaf.taxon].split()[1]))
    split = Grid().table(leaves, (*days, *clock, SITE, *names, PLANT, LEAF, BAR), 10)
    chambers = Grid().add([name for name, _ in PLACE] + ["Chamber 1 (bar)", "Chamber 2 (psi)"])
    for at, leaf in enumerate(a_class(469)):
        other = leaf.but(number=10.0 * round(leaf.number * 1.45), unit="psi")
        true = other if at % 3 == 1 else leaf
        chambers.rows.append([value(leaf) for _, value in PLACE] + ([None, true.number] if true is other else [true.number, None]))
        chambers.note(true, 7 if true is other else 6)
    windows = Grid().add(["Creek Draw, 17 September 2024, bar"], ["Species", "Plant", "Predawn (5-6 am)", "Midday (1-2 pm)"])
    for early, late in zip(a_class(470, sites=("draw",), window="predawn"), a_class(471, sites=("draw",)), strict=True):
        windows.rows.append([TAXA[early.taxon], early.plant, early.number, late.number])
        windows.note(early.but(clock="", leaf=""), 2)
        windows.note(late.but(clock="", leaf=""), 3)
    return [
        _csv(5, "dates, clocks and names in parts", split),
        _csv(3, "a column for each chamber", chambers),
        _csv(2, "windows with their hours in brackets", windows),
    ]


def units_and_signs() -> list[Ugly]:
    """No unit but the chamber's; grouped thousands among others; a day of another year."""
    leaves = [leaf.but(number=10.0 * round(leaf.number * 1.45), unit="psi") if at % 2 else leaf for at, leaf in enumerate(a_class(472))]
    chamber: Column = ("Chamber", lambda leaf: "chamber 2" if leaf.unit == "psi" else "chamber 1")
    of_chamber = Grid().table(leaves, (*PLACE, ("Reading", BAR[1]), chamber), 6)
    kilo = [leaf.but(number=leaf.number * 100, unit="kPa") for leaf in a_class(473)]
    grouped = Grid().table(kilo, (*PLACE, ("P (kPa)", lambda leaf: f"{leaf.number:,.0f}")), 6)
    stray = [
        leaf.but(day=date(2023, 9, 17), semester="2023-fall", expect="doubt") if at == 4 else leaf for at, leaf in enumerate(a_class(474))
    ]
    return [
        _csv(3, "the unit is the chamber's", of_chamber, asks=frozenset({"unit_missing"}), answers=("reading.unit=chamber",)),
        _csv(3, "grouped thousands of kPa", grouped),
        Ugly(5, "a day of another year", "readings section a.csv", csv_bytes(usual(stray).rows), tuple(usual(stray).truth)),
    ]


def owners() -> Ugly:
    """A plant called after the person who found it is asked about without the name."""
    leaves: list[Leaf] = a_class(475)
    grid = usual(leaves)
    for row in grid.rows[-3:]:
        row[3] = "Zabreth's oak"
    grid.truth = grid.truth[:-3] + [true.but(expect="aside") for true in grid.truth[-3:]]
    return _csv(8, "a plant with its finder's name", grid, asks=frozenset({"taxon_unknown"}), hides=("Zabreth",), is_hopeless=True)


FILES = [in_remarks, beside_numbers, comments, odd_columns, parted, units_and_signs, owners]
