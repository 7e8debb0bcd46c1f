"""Nasty cells in a true table, through the whole reading path: an error by name or a receipt that adds up, and no number out of nowhere."""

from __future__ import annotations

import pprint
import random
import time
import traceback
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from datetime import time as clock
from pathlib import Path
from typing import Any

import pytest

from ingest.checking import Checked
from ingest.files.containers import CellValue, Container, Sheet
from ingest.home import Home
from tests.ingest.fuzzing import MPA, NAMES, SLOWEST_SECONDS, Suite, complaints, read, rows_of, save
from tests.ingest.nasty import nasty
from tests.ingest.small_lab import HEADERS, MEANING, TRUE_ROWS, check, csv_bytes, table_of

CASES, PER_TEST = 1500, 150
Table = list[list[CellValue]]
OBSERVER = NAMES[0].capitalize()


def long_table() -> Table:
    """The true table, and twice as long, so that one cell is a small part of its column."""
    more = [(*row[:5], str(int(row[5]) + 4), *row[6:]) for row in TRUE_ROWS]
    rows = [[cell if cell != "Ola Quist" else OBSERVER for cell in row] for row in (*TRUE_ROWS, *more)]
    table: Table = [list(HEADERS)]
    table.extend([cell or None for cell in row] for row in rows)
    return table


def potentials() -> Table:
    """The same as real dates, times and negative potentials in MPa, as a spreadsheet program keeps them."""
    rows: Table = [["Day", "Clock", "Section", "Site", "Plant name", "Plant", "Leaf", "Measured by", "Water potential (MPa)", "Notes"]]
    for row in long_table()[1:]:
        at = str(row[8])
        size: CellValue = f"<-{float(at[1:]) / 10:g}" if at.startswith(">") else -float(at) / 10
        rows.append(
            [date.fromisoformat(str(row[0])), clock.fromisoformat(str(row[1])), *row[2:5], int(str(row[5])), 1, row[7], size, row[9]]
        )
    return rows


def wide_table() -> Table:
    """Plants in rows and their leaves in columns, in psi, with a title above."""
    head: Table = [
        ["Field lab, readings in psi"],
        [],
        ["Date", "Time", "Section", "Site", "Species", "Plant", "By", "Leaf 1", "Leaf 2", "Leaf 3"],
    ]
    for number, row in enumerate(long_table()[1:], start=1):
        head.append(
            [*row[:5], str(number), row[7], str(150 + 10 * number), str(155 + 10 * number), None if number == 4 else str(160 + 10 * number)]
        )
    return head


BASES = {"long": (long_table, 0, "bar"), "potentials": (potentials, 0, "mpa"), "wide": (wide_table, 2, "psi")}
"""Tables, where the header stands in each (from 0), and the unit of the readings."""


@dataclass
class Case:
    """A sheet with nasty cells; `origins` says for each row which row of the true table it still is (None: touched or put in)."""

    base: str
    rows: Table
    origins: list[int | None]

    @classmethod
    def of(cls, seed: int) -> Case:
        """A true table with a few nasty cells."""
        chance = random.Random(seed)  # noqa: S311  # a seed makes the same case every time; nothing is secret
        base = chance.choice(("long", "long", "potentials", "wide"))
        rows, header, width = BASES[base][0](), BASES[base][1], len(HEADERS)
        case = cls(base, rows, list(range(len(rows))))
        first = header if chance.random() < 0.15 else header + 1
        for _ in range(chance.choice((1, 1, 1, 2, 3))):
            case.put(chance.randrange(first, len(rows)), 8 if chance.random() < 0.4 else chance.randrange(width), nasty(chance))
        if chance.random() < 0.05:
            column, cell = chance.randrange(width), nasty(chance)
            for row in range(header + 1, len(rows)):
                case.put(row, column, cell)
        if chance.random() < 0.1:
            place = chance.randrange(header + 1, len(rows))
            rows.insert(place, [nasty(chance) if chance.random() < 0.3 else None for _ in range(width)])
            case.origins.insert(place, None)
        return case

    def put(self, row: int, column: int, cell: CellValue) -> None:
        """Write a cell."""
        self.rows[row][column] = cell
        self.origins[row] = None

    @property
    def is_header_whole(self) -> bool:
        """Whether nobody touched the header and what stands above it."""
        return None not in self.origins[: BASES[self.base][1] + 1]

    def factors(self) -> tuple[str, ...]:
        """Units that the header of the readings allows."""
        return (BASES[self.base][2],) if self.is_header_whole else tuple(MPA)


def container_of(rows: Table) -> Container:
    """A file of one sheet."""
    return Container("xlsx", [Sheet("Sheet1", 1, rows)])


