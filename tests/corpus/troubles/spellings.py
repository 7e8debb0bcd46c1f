"""Names as they are typed: slips, marks that nobody sees, codes with numbers, two plants in a cell, plants that are nobody's."""

from __future__ import annotations

from typing import Any

from tests.corpus.places import SITES, TAXA
from tests.corpus.troubles.names import named
from tests.corpus.truth import DATE, LEAF, TIME, USUAL, Grid, Ugly, a_class
from tests.corpus.writing import csv_bytes, xlsx_bytes

NAME = "Fall 2024 Section A"
TAXON_ASKED, SITE_ASKED = frozenset({"taxon_unknown"}), frozenset({"site_unknown"})


def _csv(case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(6, case, f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def sites() -> list[Ugly]:
    """Slips of one or two letters, words around the name, letters of another alphabet; parts and neighbours of a site are asked."""
    leaves = a_class(1601, sites=("ridge", "bench", "draw"), plants=5)
    slips = {
        "ridge": ["Ridge  Tp", "Rigde Top", "ridgetop", "Ridge Topp", "RIDGE-TOP."],
        "bench": ["Limestone Bnech", "Limstone Bench", "Lime stone bench", "limestone bench ", "Limestone_Bench"],
        "draw": ["Creek Darw", "Creek\u00adDraw", "\u202bCreek Draw\u202c", "Ｃｒｅｅｋ Ｄｒａｗ", "\ufeffCreek Draw"],
    }
    other = {"ridge": ["Ridge Top", "Ridge \u0422\u043ep"], "draw": ["Creek Draw", "creek\u00a0\u00a0draw"]}  # two letters are Cyrillic
    made = [_csv("sites with slips and marks", named(leaves, site=slips)), _csv("a site in two alphabets", named(leaves, site=other))]
    for text in ("Top", "Ridge Top / Limestone Bench", "Ridge Top 2", "R", "near Creek Draw", "Creek Bench", "upland?"):
        some = [leaf.but(expect="aside") if leaf.plant == "1" else leaf for leaf in a_class(1602, sites=("ridge", "draw"))]
        grid = Grid().table(some, USUAL, 6)
        for row, leaf in zip(grid.rows[1:], some, strict=True):
            row[2] = text if leaf.expect == "aside" else SITES[leaf.site]
        made.append(_csv(f"a site that is none: {text}", grid, asks=SITE_ASKED, answers=(f"names.site.{text}=set aside",)))
    once = named(a_class(1603), site={"ridge": ["the top", "THE TOP"], "draw": ["Creek Draw"]})
    made.append(_csv("an unknown site in two spellings, answered once", once, asks=SITE_ASKED, answers=("names.site.the top=ridge",)))
    return made


def plants() -> list[Ugly]:
    """Authors, qualifiers, numbers behind codes, old names under other authors, words of the class around the name."""
    leaves = a_class(1604, taxa=("ange", "scsc", "pasm", "quma"), plants=6)
    forms = {
        "ange": [
            "Andropogon gerardii Vitman",
            "ANDROPOGON GERARDII",
            "Andropogon_gerardii",
            "A. gerardii Vitm.",
            "big blue stem",
            "Andropogon gerardii  ",
        ],
        "scsc": [
            "Schizachyrium scoparium",
            "Andropogon scoparius Michx.",
            "Schizachyrium scoparium var. scoparium",
            "Little Bluestem.",
            "scsc",
            "Schizachyrum scoparium",
        ],
        "pasm": [
            "Agropyron smithii Rydb.",
            "Pascopyrum smithii (Rydb.) Á. Löve",
            "western wheat grass",
            "Western wheatgrass",
            "PASM ",
            "P. smithii",
        ],
        "quma": ["Quercus macrocarpa", "Bur\u00a0oak", "bur-oak", "Q.macrocarpa", "Quercus  macrocarpa Michx", "QUMA"],
    }
    codes = named(a_class(1605), taxon={"ange": ["ANGE-1", "ANGE 2", "ANGE3"]})
    codes.truth = [truth if truth.leaf.taxon != "ange" else truth.but(expect="aside") for truth in codes.truth]
    answers = tuple(f"names.taxon.{text}=set aside" for text in ("ANGE-1", "ANGE 2", "ANGE3"))
    return [
        _csv("plants with authors and slips", named(leaves, taxon=forms)),
        _csv("codes with a number", codes, asks=TAXON_ASKED, answers=answers),
    ]


def strangers() -> list[Ugly]:
    """What could be taken for one of our plants and must not be: two in a cell, another's epithet, a group, a hybrid, a doubt."""
    made = []
    for at, texts in enumerate(
        (
            (
                "Andropogon gerardii Schizachyrium",
                "Andropogon gerardii Vitman & Schizachyrium scoparium",
                "Andropogon gerardii Or Little Bluestem",
            ),
            ("ANGE + SCSC", "ANGE & RHGL", "ANGE\nSCSC", "ange;scsc", "A. gerardii/S. scoparium", "big and little bluestem"),
            ("Andropogon smithii", "Elytrigia smithii", "Quercus glabra", "Schizachyrium gerardii", "Rhus scoparia", "Panicum scoparius"),
            ("grass", "grasses", "C4 grass", "grass sp.", "unknown grass", "Poaceae", "mixed"),
            ("cf. Andropogon gerardii", "Andropogon gerardii?", "ANGE?", "Andropogon sp.", "Andropogon spp", "not big bluestem"),
            ("sand bluestem", "silver bluestem", "eastern wheatgrass", "red oak", "white oak", "fragrant sumac"),
            ("Andropogon × gerardii", "Quercus × bebbiana", "Quercus macrocarpa × alba", "Andropogon gerardii subsp. hallii"),
            ("Quercus microcarpa", "Andropogon gerardi x scoparius", "Rhus glabra & typhina", "Q. m", "A. g.", "AG"),
        )
    ):
        leaves = a_class(1610 + at, taxa=("ange", "rhgl"), plants=len(texts))
        spelled = iter(texts)
        some = [leaf.but(expect="aside") if leaf.taxon == "ange" and leaf.site == "ridge" else leaf for leaf in leaves]
        shown = [next(spelled) if leaf.expect == "aside" else TAXA[leaf.taxon] for leaf in some]
        grid = Grid().table(some, USUAL, 6)
        for row, text in zip(grid.rows[1:], shown, strict=True):
            row[3] = text
        answers = tuple(f"names.taxon.{text}=set aside" for text in texts)
        made.append(_csv(f"no plant of ours: {', '.join(texts[:3])}", grid, asks=TAXON_ASKED, answers=answers))
    return made


def tags() -> list[Ugly]:
    """Tags of plants that hold the plant's code, the class's initials, a colour, a letter; the same number on two sites."""
    leaves = a_class(1606, leaves=2)
    initials = Grid().table(
        [leaf.but(plant="", leaf=leaf.leaf) for leaf in leaves],
        (*USUAL[:4], ("Plant", lambda _: ""), LEAF, USUAL[6], ("Observer", lambda _: "")),
        6,
    )
    for row, leaf in zip(initials.rows[1:], leaves, strict=True):
        who = "JK" if int(leaf.plant) % 2 else "AV"
        row[4], row[7] = f"{who}{leaf.plant}", who
    initials.truth = [truth.but(plant=leaf.plant) for truth, leaf in zip(initials.truth, leaves, strict=True)]
    owners = Grid().table([leaf.but(plant=leaf.plant) for leaf in leaves], (*USUAL[:4], ("Plant", lambda _: ""), LEAF, USUAL[6]), 6)
    for row, leaf in zip(owners.rows[1:], leaves, strict=True):
        row[4] = f"{('Zabreth', 'Vexley', 'Mornwick')[int(leaf.plant) - 1]} {leaf.plant}"
    alone = [leaf.but(plant="", leaf="1") for leaf in leaves if leaf.leaf == "1"]
    named_alone = Grid().table(alone, (*USUAL[:4], ("Plant", lambda _: ""), LEAF, USUAL[6]), 6)
    for at, row in enumerate(named_alone.rows[1:]):
        row[4] = ("Zabreth", "Vexley", "Mornwick")[at % 3]
    named_alone.truth = [truth.but(plant="") for truth in named_alone.truth]
    numbers = Grid("Sheet1").table(
        leaves,
        (DATE, TIME, *USUAL[2:4], ("Plant", lambda leaf: f"#{leaf.plant}"), ("Leaf", lambda leaf: "ab"[int(leaf.leaf) - 1]), USUAL[6]),
        6,
    )
    numbers.truth = [truth.but(leaf="ab"[int(truth.leaf.leaf) - 1]) for truth in numbers.truth]
    return [
        _csv("tags of observers' initials", initials),
        _csv("tags of owners' names and numbers", owners, hides=("Zabreth", "Vexley", "Mornwick")),
        Ugly(6, "tags with signs and letters", f"{NAME}.xlsx", xlsx_bytes(numbers), tuple(numbers.truth)),
    ]


FILES = [sites, plants, strangers, tags]
