"""A small invented lab for the tests: its registers, one true table of readings, and the files that say the same."""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from ingest.checking import Asked, Checked, check_bytes
from ingest.doubts.problems import Problem
from ingest.home import Home, init_home

REGISTERS = {
    "sites": """site,site_name,topographic_position,aliases,latitude_deg,longitude_deg,elevation_m,soil_depth_m,gauge
ridge,Ridge top,upland,Up;Hilltop,39.1,-96.6,440,0.3,hut
swale,Long swale,lowland,Low,39.1,-96.6,340,1.5,hut
""",
    "taxa": """taxon,scientific_name,common_names,aliases,functional_group
ange,Andropogon gerardii,big bluestem,ANGE;turkey foot,c4_grass
codr,Cornus drummondii,roughleaf dogwood,CODR,shrub
quma,Quercus macrocarpa,bur oak,,tree
""",
    "chambers": "chamber,aliases,gauge_unit,resolution,maximum_pressure\ngrey,Grey chamber,bar,0.5,40\nred,Red chamber,psi,10,550\n",
    "gauges": "gauge,gauge_name,aliases,latitude_deg,longitude_deg,elevation_m,day_ends\nhut,Hut,ZZ000000001,39.1,-96.6,400,07:00\n",
    "semesters": "semester,start_date,end_date\n2024-spring,2024-01-10,2024-05-15\n2024-fall,2024-08-19,2024-12-13\n",
    "sections": "semester,section,aliases\n2024-spring,a,Section A\n2024-fall,a,Section A;Tuesday lab\n2024-fall,b,Section B\n",
}
HEADERS = ("Date", "Time", "Section", "Site", "Species", "Plant", "Leaf", "Observer", "Pressure (bar)", "Remarks")
TRUE_ROWS: tuple[tuple[str, ...], ...] = (
    ("2024-09-17", "13:05", "a", "ridge", "ange", "1", "1", "Ola Quist", "18.5", ""),
    ("2024-09-17", "13:12", "a", "ridge", "ange", "1", "2", "Ola Quist", "19", ""),
    ("2024-09-17", "13:20", "a", "ridge", "ange", "2", "1", "Rhun Pell", "21.5", ""),
    ("2024-09-17", "13:31", "a", "ridge", "codr", "1", "1", "Rhun Pell", "12", ""),
    ("2024-09-19", "13:05", "b", "swale", "ange", "1", "1", "Ola Quist", "9.5", ""),
    ("2024-09-19", "13:12", "b", "swale", "codr", "2", "1", "Rhun Pell", ">38", "no water"),
    ("2024-09-19", "13:20", "b", "swale", "quma", "3", "1", "Rhun Pell", "14", ""),
)
MEANING = (
    "semester", "section", "date", "time_read", "sampling_window", "site", "taxon", "plant", "leaf", "observer",
    "balance_pressure_mpa", "water_potential_mpa", "endpoint", "below_limit", "usable",
)  # fmt: skip
"""Columns that say the same however a class writes its file down."""


def small_lab(root: Path) -> Home:
    """A home with registers and nothing received."""
    home = init_home(root, code="small", name="Small lab", timezone="America/Chicago")
    for name, text in REGISTERS.items():
        (home.registers / f"{name}.csv").write_text(text, "utf-8")
    return home


def csv_bytes(rows: Sequence[Sequence[str]], header: Sequence[str] = HEADERS, separator: str = ",") -> bytes:
    """Rows under a header as delimited text."""
    text = io.StringIO()
    csv.writer(text, delimiter=separator, lineterminator="\n").writerows([header, *rows])
    return text.getvalue().encode()


def table_of(**columns: str | Sequence[str]) -> bytes:
    """Rows like the first true one, with other values: one text for all rows, or one for each; ` ` in a name is `_`."""
    length = max((len(values) for values in columns.values() if not isinstance(values, str)), default=1)
    names = [*HEADERS, *(name for name in columns if name not in HEADERS)]
    base = dict(zip(HEADERS, TRUE_ROWS[0], strict=True))
    rows = []
    for number in range(length):
        given = {name: values if isinstance(values, str) else values[number] for name, values in columns.items()}
        rows.append([{**base, "Plant": str(number + 1), **given}[name] for name in names])
    return csv_bytes(rows, names)


def check(home: Home, data: bytes, name: str = "class.csv", *answers: str) -> Checked:
    """Check a file's bytes with answers as on the command line."""
    return check_bytes(home, data, name, Asked(tuple(answers)))


def loaded_rows(checked: Checked) -> list[dict[str, Any]]:
    """The accepted and flagged rows, in the order of the file."""
    assert not checked.receipt.is_refused, checked.receipt.as_text()
    return [row for row in every_row(checked) if row["status"] != "set_aside"]


def every_row(checked: Checked) -> list[dict[str, Any]]:
    """All rows of the file."""
    columns = checked.columns
    return [{name: values[index] for name, values in columns.items()} for index in range(len(columns["row_number"]))]


def meant(checked: Checked) -> list[tuple[Any, ...]]:
    """What the loaded rows say, in an order of their own; pressures in MPa to nine decimals."""
    return sorted(
        (tuple(round(row[name], 9) if isinstance(row[name], float) else row[name] for name in MEANING) for row in loaded_rows(checked)),
        key=repr,
    )


def refusals(checked: Checked) -> list[str]:
    """The codes for which the file is refused."""
    return [found.code for found in checked.receipt.problems if found.severity == "refuse"]


def found_of(checked: Checked, code: str) -> Problem:
    """The first problem of a code."""
    codes = [found.code for found in checked.receipt.problems]
    assert code in codes, f"{code} is not among {codes}"
    return checked.receipt.problems[codes.index(code)]


def tree_hash(root: Path) -> dict[str, str]:
    """The SHA-256 of every file of a home, but for the lock and the workplace of a build."""
    files = (path for path in sorted(root.rglob("*")) if path.is_file() and path.name != ".lock" and ".workplace" not in path.parts)
    return {str(path.relative_to(root)): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}
