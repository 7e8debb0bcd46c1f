"""Web pages by the name of a workbook, and files of neighbouring kinds that are no sheets."""

from __future__ import annotations

import html
import io
import zipfile
from typing import Any

from tests.corpus.truth import USUAL, Grid, Ugly, a_class, usual
from tests.corpus.writing import text_of

NAME = "Fall 2024 Section A"


def _made(case: str, ending: str, data: bytes, grid: Grid, **more: Any) -> Ugly:
    return Ugly(1, case, NAME + ending, data, tuple(grid.truth), **more)


def pages() -> list[Ugly]:
    """Web pages by the name of a workbook: cells over rows and columns, a code page of their own, tables within tables."""
    leaves = a_class(1111)
    rows = ["<tr>" + "".join(f"<th>{name}</th>" for name, _ in USUAL) + "</tr>"]
    for at, leaf in enumerate(leaves):
        cells = [text_of(column[1](leaf)) for column in USUAL]
        over = {0: 12, 2: 6, 3: 3}
        shown = [
            f"<td rowspan={over[place]}>{cell}" if place in over else f"<td>{cell}</td>"
            for place, cell in enumerate(cells)
            if at % over.get(place, 1) == 0
        ]
        rows.append("<tr>" + "".join(shown))
    spanned = "<table>" + "\n".join(rows) + "</table>"
    grid = usual(leaves)
    titled = Grid().add(["Field day"], []).table(leaves, USUAL, 6)
    titled.rows[1:2] = []
    for place, truth in enumerate(titled.truth):
        titled.truth[place] = type(truth)(truth.leaf, truth.sheet, truth.row - 1, truth.column)
    body = "".join("<tr>" + "".join(f"<td>{html.escape(text_of(cell))}&nbsp;</td>" for cell in row) + "</tr>" for row in titled.rows[1:])
    meta = "<meta http-equiv=Content-Type content='text/html; charset=windows-1252'><style>td {color:red}</style>"
    comment = "<!--[if gte mso 9]><xml><x:Name>S</x:Name></xml><![endif]-->"
    opening = f"<html xmlns:x='urn:x'><head>{meta}</head><body>{comment}"
    office = f"{opening}<table><col width=64><tr><td colspan=7>Field day</td></tr>{body}</table>"
    accents = usual(a_class(1112, sites=("canada", "ridge")))
    page = "<table>" + "".join("<tr>" + "".join(f"<td x:num>{text_of(c)}</td>" for c in r) + "</tr>" for r in accents.rows) + "</table>"
    outer = f"<html><body><table><tr><td><h1>Lab</h1></td><td><table>{body}</table></td></tr></table></body></html>"
    inner = usual(leaves, "table 2")
    return [
        _made("page with cells over several rows", ".xls", spanned.encode(), grid),
        _made("page of an office program", ".xls", office.encode("cp1252"), titled),
        _made("page without a head, in cp1252", ".xls", page.encode("cp1252"), accents),
        _made("page in utf-16", ".xls", b"\xff\xfe" + f"<html><body>{page}</body></html>".encode("utf-16-le"), accents),
        _made("page with the table within a table", ".xls", outer.encode(), inner),
    ]


def no_sheets() -> list[Ugly]:
    """Files of neighbouring kinds: refused in words that help."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("Index/Document.iwa", b"x")
    numbers = out.getvalue()
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("word/document.xml", "<w/>")
    words = out.getvalue()
    shortcut = b'{"url": "https://sheets.example/d/1", "doc_id": "1", "email": "vexley@school.example"}'
    return [
        Ugly(1, "a sheet of another program's kind", NAME + ".numbers", numbers, is_hopeless=True),
        Ugly(1, "a text document", NAME + ".docx", words, is_hopeless=True),
        Ugly(1, "a shortcut to a sheet elsewhere", NAME + ".gsheet", shortcut, is_hopeless=True, hides=("vexley",)),
    ]


FILES = [pages, no_sheets]
