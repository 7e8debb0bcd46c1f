"""Write old workbooks (.xls): the few records of BIFF8 that hold cells, formulas, formats and what is hidden, in a compound file.

Record numbers and layouts follow Microsoft's open specifications [MS-XLS] and [MS-CFB].
"""

from __future__ import annotations

import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

_SECTOR = 512
_END, _FREE, _FAT = 0xFFFFFFFE, 0xFFFFFFFF, 0xFFFFFFFD
_GENERAL, _DATE, _TIME = 0, 1, 2  # positions among the cell formats written below
_BUILT_IN = (0, 14, 20)  # General, a date, hours and minutes
_FIRST_OWN = 164  # the number of the first format that is not built in
_ERRORS = {"#NULL!": 0, "#DIV/0!": 7, "#VALUE!": 15, "#REF!": 23, "#NAME?": 29, "#NUM!": 36, "#N/A": 42}


@dataclass(frozen=True)
class Computed:
    """A formula and what a program left beside it: a number, an error ("#DIV/0!"), or None where it came out as no text."""

    value: float | str | None


@dataclass(frozen=True)
class Look:
    """How a sheet is shown; rows are counted from 1, columns from 0.

    `state` is 0 where the sheet is seen, 1 hidden, 2 hidden from its menu too. `formats` are the number formats of columns, and of
    single cells (row, column), which go before them.
    """

    state: int = 0
    rows: Sequence[int] = ()
    columns: Sequence[int] = ()
    is_filtered: bool = False
    formats: Mapping[int | tuple[int, int], str] = field(default_factory=dict)


