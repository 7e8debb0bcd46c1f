"""The rows of one file while they are checked: columns of equal length, and the codes that each row has earned."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ingest.checked.file_columns import READING_COLUMNS
from ingest.doubts.problem_kinds import KINDS
from ingest.doubts.problems import Problem, problem
from ingest.tables.tables import Table


@dataclass(frozen=True)
class Place:
    """Where a row's cells stand in the file: its table, its row there, and the column of each contract column."""

    table: Table
    row: int
    columns: Mapping[str, int]

    def of(self, column: str) -> tuple[str, str | None]:
        """The header and the address of a contract column's cell; the column's own name where the table has none."""
        place = self.columns.get(column)
        return (self.table.headers[place], self.table.address(self.row, place)) if place else (column, None)


class Rows:
    """Rows under checking. `scrub` takes every text that a problem repeats, and `shown` every header: no person is named in one."""

    def __init__(self, scrub: Callable[[str], str], shown: Callable[[str], str], names: Iterable[str] = READING_COLUMNS) -> None:
        self.columns: dict[str, list[Any]] = {name: [] for name in names}
        self.codes: list[list[str]] = []
        self.places: list[Place | None] = []
        self.problems: list[Problem] = []
        self._scrub, self._shown = scrub, shown

    def __len__(self) -> int:
        return len(self.codes)

    def add(self, count: int) -> int:
        """Append blank rows and return the index of the first."""
        start = len(self.codes)
        for values in self.columns.values():
            values.extend([None] * count)
        self.codes.extend([] for _ in range(count))
        self.places.extend([None] * count)
        return start

    def put(self, name: str, indices: Sequence[int], values: Sequence[Any]) -> None:
        """Fill a column at the given rows."""
        column = self.columns[name]
        for index, value in zip(indices, values, strict=True):
            column[index] = value

    def mark(self, index: int, kind: str, column: str | None = None, value: object = None, **words: Any) -> None:
        """Give a row a code, once, with the place and the value as written."""
        if kind in self.codes[index]:
            return
        self.codes[index].append(kind)
        if KINDS[kind].structural:
            return
        found = self.places[index]
        header, cell = found.of(column or "") if found else (column, None)
        place = {
            "sheet": self.columns["source_sheet"][index],
            "row": self.columns["source_row"][index],
            "column": self._shown(header) if header else None,
            "cell": cell,
            "value": None if value is None else self._scrub(str(value)),
        }
        self.problems.append(problem(kind, place=place, **words))

    def is_aside(self, index: int) -> bool:
        """True where a row has earned a code that sets it aside."""
        return any(KINDS[code].severity == "set_aside" for code in self.codes[index])

    def settle(self) -> None:
        """Derive status, flags, reasons and usable of every row from its codes, and number the rows in the order of the file."""
        columns = self.columns
        for index, codes in enumerate(self.codes):
            aside = [code for code in codes if KINDS[code].severity == "set_aside"]
            flags = [code for code in codes if KINDS[code].severity == "flag"]
            columns["reasons"][index], columns["flags"][index] = ";".join(aside), ";".join(flags)
            columns["status"][index] = "set_aside" if aside else "flagged" if flags else "accepted"
            columns["is_structural"][index] = bool(aside) and all(KINDS[code].structural for code in aside)
            columns["usable"][index] = not aside and all(KINDS[code].usable for code in flags)
            columns["row_number"][index] = index + 1

    def counts(self) -> dict[str, int]:
        """Rows in the file, accepted, flagged and set aside; the first is the sum of the others."""
        found = Counter(self.columns["status"])
        counts = {"accepted": found["accepted"], "flagged": found["flagged"], "set_aside": found["set_aside"]}
        return {"in_file": len(self), **counts}

    def reasons(self) -> dict[str, int]:
        """How many rows were set aside for each reason; a row with two reasons counts under both."""
        aside = Counter(code for codes in self.codes for code in codes if KINDS[code].severity == "set_aside")
        return dict(aside.most_common())
