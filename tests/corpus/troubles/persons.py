"""More people, all invented: names in every order and alphabet, in headers, tags, answers and cells that are asked about."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tests.corpus.truth import USUAL, Cell, Column, Grid, Leaf, Ugly, a_class
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"


def _csv(case: str, grid: Grid, name: str = NAME, **more: Any) -> Ugly:
    return Ugly(8, case, f"{name}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def _with(header: str, cells: Sequence[Cell], leaves: Sequence[Leaf], *more: Column) -> Grid:
    turn = iter([cells[at % len(cells)] for at in range(len(leaves))])
    return Grid().table(leaves, (*USUAL, (header, lambda _: next(turn)), *more), 6)


WORLD = (
    "Zabreth, Quillon",
    "Vexley O.",
    "Łukasz Żółciński",
    "Yseult D'Arcanville",
    "Anne-Maríe Thistlewick",
    "Ngọc Ánh Đoàn",
    "李 明轩",
    "Мария Звездина",
)
HIDDEN = ("Zabreth", "Quillon", "Vexley", "ółci", "Arcanville", "Thistlewick", "Ngọc", "Đoàn", "明轩", "Звездин")
REMARKS = (
    "Zabreth, Quillon took over",
    "w/ O'Vexley",
    "thanks Łukasz!",
    "Anne-Maríe's leaf",
    "see 李 明轩",
    "звонить Марии Звездиной",
    "q.zabreth(at)school.example",
    "id 800-12-3456",
    "A00123456 recut",
    "tel +1 (555) 014-2778",
    "12-345-678 wrote this",
    "@qzabreth knows",
    "per Mr. Brown",
    "asked Dr Green",
    "White's leaf",
    "Will Hill and May Rose",
    "by Sandy Brook",
    "Forrest read it",
    "(Summer)",
    "QZ + OV",
)
WORDS = (
    "Brown",
    "Dr Green",
    "White",
    "Rose",
    "Sandy",
    "Forrest",
    "Summer",
    "Zabreth",
    "Quillon",
    "Vexley",
    "ukasz",
    "明轩",
    "Звезд",
    "555",
    "800-12",
    "00123456",
    "345-678",
    "QZ",
)


def columns() -> list[Ugly]:
    """Columns of people under headers that speak of something else too."""
    leaves = a_class(1801)
    made = [
        _csv(f"people of the world under {header}", _with(header, WORLD, leaves), hides=HIDDEN)
        for header in ("Observer", "Recorder/Reader")
    ]
    for header in (
        "Leaf cutter",
        "Who read the pressure?",
        "Pressure read by",
        "Site leader",
        "Plant person",
        "Time keeper",
        "Bomb operator",
        "Name of person cutting",
        "Data entered by",
        "Scribe",
        "NetID",
        "Crew",
    ):
        made.append(
            _csv(f"people under {header}", _with(header, ("Zabreth", "Oriana Vexley", "QZ"), leaves), hides=("Zabreth", "Vexley", "QZ"))
        )
    without_leaf = [leaf.but(leaf="") for leaf in leaves]
    cutter = Grid().table(without_leaf, (*USUAL[:5], ("Leaf cutter", lambda leaf: "QZ" if leaf.plant == "1" else "OV"), USUAL[6]), 6)
    made.append(_csv("initials under Leaf cutter, and no leaf", cutter, hides=("QZ",)))
    numbered = _with("Student", ("800-12-3456", "80012-3457", "S-8001-2345", "u8001239"), leaves)
    made.append(_csv("student numbers with dashes", numbered, hides=("800-12", "80012", "8001-2345", "8001239")))
    return made


def remarks() -> list[Ugly]:
    """Names in remarks that are also words, names of all alphabets, numbers with dashes, addresses without a sign."""
    leaves = a_class(1802, plants=5)
    return [_csv("people in remarks, many ways", _with("Remarks", REMARKS, leaves), hides=WORDS)]


def elsewhere() -> list[Ugly]:
    """Names where the table itself stands: headers, sheets, files, answers, units, windows, endpoints, chambers, sections."""
    leaves = a_class(1803)
    header = Grid().table(leaves, (*USUAL[:6], ("Zabreth pressure (bar)", lambda leaf: leaf.number), ("Vexley notes", lambda _: "fine")), 6)
    rivals = Grid().table(
        leaves, (*USUAL[:6], ("Zabreth (bar)", lambda leaf: leaf.number), ("Vexley (bar)", lambda leaf: leaf.number + 1)), 6
    )
    sheets = [Grid("Q. Zabreth").table(leaves[:6], USUAL, 6), Grid("Vexley's data").table(leaves[6:], USUAL, 6)]
    observed = _with("Observer", ("Quillon Zabreth", "Oriana Vexley"), leaves)
    asked = _with(
        "Observer", ("Quillon Zabreth", "Oriana Vexley"), [leaf.but(expect="aside") if at == 4 else leaf for at, leaf in enumerate(leaves)]
    )
    asked.rows[5][2] = "Zabreth's spot"
    fields = _with("Endpoint", ("seen", "ask Zabreth"), leaves, ("Chamber", lambda _: "Vexley's"), ("Window", lambda _: "midday"))
    fields.truth = [truth if at % 2 == 0 else truth.but(expect="doubt") for at, truth in enumerate(fields.truth)]
    cells = _with("Unit", ("bar",), [leaf.but(expect="aside") if at in (1, 2, 3) else leaf for at, leaf in enumerate(leaves)])
    cells.rows[2][6], cells.rows[3][0], cells.rows[4][7] = "Zabreth has it", "Vexley 9/17", "Zabreths"
    cells.rows[0][6] = "Pressure"
    words = _with(
        "Observer", ("Will Hill", "May Leaf", "Rose Bar", "Sandy Ridge"), leaves, ("Remarks", lambda _: "Hill and Leaf read, will ask Rose")
    )
    titled = Grid().add(["Section A: Zabreth/Vexley (TA: Th. Mornwick)"], ["Entered 9/17/2024 by O.V. <o.vexley@school.example>"], [])
    titled.table(leaves, USUAL, 6).add([], ["* QZ says gauge sticks; Mornwick disagrees"])
    commented = Grid("Data").table(leaves, USUAL, 6)

    def comment(book: Any) -> None:
        from openpyxl.comments import Comment
        from openpyxl.workbook.defined_name import DefinedName

        sheet = book["Data"]
        sheet["G2"].comment = Comment("checked by Zabreth", "Oriana Vexley")
        sheet.oddHeader.left.text, book.properties.creator = "Zabreth's class", "Oriana Vexley"
        book.defined_names["Zabreth"] = DefinedName("Zabreth", attr_text="Data!$A$1:$G$13")

    hides = ("Zabreth", "Vexley")
    return [
        _csv("people in headers without a by", header, hides=hides),
        _csv("readings of two people side by side", rivals, is_hopeless=True, asks=frozenset({"column_unclear", "label_unknown"})),
        Ugly(8, "sheets by people", f"{NAME}.xlsx", xlsx_bytes(*sheets), (*sheets[0].truth, *sheets[1].truth), hides=hides),
        _csv(
            "people in the file's name, many ways",
            observed,
            "Zabreth_Q & o.vexley - Fall 2024 Section A (800-12-3456)",
            hides=(*hides, "800-12"),
        ),
        _csv(
            "a person's spot that is asked about",
            asked,
            asks=frozenset({"site_unknown"}),
            answers=("names.site.Zabreth's spot=set aside",),
            hides=hides,
        ),
        _csv("people in endpoints and chambers", fields, hides=hides),
        _csv("people in cells that cannot be read", cells, hides=hides),
        _csv("observers whose names are words", words, hides=("Will", "Rose", "Sandy", "Hill and")),
        _csv("people in titles and footnotes", titled, hides=(*hides, "Mornwick", "O.V.", "QZ")),
        Ugly(
            8,
            "people in comments, headers and properties",
            f"{NAME}.xlsx",
            xlsx_bytes(commented, shape=comment),
            tuple(commented.truth),
            hides=hides,
        ),
    ]


FILES = [columns, remarks, elsewhere]