def xls_bytes(sheets: Mapping[str, Sequence[Sequence[object]]], *, is_1904: bool = False, looks: Mapping[str, Look] | None = None) -> bytes:
    """A workbook of sheets; dates count from 1900 or, as old Macintosh workbooks did, from 1904."""
    looks = {name: (looks or {}).get(name, Look()) for name in sheets}
    own = list(dict.fromkeys(form for look in looks.values() for form in look.formats.values()))
    bodies = [_Sheet(rows, looks[name], own, is_1904).written() for name, rows in sheets.items()]
    head = _record(0x809, struct.pack("<HHHHII", 0x600, 5, 0x0DBB, 0x07CC, 0, 6)) + _record(0x42, struct.pack("<H", 1200))
    head += _record(0x22, struct.pack("<H", int(is_1904)))
    for number, form in enumerate(own, start=_FIRST_OWN):
        head += _record(0x41E, struct.pack("<HHB", number, len(form), 1) + form.encode("utf-16-le"))
    for number in (*_BUILT_IN, *range(_FIRST_OWN, _FIRST_OWN + len(own))):
        head += _record(0xE0, struct.pack("<HHHBBBBIIH", 0, number, 0, 0, 0, 0, 0, 0, 0, 0))
    names = [name.encode("utf-16-le") for name in sheets]
    place = len(head) + sum(4 + 8 + len(name) for name in names) + 4
    for coded, body, look in zip(names, bodies, looks.values(), strict=True):
        head += _record(0x85, struct.pack("<IBBBB", place, look.state, 0, len(coded) // 2, 1) + coded)
        place += len(body)
    return compound({"Workbook": head + _record(0x0A, b"") + b"".join(bodies)})


def compound(streams: Mapping[str, bytes]) -> bytes:
    """A compound file with the streams given, each long enough to need no short sectors."""
    padded = {name: data.ljust(4096, b"\0") for name, data in streams.items()}
    sectors: list[bytes] = []
    table: list[int] = []
    entries = [_entry("Root Entry", 5, child=1, start=_END, size=0)]
    for position, (name, data) in enumerate(padded.items(), start=1):
        start, count = len(sectors), -(-len(data) // _SECTOR)
        sectors.extend(data[at * _SECTOR : (at + 1) * _SECTOR].ljust(_SECTOR, b"\0") for at in range(count))
        table.extend([*range(start + 1, start + count), _END])
        right = position + 1 if position < len(padded) else _FREE
        entries.append(_entry(name, 2, start=start, size=len(data), right=right))
    directory = len(sectors)
    raw = b"".join(entries)
    raw += _entry("", 0) * (-len(entries) % 4)
    sectors.extend(raw[at : at + _SECTOR] for at in range(0, len(raw), _SECTOR))
    table.extend([*range(directory + 1, len(sectors)), _END])
    first = len(sectors)
    needed = 1
    while needed * 128 < len(table) + needed:
        needed += 1
    table.extend([_FAT] * needed)
    table.extend([_FREE] * (needed * 128 - len(table)))
    packed = struct.pack(f"<{len(table)}I", *table)
    sectors.extend(packed[at : at + _SECTOR] for at in range(0, len(packed), _SECTOR))
    heads = [*range(first, first + needed)] + [_FREE] * (109 - needed)
    header = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(16) + struct.pack("<HHHHH", 0x3E, 3, 0xFFFE, 9, 6) + bytes(6)
    header += struct.pack("<IIIIIIIII", 0, needed, directory, 0, 4096, _END, 0, _END, 0)
    return header + struct.pack("<109I", *heads) + b"".join(sectors)


def _entry(name: str, kind: int, *, child: int = _FREE, start: int = 0, size: int = 0, right: int = _FREE) -> bytes:
    coded = (name + "\0").encode("utf-16-le") if name else b""
    head = coded.ljust(64, b"\0") + struct.pack("<HBBIII", len(coded), kind, 1, _FREE, right, child)
    return head + bytes(16) + struct.pack("<I", 0) + bytes(16) + struct.pack("<IQ", start, size)


def _record(number: int, body: bytes) -> bytes:
    return struct.pack("<HH", number, len(body)) + body


@dataclass(frozen=True)
class _Sheet:
    rows: Sequence[Sequence[object]]
    look: Look
    own: Sequence[str]
    is_1904: bool

    def written(self) -> bytes:
        """The sheet's records: its columns, its rows, its cells, and at last the mark of an active filter."""
        width = max((len(row) for row in self.rows), default=0)
        body = _record(0x809, struct.pack("<HHHHII", 0x600, 0x10, 0x0DBB, 0x07CC, 0, 6))
        for column in self.look.columns:
            body += _record(0x7D, struct.pack("<HHHHHH", column, column, 0, 0, 1, 0))
        if self.look.is_filtered:
            body += _record(0x9B, b"")
        body += _record(0x200, struct.pack("<IIHHH", 0, len(self.rows), 0, width, 0))
        for row in self.look.rows:
            body += _record(0x208, struct.pack("<HHHHHHI", row - 1, 0, width, 255, 0, 0, 0x120))
        for row, cells in enumerate(self.rows):
            for column, cell in enumerate(cells):
                if cell is not None:
                    body += self._cell(row, column, cell)
        return body + _record(0x0A, b"")

    def _cell(self, row: int, column: int, cell: object) -> bytes:
        formats = self.look.formats
        form = formats.get((row + 1, column), formats.get(column))
        stated = len(_BUILT_IN) + self.own.index(form) if form is not None else None
        if isinstance(cell, Computed):
            return _record(0x06, struct.pack("<HHH", row, column, stated or _GENERAL) + _result(cell.value) + _ONE)
        if isinstance(cell, str):
            coded = cell.encode("utf-16-le")
            return _record(0x204, struct.pack("<HHHHB", row, column, _GENERAL, len(coded) // 2, 1) + coded)
        number, built_in = _number(cell, self.is_1904)
        return _record(0x203, struct.pack("<HHHd", row, column, built_in if stated is None else stated, number))


_ONE = struct.pack("<HIH", 0, 0, 3) + b"\x1e\x01\x00"  # flags, a number that Excel keeps to itself, and a formula of three bytes: 1


def _result(value: float | str | None) -> bytes:
    if isinstance(value, str):
        return struct.pack("<BBBBHH", 2, 0, _ERRORS[value], 0, 0, 0xFFFF)
    return struct.pack("<BBHHH", 3, 0, 0, 0, 0xFFFF) if value is None else struct.pack("<d", value)


def _number(cell: object, is_1904: bool) -> tuple[float, int]:
    if isinstance(cell, time):
        return (cell.hour * 60 + cell.minute) / 1440, _TIME
    if isinstance(cell, date):
        moment = cell if isinstance(cell, datetime) else datetime(cell.year, cell.month, cell.day)
        epoch = datetime(1904, 1, 1) if is_1904 else datetime(1899, 12, 30)
        return (moment - epoch) / timedelta(days=1), _DATE
    if isinstance(cell, (int, float)):
        return float(cell), _GENERAL
    raise TypeError(f"{cell!r} is of no kind that is written")
