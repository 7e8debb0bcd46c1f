"""What must hold for any file whatever: the checks that the fuzzers share. They lean on no code of the reader but its answer."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from ingest import checking
from ingest.checked import suites
from ingest.checking import Asked, Checked, check_bytes
from ingest.errors import TautleafError
from ingest.files.containers import Container
from ingest.home import Home
from ingest.readings import crosschecks

# Exact factors to MPa, stated once more so that the check does not lean on what it checks (NIST SP 811, B.8; psi from its definition).
MPA = {"mpa": 1.0, "bar": 0.1, "psi": 0.006894757293168361, "kpa": 0.001, "atm": 0.101325, "kgf": 0.0980665}
LOOK_ALIKES = str.maketrans({"o": "0", "O": "0", "l": "1", "I": "1", "i": "1", "|": "1", "−": "-", "–": "-", "½": ".5", "⁄": "/"})
SLOWEST_SECONDS = 5.0
NAMES = ("zorvex", "quilmab", "thrudosk")
"""Invented names that the fuzzers strew about, the first of them an observer's; nothing kept or printed may hold one."""


class Suite:
    """Stands for the data-quality suite while many files are read: it takes a third of a second for each, or for all of them at once."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """Put itself in the suite's place, remembering the rows that it is given."""
        self.kept: dict[str, list[Any]] = {}
        self.run = suites.failing_rows
        monkeypatch.setattr(crosschecks, "failing_rows", self._keep)

    def _keep(self, _: str, columns: dict[str, list[Any]]) -> Iterator[tuple[int, str, str]]:
        for name, values in columns.items():
            self.kept.setdefault(name, []).extend(values)
        return iter(())

    def run_on_all(self) -> set[str]:
        """The codes that the real suite gives to the rows of all files together."""
        self.kept["row_number"] = list(range(len(self.kept["row_number"])))
        return {code for _, _, code in self.run("readings", self.kept)}


def read(home: Home, container: Container, data: bytes, name: str, monkeypatch: pytest.MonkeyPatch) -> Checked | TautleafError:
    """Take a file that is opened already through the whole reading path."""
    monkeypatch.setattr(checking, "read_container", lambda _data, _name: container)
    try:
        return check_bytes(home, data, name, Asked(kind="readings"))
    except TautleafError as error:
        return error


def complaints(
    found: Checked | TautleafError, container: Container, factors: Sequence[str] = tuple(MPA), never: Sequence[str] = NAMES[:1]
) -> Iterator[str]:
    """What is wrong with an answer.

    `factors` are the units that the header of the readings allows, `never` the names that not even a question may repeat.
    """
    if isinstance(found, TautleafError):
        if len(str(found)) < 20:
            yield f"an error that says too little: {found}"
        return
    counts = found.receipt.rows
    rows = rows_of(found)
    if counts and not counts["in_file"] == counts["accepted"] + counts["flagged"] + counts["set_aside"] == len(rows):
        yield f"the rows do not add up: {counts}"
    if {row["source_row"] for row in rows} > set(range(1, max((len(s.rows) for s in container.sheets), default=0) + 1)):
        yield "a row that is not in the file"
    texts = (
        found.receipt.as_text(),
        str(found.receipt.as_dict()),
        str(found.columns),
        found.recipe.as_toml(found.receipt.open_questions()),
    )
    # A question about an unknown site has to repeat what stands there, unless that is an observer's name.
    is_asked = any(problem.code.endswith("_unknown") for problem in found.receipt.problems)
    for text in texts:
        yield from (f"{name} is kept or printed" for name in (never if is_asked else NAMES) if name in text.casefold())
    if any(control in texts[0] for control in "\x00\x07\x1b\u202e"):
        yield "the receipt holds a control character"
    for row in rows:
        yield from (f"{name} is {value}" for name, value in row.items() if isinstance(value, float) and not math.isfinite(value))
        if row["status"] != "set_aside" and not found.receipt.is_refused:
            yield from _number_complaints(row, container, factors)


def rows_of(checked: Checked) -> list[dict[str, Any]]:
    """All rows of an answer."""
    return [dict(zip(checked.columns, values, strict=True)) for values in zip(*checked.columns.values(), strict=True)]


def _number_complaints(row: dict[str, Any], container: Container, factors: Sequence[str]) -> Iterator[str]:
    """A loaded pressure must stand in its cell; a bound may stand in the row's remark, or be the end of a chamber's gauge."""
    sheet = container.sheets[0] if len(container.sheets) == 1 else None
    if sheet is None or row["endpoint"] == "not_reached":
        return
    cell = cell_at(sheet.rows, row["source_cell"])
    if container.kind == "text" and re.fullmatch(r"\d{1,3}", right := str(cell_at(sheet.rows, row["source_cell"], beside=1))):
        cell = f"{cell},{right}"  # a decimal comma that was taken for a separator is put back
    text = unicodedata.normalize("NFKC", str(cell)).casefold()
    units = {unit for unit in MPA if unit in text} or set(factors)
    wanted = row["balance_pressure_mpa"]
    values = {value * MPA[unit] for value in numbers_in(cell) for unit in units}
    if wanted is None or not any(math.isclose(wanted, value, rel_tol=1e-9, abs_tol=1e-12) for value in values):
        yield f"{row['source_cell']} holds {str(cell)[:80]!r} and was loaded as {wanted} MPa"


def cell_at(rows: Sequence[Sequence[Any]], address: str, beside: int = 0) -> Any:
    """The cell at an address such as F12, or so many columns right of it."""
    letters, number = re.fullmatch(r"([A-Z]+)(\d+)", address).groups()  # type: ignore[union-attr]  # an address without both is a failure
    column = 0
    for letter in letters:
        column = column * 26 + ord(letter) - 64
    column += beside
    row = rows[int(number) - 1]
    return row[column - 1] if column <= len(row) else None


def numbers_in(cell: Any) -> set[float]:
    """Every size that a reader could take from a cell; none from a date, a time or a yes."""
    if isinstance(cell, bool) or cell is None or isinstance(cell, date):
        return set()
    if isinstance(cell, (int, float)):
        return {abs(float(cell))}
    if not isinstance(cell, str):
        return set()
    found: set[float] = set()
    for text in (cell, cell.translate(LOOK_ALIKES), unicodedata.normalize("NFKC", cell).translate(LOOK_ALIKES)):
        for run in re.findall(r"(?:\d[\d.,'’ \u00a0\u2009\u202f]*|[.,]\d+)(?:[eE][+-]?\d{1,3})?", text):
            mantissa, _, exponent = run.lower().partition("e")
            found.update(value * 10.0 ** int(exponent or 0) for value in _spellings(mantissa) if abs(int(exponent or 0)) < 300)
    return found


def _spellings(run: str) -> Iterator[float]:
    """A run of digits with any of its marks as the decimal one, all others between thousands; and its parts."""
    parts = re.split(r"[.,'’ \u00a0\u2009\u202f]+", run.strip(".,'’ \u00a0\u2009\u202f") if run[0].isdigit() else "0" + run)
    for start in range(len(parts)):
        for end in range(start + 1, min(start + 5, len(parts)) + 1):
            for point in range(start + 1, end + 1):
                yield float(f"{''.join(parts[start:point])[:300]}.{''.join(parts[point:end])[:300] or 0}")


def save(folder: Path, name: str, data: bytes, seed: int, said: Sequence[str]) -> str:
    """Keep a failing case, and say how to find it."""
    path = folder / f"{seed}-{name}"
    path.write_bytes(data)
    return f"seed {seed}, kept as {path}: " + "; ".join(said[:4])
