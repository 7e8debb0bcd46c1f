"""Sheets of cells written as .csv, .tsv, .xlsx or .ods: the same bytes for the same cells."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Callable
from datetime import date, datetime, time
from typing import Any

from demo_years.shapes import Cell, Sheet, plain_text

# Archives carry this moment instead of the one in which they were made.
_MOMENT = datetime(2026, 1, 5, 12, 0, 0)


def text_bytes(sheet: Sheet, *, delimiter: str, encoding: str) -> bytes:
    """One sheet as delimited text with the line ends that spreadsheets write."""
    width = max(len(row) for row in sheet.rows)
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=delimiter, lineterminator="\r\n")
    for row in sheet.rows:
        writer.writerow([plain_text(cell) for cell in row] + [""] * (width - len(row)))
    return out.getvalue().encode(encoding)


def xlsx_bytes(sheets: list[Sheet]) -> bytes:
    """Sheets as a workbook; dates and times are real ones, with a format that shows them as such."""
    from openpyxl import Workbook
    from openpyxl.styles import Font

    book = Workbook()
    book.remove(book.active)
    for sheet in sheets:
        page = book.create_sheet(sheet.name)
        for number, row in enumerate(sheet.rows, 1):
            for place, cell in enumerate(row, 1):
                if cell is None:
                    continue
                made = page.cell(row=number, column=place, value=cell)
                if isinstance(cell, date):
                    made.number_format = "m/d/yyyy"
                elif isinstance(cell, time):
                    made.number_format = "h:mm AM/PM"
        page.cell(row=1, column=1).font = Font(bold=True)
    out = io.BytesIO()
    book.save(out)
    return _settle(out.getvalue(), {"docProps/core.xml": _fixed_core})


def ods_bytes(sheets: list[Sheet]) -> bytes:
    """Sheets as an OpenDocument spreadsheet."""
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import Table, TableCell, TableRow
    from odf.text import P

    book = OpenDocumentSpreadsheet()
    for sheet in sheets:
        table = Table(name=sheet.name)
        for row in sheet.rows:
            line = TableRow()
            for cell in row or [None]:
                made = TableCell(**_ods_value(cell))
                if cell is not None:
                    made.addElement(P(text=plain_text(cell)))
                line.addElement(made)
            table.addElement(line)
        book.spreadsheet.addElement(table)
    out = io.BytesIO()
    book.save(out)
    return _settle(out.getvalue(), {"meta.xml": _fixed_meta})


def _ods_value(cell: Cell) -> dict[str, Any]:
    if isinstance(cell, date):
        return {"valuetype": "date", "datevalue": cell.isoformat()}
    if isinstance(cell, time):
        return {"valuetype": "time", "timevalue": f"PT{cell.hour:02d}H{cell.minute:02d}M00S"}
    if isinstance(cell, int | float):
        return {"valuetype": "float", "value": str(cell)}
    return {} if cell is None else {"valuetype": "string"}


def _fixed_core(text: str) -> str:
    stamp = f"{_MOMENT:%Y-%m-%dT%H:%M:%SZ}"
    return re.sub(r"(<dcterms:(created|modified)[^>]*>)[^<]*", rf"\g<1>{stamp}", text)


def _fixed_meta(text: str) -> str:
    """Without the writer's name, which holds the platform, and with the fixed moment for any date."""
    text = re.sub(r"<meta:generator>[^<]*</meta:generator>", "", text)
    return re.sub(r"(<(?:meta:creation-date|dc:date)>)[^<]*", rf"\g<1>{_MOMENT:%Y-%m-%dT%H:%M:%S}", text)


def _settle(archive: bytes, mended: dict[str, Callable[[str], str]]) -> bytes:
    """The archive with its members in the same order, one fixed time stamp and mended documents."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(archive)) as old, zipfile.ZipFile(out, "w") as new:
        for entry in old.infolist():
            body = old.read(entry)
            if entry.filename in mended:
                body = mended[entry.filename](body.decode("utf-8")).encode("utf-8")
            info = zipfile.ZipInfo(entry.filename, _MOMENT.timetuple()[:6])
            info.create_system = 3
            info.external_attr = 0o644 << 16
            # OpenDocument wants its first member, the type, uncompressed.
            info.compress_type = zipfile.ZIP_STORED if entry.filename == "mimetype" else zipfile.ZIP_DEFLATED
            new.writestr(info, body)
    return out.getvalue()
