"""Write grids as the files that classes hand in: delimited text in any encoding, workbooks, OpenDocument sheets, web pages."""

from __future__ import annotations

import csv
import html
import io
import re
import zipfile
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, time
from typing import Any

from tests.corpus.truth import Grid

Rows = Sequence[Sequence[object]]


def text_of(cell: object) -> str:
    """A cell as it stands in a text file."""
    if cell is None:
        return ""
    if isinstance(cell, datetime):
        return cell.strftime("%Y-%m-%d %H:%M")
    if isinstance(cell, time):
        return cell.strftime("%H:%M")
    return cell.isoformat() if isinstance(cell, date) else f"{cell:g}" if isinstance(cell, float) else str(cell)


def csv_bytes(rows: Rows, *, separator: str = ",", encoding: str = "utf-8", ends: str = "\r\n", quoting: int = csv.QUOTE_MINIMAL) -> bytes:
    """Delimited text."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, lineterminator=ends, quoting=quoting)  # type: ignore[arg-type]  # the module's own ints
    writer.writerows([text_of(cell) for cell in row] for row in rows)
    return out.getvalue().encode(encoding, errors="xmlcharrefreplace" if encoding == "ascii" else "strict")


def html_bytes(rows: Rows, *, title: str = "") -> bytes:
    """A web page with one table, as web tools send it under the name of a workbook."""
    lines = "".join("<tr>" + "".join(f"<td>{html.escape(text_of(cell))}</td>" for cell in row) + "</tr>\n" for row in rows)
    head = f"<head><meta charset='utf-8'><title>{html.escape(title)}</title></head>"
    return f"<html>{head}<body>\n<table border='1'>\n{lines}</table>\n</body></html>".encode()


def xlsx_bytes(*grids: Grid, shape: Callable[[Any], None] | None = None, is_1904: bool = False) -> bytes:
    """A workbook with a sheet for each grid; `shape` may change it before it is written (merge, hide, format)."""
    import openpyxl
    from openpyxl.utils.datetime import CALENDAR_MAC_1904

    book = openpyxl.Workbook()
    book.remove(book.active)
    if is_1904:
        book.epoch = CALENDAR_MAC_1904
    for grid in grids:
        sheet = book.create_sheet(grid.sheet or "Sheet1")
        for number, row in enumerate(grid.rows, start=1):
            for position, cell in enumerate(row, start=1):
                if cell is not None:
                    sheet.cell(number, position, cell)
    if shape:
        shape(book)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def with_cached(data: bytes, values: Mapping[str, str], sheet: int = 1) -> bytes:
    """A workbook whose formulas carry the values that a spreadsheet program would have left beside them; "#..." is an error."""

    def cached(match: re.Match[str]) -> str:
        value = values.get(match[1])
        if value is None:
            return match[0]
        kind = ' t="e"' if value.startswith("#") else ""
        return f'<c r="{match[1]}"{match[2] or ""}{kind}>{match[3]}<v>{value}</v></c>'

    def change(text: str) -> str:
        return re.sub(r'<c r="([A-Z]+\d+)"( s="\d+")?[^>]*>(<f>[^<]*</f>)<v\s*/?>(?:</v>)?</c>', cached, text)

    return with_member(data, f"xl/worksheets/sheet{sheet}.xml", change)


def with_member(data: bytes, member: str, change: Callable[[str], str]) -> bytes:
    """An archive with the text of one member changed."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            raw = old.read(name)
            new.writestr(name, change(raw.decode()) if name == member else raw)
    return out.getvalue()


_ODS_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?><office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
    'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" '
    'office:version="1.2"><office:body><office:spreadsheet>'
)


def ods_bytes(*grids: Grid, blank_below: int = 0, blank_right: int = 0) -> bytes:
    """An OpenDocument sheet: equal cells and rows side by side are written once with a count, as the format has it."""
    body = ""
    for grid in grids:
        lines = "".join(_ods_row(row, blank_right) for row in grid.rows)
        tail = f'<table:table-row table:number-rows-repeated="{blank_below}"><table:table-cell/></table:table-row>' if blank_below else ""
        body += f'<table:table table:name="{html.escape(grid.sheet or "Sheet1")}">{lines}{tail}</table:table>'
    content = f"{_ODS_HEAD}{body}</office:spreadsheet></office:body></office:document-content>"
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    manifest = (
        '<?xml version="1.0" encoding="UTF-8"?><manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
        f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{kind}"/>'
        '<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/></manifest:manifest>'
    )
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", kind, zipfile.ZIP_STORED)
        archive.writestr("content.xml", content)
        archive.writestr("META-INF/manifest.xml", manifest)
    return out.getvalue()


def _ods_row(row: Sequence[object], blank_right: int) -> str:
    cells, position = "", 0
    while position < len(row):
        count = 1
        while position + count < len(row) and row[position + count] == row[position]:
            count += 1
        repeated = f' table:number-columns-repeated="{count}"' if count > 1 else ""
        cells += _ods_cell(row[position], repeated)
        position += count
    if blank_right:
        cells += f'<table:table-cell table:number-columns-repeated="{blank_right}"/>'
    return f"<table:table-row>{cells}</table:table-row>"


def _ods_cell(cell: object, repeated: str) -> str:
    if cell is None:
        return f"<table:table-cell{repeated}/>"
    shown = html.escape(text_of(cell))
    if isinstance(cell, time):
        kind = f'office:value-type="time" office:time-value="PT{cell.hour:02d}H{cell.minute:02d}M00S"'
    elif isinstance(cell, date):
        kind = f'office:value-type="date" office:date-value="{cell.isoformat()}"'
    elif isinstance(cell, (int, float)):
        kind = f'office:value-type="float" office:value="{cell}"'
    else:
        kind = 'office:value-type="string"'
    return f"<table:table-cell{repeated} {kind}><text:p>{shown}</text:p></table:table-cell>"
