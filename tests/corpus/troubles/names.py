"""Names: sites and plants spelled many ways; what is alike is flagged, what is unknown is asked, what is another plant is never taken."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

from tests.corpus.places import SITES, TAXA
from tests.corpus.truth import BAR, DATE, LEAF, PLANT, SITE, TIME, USUAL, Column, Grid, Leaf, Ugly, a_class
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"
TAXON_ASKED, SITE_ASKED = frozenset({"taxon_unknown"}), frozenset({"site_unknown"})


def named(
    leaves: Sequence[Leaf], *, site: Mapping[str, Sequence[str]] | None = None, taxon: Mapping[str, Sequence[str]] | None = None
) -> Grid:
    """The plain table with names written in turns as listed by code."""
    counted: dict[str, int] = {}

    def turn(code: str, forms: Mapping[str, Sequence[str]] | None, plain: Mapping[str, str]) -> str:
        if not forms or code not in forms:
            return plain.get(code, code)
        counted[code] = counted.get(code, -1) + 1
        return forms[code][counted[code] % len(forms[code])]

    where: Column = ("Site", lambda leaf: turn(leaf.site, site, SITES))
    what: Column = ("Species", lambda leaf: turn(leaf.taxon, taxon, TAXA))
    return Grid().table(leaves, (DATE, TIME, where, what, PLANT, LEAF, BAR), 6)


def _csv(case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(6, case, f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def sites() -> list[Ugly]:
    """Case, spaces, invisible marks, accents, codes, aliases and typing mistakes of sites."""
    leaves = a_class(601, sites=("ridge", "canada"), plants=6)
    forms = {
        "ridge": [
            "Ridge Top ",
            "ridge top",
            "RIDGE TOP",
            "Ridge\u00a0Top",
            "Ridge-Top",
            "ridge",
            "Ridge\u200bTop",
            "\u200fRidge Top",
            "  Ridge  Top",
            "Ridge_Top",
            "upper site",
            "RidgeTop",
        ],
        "canada": ["Cañada Baja", "Canada Baja", "Can\u0303ada Baja", "CAÑADA BAJA", "canada", "cañada baja\t", "Cañada\u2009Baja"],
    }
    typos = named(leaves, site={"ridge": ["Ridge Top", "Ridge Tpo", "Rigde Top"], "canada": ["Cañada Baja", "Cañada Baha"]})
    unknown = named(leaves, site={"ridge": ["Ridge Top", "Hill 4"]})
    numbered = [leaf.but(site="ridge") for leaf in a_class(602)]
    sites_numbered = named(numbered, site={"ridge": ["Ridge Top", "Ridge Top 2"]})
    group = named(leaves, site={"ridge": ["upland"], "canada": ["lowland"]})
    return [
        _csv("sites spelled many ways", named(leaves, site=forms)),
        _csv("sites mistyped", typos),
        _csv("one unknown site", unknown, asks=SITE_ASKED, answers=("names.site.Hill 4=ridge",)),
        _csv("a numbered site is another site", sites_numbered, asks=SITE_ASKED, is_hopeless=True),
        _csv("positions instead of sites", group, asks=SITE_ASKED, answers=("names.site.upland=ridge", "names.site.lowland=canada")),
    ]


def plants() -> list[Ugly]:
    """Codes, common names, authors, abbreviations, old names, typing mistakes."""
    leaves = a_class(603, taxa=("ange", "scsc", "quma"), plants=7)
    forms = {
        "ange": [
            "A. gerardii",
            "ANGE",
            "big bluestem",
            "Big Bluestem ",
            "Andropogon gerardii Vitman",
            "andropogon gerardii",
            "Andropogon  gerardii",
            "A.gerardii",
            "ange.",
            "Andropogon gerardi",
            "BIG BLUESTEM",
            "Andropogon\u00a0gerardii",
            "Big-bluestem",
            "Andropogon gerardii (big bluestem)",
        ],
        "scsc": [
            "SCSC",
            "little bluestem",
            "S. scoparium",
            "Schizachyrium scoparium (Michx.) Nash",
            "Andropogon scoparius",
            "Schizachyrium scoparius",
        ],
        "quma": ["bur oak", "Bur Oak", "Q. macrocarpa", "QUMA", "Quercus macrocarpa Michx.", "Quercus macrocarpa var. depressa"],
    }
    typos = {
        "ange": ["Andropogon gerardii", "Andropogn gerardii", "Andropogon gerradii"],
        "scsc": ["Schizachyrium scoparium", "Schizachirium scoparium"],
    }
    return [
        _csv("plants spelled many ways", named(leaves, taxon=forms)),
        _csv("plants mistyped", named(leaves, taxon=typos)),
    ]


def other_plants() -> list[Ugly]:
    """Names that look like one of ours and are another's: never taken without asking."""
    made = []
    for written, like in (
        ("Panicum scoparium", "scsc"),
        ("Andropogon virginicus", "ange"),
        ("Elymus virginicus", "elca"),
        ("Elymus smithii", "pasm"),
        ("Rhus aromatica", "rhgl"),
        ("Quercus marilandica", "quma"),
        ("Andropogon gerardii x hallii", "ange"),
        ("P. scoparium", "scsc"),
        ("Quercus sp.", "quma"),
        ("Q. m.", "quma"),
        ("bluestem", "ange"),
        ("oak", "quma"),
        ("grass", "ange"),
        ("Big bluestem / little bluestem", "ange"),
        ("ANGE, SCSC", "ange"),
        ("ANGE/RHGL", "ange"),
        ("not ANGE", "ange"),
        ("unknown", "ange"),
        ("?", "ange"),
        ("QUMX", "quma"),
        ("Quercus", "quma"),
        ("smooth dogwood", "rhgl"),
    ):
        leaves = [
            leaf.but(expect="aside") if leaf.taxon == like and leaf.plant == "2" else leaf
            for leaf in a_class(604, taxa=(like, "rhgl" if like != "rhgl" else "ange"))
        ]
        grid = Grid().table(
            leaves,
            (
                DATE,
                TIME,
                SITE,
                ("Species", partial(_unless_set_aside, written)),
                PLANT,
                LEAF,
                BAR,
            ),
            6,
        )
        made.append(_csv(f"another plant: {written}", grid, asks=TAXON_ASKED, answers=(f"names.taxon.{written}=set aside",)))
    return made


