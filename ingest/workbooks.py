"""Open a workbook in a process of its own, with limits: nothing that a file holds can take the tool down.

Run as `python -m ingest.workbooks KIND`, with the bytes on standard input; the answer on standard output holds plain values only.
Macros are never run: the readers know no macros. No reader opens a connection.
"""

from __future__ import annotations

import io
import pickle
import re
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ingest.errors import FileUnreadable

MEMORY_MB = 3000
CPU_SECONDS = 60
WALL_SECONDS = 90
DETAILS_UP_TO_BYTES = 3_000_000  # formats and formulas are looked at in files of a class's size
_PLAIN = {("datetime", name) for name in ("date", "datetime", "time", "timedelta")}


@dataclass
class RawSheet:
    """A sheet as read: cells from A1 on, and what a reader of values alone would miss.

    Attributes:
        hidden: sheet, rows, columns or filter where any of it is hidden.
        units: address to the unit that the cell's number format shows ("0.0 \\"bar\\"").
        formulas: addresses of cells that are computed and came out as 0, or have no value kept.
    """

    name: str
    rows: list[list[Any]]
    hidden: list[str] = field(default_factory=list)
    units: dict[str, str] = field(default_factory=dict)
    formulas: dict[str, str] = field(default_factory=dict)


def open_workbook(data: bytes, name: str, kind: str) -> list[RawSheet]:
    """The sheets of a workbook.

    Raises:
        FileUnreadable: damaged, or beyond the limits of memory and time.
    """
    command = [sys.executable, "-m", "ingest.workbooks", kind]
    try:
        ran = subprocess.run(  # noqa: S603  # our own interpreter and module
            command, input=data, capture_output=True, timeout=WALL_SECONDS, cwd=Path(__file__).parents[1], check=False
        )
    except subprocess.TimeoutExpired as late:
        raise FileUnreadable(
            f"{name} took longer than {WALL_SECONDS} s to open: copy the table into a new workbook and load that."
        ) from late
    if ran.returncode or not ran.stdout:
        raise FileUnreadable(f"{name} is damaged or only part of a workbook: open it, save it again and load that file.")
    found = _PlainUnpickler(io.BytesIO(ran.stdout)).load()
    return [RawSheet(*sheet) for sheet in found]


class _PlainUnpickler(pickle.Unpickler):
    """Takes plain values, dates and times, and nothing that could run: the process on the other side has read a stranger's file."""

    def find_class(self, module: str, name: str) -> Any:
        if (module, name) in _PLAIN:
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"{module}.{name} is no plain value")


def _limit() -> None:
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_MB * 1_000_000, MEMORY_MB * 1_000_000))
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _read(data: bytes) -> list[RawSheet]:
    import python_calamine as calamine

    book = calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
    sheets = []
    for metadata in book.sheets_metadata:
        if metadata.typ != calamine.SheetTypeEnum.WorkSheet:
            continue
        grid = book.get_sheet_by_name(metadata.name).to_python(skip_empty_area=False)
        hidden = ["sheet"] if metadata.visible != calamine.SheetVisibleEnum.Visible else []
        sheets.append(RawSheet(metadata.name, grid, hidden))
    return sheets


def _add_details(data: bytes, sheets: list[RawSheet]) -> None:
    """Look with a second reader at what is hidden, at formats that carry a unit, and at formulas without a value of their own."""
    import openpyxl

    book = openpyxl.load_workbook(io.BytesIO(data), data_only=False, keep_vba=False, keep_links=False)
    by_name: Mapping[str, RawSheet] = {sheet.name: sheet for sheet in sheets}
    for page in book.worksheets:
        sheet = by_name.get(page.title)
        if sheet is None:
            continue
        if any(of_row.hidden for of_row in page.row_dimensions.values()):
            sheet.hidden.append("rows")
        if any(of_column.hidden for of_column in page.column_dimensions.values()):
            sheet.hidden.append("columns")
        if page.auto_filter.ref and page.auto_filter.filterColumn:
            sheet.hidden.append("rows by a filter")
        for row in page.iter_rows():
            for cell in row:
                if cell.value is not None:
                    _cell_details(sheet, cell)


def _cell_details(sheet: RawSheet, cell: Any) -> None:
    shown = re.findall(r'"([^"]+)"|\\(\w)', cell.number_format or "")
    literal = "".join(quoted or escaped for quoted, escaped in shown).strip()
    if literal and isinstance(cell.value, (int, float)):
        sheet.units[cell.coordinate] = literal
    if cell.data_type == "f":
        rows, row, column = sheet.rows, cell.row - 1, cell.column - 1
        value = rows[row][column] if row < len(rows) and column < len(rows[row]) else None
        if value in ("", None, 0):
            sheet.formulas[cell.coordinate] = "zero" if value == 0 and value != "" else "no value"


def main(kind: str) -> int:
    """Read standard input, answer on standard output; anything a reader trips over ends the process with a status."""
    _limit()
    data = sys.stdin.buffer.read()
    sheets = _read(data)
    if kind == "xlsx" and len(data) <= DETAILS_UP_TO_BYTES:
        _add_details(data, sheets)
    sys.stdout.buffer.write(pickle.dumps([(sheet.name, sheet.rows, sheet.hidden, sheet.units, sheet.formulas) for sheet in sheets]))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