def meanings(found: Checked, origins: list[int | None]) -> dict[tuple[int, str], dict[str, Any]]:
    """The rows of an answer that come from rows which nobody touched, by the true table's row and the column of the reading."""
    rows = ((origins[row["source_row"] - 1], (row["source_cell"] or "").rstrip("0123456789"), row) for row in rows_of(found))
    return {(origin, column): row for origin, column, row in rows if origin is not None}


def neighbours(found: Checked, case: Case, truth: dict[tuple[int, str], dict[str, Any]]) -> Iterator[str]:
    """What became wrong in rows that nobody touched, under a header that nobody touched."""
    if found.receipt.is_refused or not case.is_header_whole:
        return
    still = meanings(found, case.origins)
    for (origin, column), true in truth.items():
        row = still.get((origin, column))
        if origin not in case.origins or true["status"] == "set_aside":
            continue
        if row is None:
            yield f"the reading of row {origin + 1} of the true table is lost"
        elif row["status"] != "set_aside":
            pairs = {name: (true[name], row[name]) for name in MEANING if name != "usable" and true[name] != row[name]}
            yield from (f"row {row['source_row']}: {name} was {was!r} and became {now!r}" for name, (was, now) in pairs.items())


def failures(home: Home, seeds: range, folder: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What is wrong with the answers to a range of cases, and how to find each."""
    truth = {}
    for base, (make, _, _) in BASES.items():
        true = read(home, container_of(make()), base.encode(), "class.xlsx", monkeypatch)
        assert isinstance(true, Checked)
        assert not true.receipt.is_refused, true.receipt.as_text()
        truth[base] = meanings(true, list(range(len(make()))))
    told = []
    for seed in seeds:
        case = Case.of(seed)
        container = container_of(case.rows)
        started = time.process_time()
        try:
            found = read(home, container, str(seed).encode(), "class.xlsx", monkeypatch)
            said = list(complaints(found, container, case.factors()))
            if isinstance(found, Checked):
                said.extend(neighbours(found, case, truth[case.base]))
        except Exception as crash:  # noqa: BLE001  # a crash is what the fuzzer is there to find
            said = [f"{type(crash).__name__}: {crash} at {crash.__traceback__ and traceback.extract_tb(crash.__traceback__)[-1]}"]
        if time.process_time() - started > SLOWEST_SECONDS:
            said.append(f"it took {time.process_time() - started:.1f} s")
        if said:
            told.append(save(folder, "rows.txt", pprint.pformat(case.rows, width=200).encode("utf-8", "backslashreplace"), seed, said))
    return told


@pytest.mark.parametrize("start", range(0, CASES, PER_TEST))
def test_nasty_cells_give_an_error_by_name_or_a_receipt_that_adds_up(start: int, lab: Home, tmp_path: Path) -> None:
    with pytest.MonkeyPatch.context() as monkeypatch:
        suite = Suite(monkeypatch)
        told = failures(lab, range(start, start + PER_TEST), tmp_path, monkeypatch)
        assert not told, "\n".join(told)
        assert "reading_absurd" in suite.run_on_all()


def test_a_heading_stands_below_what_a_row_says_of_itself(lab: Home) -> None:
    rows = long_table()
    rows.insert(1, ["ange", *[None] * 9])
    taxa = [row["taxon"] for row in rows_of(check(lab, csv_bytes([[str(cell or "") for cell in row] for row in rows[1:]])))[2:]]
    assert taxa == [row[4] for row in rows[2:]]


def test_a_line_like_averages_between_readings_loses_none_of_those_below_it(lab: Home) -> None:
    rows = [[str(cell or "") for cell in row] for row in long_table()[1:]]
    rows.insert(4, ["bar None", "max 18.5", *[""] * 8])
    found = rows_of(check(lab, csv_bytes(rows)))
    assert [row["source_row"] for row in found if not row["is_structural"]] == [row for row in range(2, 17) if row != 6]


def test_a_number_without_an_end_is_no_reading(lab: Home) -> None:
    found = rows_of(
        check(lab, table_of(**{"Pressure (bar)": ["9" * 400, "1e400", "12", "38"], "Remarks": ["", "", "", "none by " + "1" * 400]}))
    )
    assert [row["balance_pressure_mpa"] for row in found[1:4]] == [None, None, pytest.approx(1.2)]
    assert [row["status"] for row in found[1:4]] == ["set_aside", "set_aside", "accepted"]


def test_no_cell_moves_a_terminal_s_cursor_or_forges_a_line(lab: Home) -> None:
    text = check(lab, table_of(Site=["\x1b[2J\u202emoon\x07\nclass.csv: can be loaded", "m" * 10_000])).receipt.as_text()
    lines = text.split("\n")
    assert not any(line.startswith("class.csv: can be loaded") for line in lines)
    assert max(map(len, lines)) < 2100
    assert all(line.isprintable() for line in lines)
