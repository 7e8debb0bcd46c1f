"""Sections and the columns themselves under other names."""

from __future__ import annotations

from typing import Any

from tests.corpus.truth import USUAL, Grid, Ugly, a_class
from tests.corpus.writing import csv_bytes

NAME = "Fall 2024 Section A"
TAXON_ASKED, SITE_ASKED = frozenset({"taxon_unknown"}), frozenset({"site_unknown"})


def _csv(case: str, grid: Grid, **more: Any) -> Ugly:
    return Ugly(6, case, f"{NAME}.csv", csv_bytes(grid.rows), tuple(grid.truth), **more)


def sections() -> list[Ugly]:
    """Sections and semesters spelled many ways, and those that are not in the registers."""
    leaves = [leaf.but(section="ab"[at % 2]) for at, leaf in enumerate(a_class(606))]
    forms = {"a": ("A", "a", "Section A", "sec. A", "Lab A", "SECTION a"), "b": ("B", "b", "section B", "Sec B", "lab b", "Section b ")}
    spelled = Grid().table(leaves, (("Section", lambda leaf: forms[leaf.section][leaves.index(leaf) // 2]), *USUAL), 7)
    unknown = Grid().table(a_class(607), (("Section", lambda _: "C"), *USUAL), 7)
    return [
        Ugly(6, "sections spelled many ways", "Fall 2024.csv", csv_bytes(spelled.rows), tuple(spelled.truth)),
        Ugly(
            6,
            "unknown section",
            "Fall 2024.csv",
            csv_bytes(unknown.rows),
            tuple(unknown.truth),
            frozenset({"section_unknown"}),
            ("names.section.C=a",),
        ),
        Ugly(
            6,
            "no section",
            "Fall 2024.csv",
            csv_bytes(Grid().table(a_class(608), USUAL, 6).rows),
            tuple(Grid().table(a_class(608), USUAL, 6).truth),
            frozenset({"section_missing_everywhere"}),
            ("constants.section=a",),
        ),
        Ugly(
            6,
            "two sections in the file's name",
            "Sections A and B Fall 2024.csv",
            csv_bytes(Grid().table(a_class(609), USUAL, 6).rows),
            tuple(Grid().table(a_class(609), USUAL, 6).truth),
            frozenset({"section_missing_everywhere", "section_unclear"}),
            ("constants.section=a",),
        ),
    ]


def headers() -> list[Ugly]:
    """Headers in other words, misspelled, in capitals, with line breaks, twice, or missing."""
    leaves = a_class(610)
    values = [value for _, value in USUAL]

    def under(*names: str) -> Grid:
        return Grid().table(leaves, tuple(zip(names, values, strict=True)), 6)

    return [
        _csv("headers in capitals", under("DATE", "TIME", "SITE", "SPECIES", "PLANT #", "LEAF #", "PRESSURE (BAR)")),
        _csv(
            "headers in other words",
            under("Sampling date", "Time read", "Location", "Plant species", "Individual", "Replicate", "Balance pressure [bar]"),
        ),
        _csv(
            "headers with line breaks",
            under("Date\n(m/d/y)", "Time\nread", "Site\nname", "Plant\nspecies", "Plant\nno.", "Leaf\nno.", "Pressure\n(bar)"),
        ),
        _csv(
            "headers misspelled",
            under("Date", "Time", "Site", "Speices", "Plant", "Leaf", "Presure (bar)"),
            answers=("columns.taxon=Speices",),
        ),
        _csv(
            "headers with notes",
            under(
                "Date (2024)", "Time (24h clock)", "Site (see map)", "Species (code)", "Plant (1-3)", "Leaf (1)", "Pressure (bar, to 0.5)"
            ),
        ),
        _csv(
            "headers in short",
            under("date", "t", "loc", "spp", "pl", "lf", "bar"),
            answers=("columns.time_read=t", "columns.site=loc", "columns.taxon=spp", "columns.plant=pl", "columns.leaf=lf"),
        ),
        _csv(
            "two columns named Site",
            under("Date", "Time", "Site", "Species", "Site", "Leaf", "Pressure (bar)"),
            asks=frozenset({"column_unclear"}),
            is_hopeless=True,
        ),
        _csv(
            "headers with underscores",
            under("sampling_date", "time_read", "site_name", "species_name", "plant_id", "leaf_no", "pressure_bar"),
        ),
        _csv(
            "headers run together",
            under("SampleDate", "ReadTime", "SiteName", "SpeciesName", "PlantID", "LeafNo", "PressureBar"),
            answers=("columns.reading=PressureBar", "reading.unit=bar"),
        ),
    ]


FILES = [sections, headers]