def _unless_set_aside(written: str, leaf: Leaf) -> str:
    return written if leaf.expect == "aside" else TAXA.get(leaf.taxon, leaf.taxon)


def tags() -> list[Ugly]:
    """Plants and leaves tagged by letters, words, both in one cell; numbers that a program made decimal."""
    leaves = a_class(605, leaves=2)
    words = Grid().table(
        leaves, (*USUAL[:4], ("Plant", lambda leaf: f"Plant {leaf.plant}"), ("Leaf", lambda leaf: f"L{leaf.leaf}"), BAR), 6
    )
    joined = Grid().table([leaf.but(plant=leaf.leaf, leaf="") for leaf in leaves], (*USUAL[:4], ("Plant", lambda _: None), BAR), 5)
    for row, leaf in zip(joined.rows[1:], leaves, strict=True):
        row[4] = f"{leaf.plant}-{leaf.leaf}"
    decimal = Grid("Sheet1").table(
        leaves, (*USUAL[:4], ("Plant", lambda leaf: float(leaf.plant)), ("Leaf", lambda leaf: float(leaf.leaf)), BAR), 6
    )
    return [
        _csv("tags in words", words),
        _csv("plant and leaf in one tag", joined),
        Ugly(6, "tags made decimal", f"{NAME}.xlsx", xlsx_bytes(decimal), tuple(decimal.truth)),
    ]


FILES = [sites, plants, other_plants, tags]
