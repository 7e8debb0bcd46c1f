"""Workbooks for the tests: sheets of cells written as .xlsx or .ods, as spreadsheet programs write them."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from datetime import date, time
from typing import Any

Cells = Sequence[Sequence[Any]]


def xlsx_bytes(sheets: Mapping[str, Cells]) -> bytes:
    """An Excel workbook; dates and times are real ones where they are given as such."""
    import openpyxl

    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append([cell if cell != "" else None for cell in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def ods_bytes(sheets: Mapping[str, Cells]) -> bytes:
    """An OpenDocument sheet with typed cells."""
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import Table, TableCell, TableRow
    from odf.text import P

    book = OpenDocumentSpreadsheet()
    for name, rows in sheets.items():
        table = Table(name=name)
        for row in rows:
            line = TableRow()
            for cell in row:
                attributes, text = _typed(cell)
                made = TableCell(**attributes)
                if text:
                    made.addElement(P(text=text))
                line.addElement(made)
            table.addElement(line)
        book.spreadsheet.addElement(table)
    out = io.BytesIO()
    book.write(out)
    return out.getvalue()


def _typed(cell: Any) -> tuple[dict[str, str], str]:
    if isinstance(cell, date):
        return {"valuetype": "date", "datevalue": cell.isoformat()}, cell.isoformat()
    if isinstance(cell, time):
        return {"valuetype": "time", "timevalue": f"PT{cell.hour:02}H{cell.minute:02}M00S"}, f"{cell:%H:%M}"
    if isinstance(cell, (int, float)):
        return {"valuetype": "float", "value": str(cell)}, str(cell)
    return ({"valuetype": "string"}, str(cell)) if cell not in ("", None) else ({}, "")
