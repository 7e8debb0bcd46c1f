"""Large files of readings for benchmarks: valid against the demo's registers, every leaf once, seeded."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from itertools import islice, product
from pathlib import Path

from demo_years.chance import stream
from demo_years.classes import FIRST_NAMES, LAST_NAMES, PALETTE, SITES, field_day
from demo_years.shapes import Cell, Sheet
from demo_years.vocabulary import Vocabulary, register_rows
from demo_years.writers import xlsx_bytes

HEADER = ("Semester", "Section", "Date", "Time", "Site", "Species", "Plant", "Leaf", "Balance pressure (bar)", "Observer", "Remarks")
_LEAVES = 3
_USUAL_BAR = {"predawn": 4.0, "midday": 15.0}
_FIRST_MINUTE = {"predawn": 4 * 60 + 50, "midday": 12 * 60 + 25}
_MINUTES = {"predawn": 70, "midday": 130}


def write_big_csv(path: Path, rows: int = 200_000, seed: int = 1) -> None:
    """Write a class-like CSV of that many rows over all semesters with field work; bar, ISO dates, 24-hour times."""
    sections = [(row["semester"], row["section"]) for row in register_rows("sections") if row["semester"] != "2020-spring"]
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(HEADER)
        writer.writerows(_leaves(sections, rows, seed))


def write_class_workbook(path: Path, rows: int = 400, seed: int = 1) -> None:
    """Write the workbook of one semester's two sections with that many rows, a title above and an average below."""
    leaves = [list(row) for row in _leaves([("2025-fall", "a"), ("2025-fall", "b")], rows, seed)]
    place = HEADER.index("Balance pressure (bar)")
    values = [row[place] for row in leaves]
    mean = round(sum(value for value in values if isinstance(value, float)) / len(values), 2)
    table: list[list[Cell]] = [["Fall 2025, both sections"], [], list(HEADER), *leaves, [], ["Average", *[None] * (place - 1), mean]]
    path.write_bytes(xlsx_bytes([Sheet("Readings", table)]))


def _leaves(sections: list[tuple[str, str]], rows: int, seed: int) -> Iterator[tuple[Cell, ...]]:
    """That many leaves, shared out evenly over the sections; plants are numbered on until there are enough."""
    rng, words = stream(f"big {seed}"), Vocabulary()
    places = [(site, taxon) for site in SITES for options in PALETTE[site] for taxon in options]
    for number, (semester, section) in enumerate(sections):
        share = (number + 1) * rows // len(sections) - number * rows // len(sections)
        plants = -(-share // (len(places) * 2 * _LEAVES))
        day = field_day(semester, section).isoformat()
        leaves = product(range(1, plants + 1), _USUAL_BAR, places, range(1, _LEAVES + 1))
        for plant, window, (site, taxon), leaf in islice(leaves, share):
            minute = _FIRST_MINUTE[window] + rng.randrange(_MINUTES[window])
            pressure = max(1, round(2 * rng.gauss(1.0, 0.25) * _USUAL_BAR[window])) / 2
            yield (
                *(semester, section.upper(), day, f"{minute // 60:02d}:{minute % 60:02d}"),
                *(words.site(site, "site_name"), words.taxon(taxon, "scientific_name"), plant, leaf, pressure),
                *(f"{rng.choice(FIRST_NAMES)} {rng.choice(LAST_NAMES)}", "windy" if rng.random() < 0.02 else None),
            )
