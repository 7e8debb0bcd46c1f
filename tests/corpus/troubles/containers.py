"""Containers: one plain table in every wrapping, and the habits of spreadsheet programs that change what a cell holds."""

from __future__ import annotations

import csv
from typing import Any

from tests.corpus.old_workbook import xls_bytes
from tests.corpus.places import TAXA
from tests.corpus.truth import PLACE, USUAL, Grid, Ugly, a_class, usual
from tests.corpus.writing import csv_bytes, html_bytes, ods_bytes, with_cached, with_member, xlsx_bytes

NAME = "Fall 2024 Section A"


def _plain(case: str, ending: str, data: bytes, grid: Grid, **more: Any) -> Ugly:
    return Ugly(1, case, NAME + ending, data, tuple(grid.truth), **more)


def workbooks() -> list[Ugly]:
    """Old and new workbooks, both epochs of dates, with macros, OpenDocument with its repeated cells."""
    grid = usual(a_class(101), "Sheet1")
    macros = with_member(
        xlsx_bytes(grid),
        "[Content_Types].xml",
        lambda text: text.replace("spreadsheetml.sheet.main+xml", "ms-excel.sheet.macroEnabled.main+xml").replace(
            "openxmlformats-officedocument.ms-excel", "ms-excel"
        ),
    )
    return [
        _plain("xls, dates from 1900", ".xls", xls_bytes({"Sheet1": grid.rows}), grid),
        _plain("xls, dates from 1904", ".xls", xls_bytes({"Sheet1": grid.rows}, is_1904=True), grid),
        _plain("xlsx", ".xlsx", xlsx_bytes(grid), grid),
        _plain("xlsx, dates from 1904", ".xlsx", xlsx_bytes(grid, is_1904=True), grid),
        _plain("xlsm", ".xlsm", macros, grid),
        _plain("ods with repeated cells", ".ods", ods_bytes(grid), grid),
        _plain("ods with a million blank rows below", ".ods", ods_bytes(grid, blank_below=1_048_000, blank_right=16_000), grid),
        _plain("xls that is an xlsx", ".xls", xlsx_bytes(grid), grid, says=("xlsx|workbook",)),
        _plain("xlsx that is an ods", ".xlsx", ods_bytes(grid), grid, says=("OpenDocument",)),
    ]


def lies() -> list[Ugly]:
    """Endings that lie, web pages under the name of a workbook."""
    grid = usual(a_class(102))
    page = usual(a_class(103), "")
    return [
        _plain("xls that is a web page", ".xls", html_bytes(page.rows, title="export"), page),
        _plain("xls that is tab-delimited text", ".xls", csv_bytes(grid.rows, separator="\t"), grid, says=("delimited text",)),
        _plain("csv that is tab-delimited", ".csv", csv_bytes(grid.rows, separator="\t"), grid),
        _plain("xlsx that is csv", ".xlsx", csv_bytes(grid.rows), grid, says=("delimited text",)),
    ]


def texts() -> list[Ugly]:
    """Encodings, separators, quotes and line ends of delimited text; a site's accent shows whether the encoding was understood."""
    grid = usual(a_class(104, sites=("canada", "ridge")))
    made = []
    for encoding in ("utf-8-sig", "utf-16", "cp1252", "mac-roman"):
        case = f"csv in {encoding}"
        made.append(_plain(case, ".csv", csv_bytes(grid.rows, encoding=encoding), grid))
    made.append(_plain("csv in utf-16 without a mark", ".csv", csv_bytes(grid.rows, encoding="utf-16-le"), grid))
    for separator, word in ((";", "semicolon"), ("\t", "tab"), ("|", "bar")):
        ending = ".tsv" if separator == "\t" else ".txt" if separator == "|" else ".csv"
        made.append(_plain(f"text split by {word}", ending, csv_bytes(grid.rows, separator=separator), grid))
    made.append(_plain("csv, all quoted, old line ends", ".csv", csv_bytes(grid.rows, quoting=csv.QUOTE_ALL, ends="\r"), grid))
    lines = csv_bytes(grid.rows).splitlines(keepends=True)
    mixed = b"".join(lines[:4]) + b"".join(line.decode().encode("cp1252") for line in lines[4:])
    made.append(_plain("csv of two encodings in one file", ".csv", mixed, grid))
    led = csv_bytes(grid.rows, separator=";")
    made.append(_plain("csv that names its separator", ".csv", b"sep=;\r\n" + led, _moved(grid, 1)))
    return made


def _moved(grid: Grid, down: int) -> Grid:
    moved = Grid(grid.sheet)
    for truth in grid.truth:
        moved.note(truth.leaf, ord(truth.column) - 65, truth.row + down)
    return moved


def quoted() -> list[Ugly]:
    """Quotes, doubled quotes, separators and line breaks within cells; separators at the end of lines."""
    remarks = ["fine", 'said "dry"', "windy, clear", "two\nlines", "", 'a "quoted, bit"\r\nand more']
    leaves = a_class(105)
    grid = Grid().table(leaves, (*USUAL, ("Remarks", lambda leaf: remarks[(int(leaf.plant) + len(leaf.site)) % 6])), 6)
    tailed = usual(leaves)
    data = csv_bytes(tailed.rows).replace(b"\r\n", b",,,,\r\n")
    return [
        _plain("csv with quotes and line breaks in cells", ".csv", csv_bytes(grid.rows), grid),
        _plain("csv with separators at the ends of lines", ".csv", data + b",,,,,,,,\r\n" * 30, tailed),
    ]


def hidden() -> list[Ugly]:
    """Hidden sheets, rows, columns and filters: read, and said so."""
    first, other = usual(a_class(106), "Readings"), usual(a_class(107, days=(a_class(1)[0].day.replace(day=24),)), "Old")

    def hide_sheet(book: Any) -> None:
        book["Old"].sheet_state = "hidden"

    def hide_rows(book: Any) -> None:
        for row in (4, 5):
            book["Readings"].row_dimensions[row].hidden = True

    def hide_column(book: Any) -> None:
        book["Readings"].column_dimensions["E"].hidden = True

    def filtered(book: Any) -> None:
        sheet = book["Readings"]
        sheet.auto_filter.ref = "A1:G13"
        sheet.auto_filter.add_filter_column(2, ["Ridge Top"])
        for row in range(8, 14):
            sheet.row_dimensions[row].hidden = True

    both = Grid("Readings", [], [*first.truth, *other.truth])
    return [
        _plain("hidden sheet", ".xlsx", xlsx_bytes(first, other, shape=hide_sheet), both, says=("hidden",)),
        _plain("hidden rows", ".xlsx", xlsx_bytes(first, shape=hide_rows), first, says=("hidden",)),
        _plain("hidden column", ".xlsx", xlsx_bytes(first, shape=hide_column), first, says=("hidden",)),
        _plain("active filter", ".xlsx", xlsx_bytes(first, shape=filtered), first, says=("hidden|filter",)),
    ]


def formulas() -> list[Ugly]:
    """Formulas with the value left beside them, without one, with an error, and one that turns a blank into 0."""
    leaves = a_class(108)
    grid = Grid("Sheet1")
    grid.table(leaves, (*PLACE, ("Gauge", lambda leaf: leaf.number), ("Pressure (bar)", lambda leaf: leaf.number)), 7)
    for row in range(2, len(grid.rows) + 1):
        grid.rows[row - 1][7] = f"=G{row}"
    grid.rows[0][6] = "Dial mark"
    cached = with_cached(xlsx_bytes(grid), {f"H{row + 2}": f"{leaf.number:g}" for row, leaf in enumerate(leaves)})
    lost = [leaf.but(expect="aside") for leaf in leaves[:2]]
    broken = Grid("Sheet1", [list(row) for row in grid.rows])
    for position, leaf in enumerate([*lost, *leaves[2:]]):
        broken.note(leaf, 7, position + 2)
    errors = {f"H{row + 2}": "#DIV/0!" if row < 2 else f"{leaf.number:g}" for row, leaf in enumerate(leaves)}
    none = Grid("Sheet1", [], [])
    for position, leaf in enumerate(leaves):
        none.note(leaf.but(expect="aside"), 7, position + 2)
    zeros = Grid("Sheet1", [list(row) for row in grid.rows])
    for position, leaf in enumerate([*lost, *leaves[2:]]):
        zeros.note(leaf, 7, position + 2)
        if position < 2:
            zeros.rows[position + 1][6] = None
    nought = {f"H{row + 2}": "0" if row < 2 else f"{leaf.number:g}" for row, leaf in enumerate(leaves)}
    return [
        _plain("formulas with cached values", ".xlsx", cached, grid),
        _plain("formulas with error values", ".xlsx", with_cached(xlsx_bytes(broken), errors), broken),
        _plain("formulas without cached values", ".xlsx", xlsx_bytes(grid), none, is_hopeless=True),
        _plain("a blank turned into 0 by a formula", ".xlsx", with_cached(xlsx_bytes(zeros), nought), zeros),
    ]


def formats() -> list[Ugly]:
    """Merged cells, ranges that lie, a unit that stands in the number format alone."""
    leaves = a_class(109, sites=("ridge", "bench"))
    merged = usual(leaves, "Sheet1")
    for row in range(len(merged.rows)):
        if row > 0 and (row - 1) % 6:
            merged.rows[row][2] = None

    def merge(book: Any) -> None:
        book["Sheet1"].merge_cells("C2:C7")
        book["Sheet1"].merge_cells("C8:C13")

    grid = Grid("Sheet1").table(leaves, (*PLACE, ("Pressure", lambda leaf: leaf.number)), 6)

    def with_unit(book: Any) -> None:
        for row in range(2, len(grid.rows) + 1):
            book["Sheet1"].cell(row, 7).number_format = '0.0" bar"'

    plain = usual(leaves, "Sheet1")
    lying = with_member(
        xlsx_bytes(plain), "xl/worksheets/sheet1.xml", lambda text: text.replace('<dimension ref="A1:G13"', '<dimension ref="A1:C4"')
    )
    wide = with_member(
        xlsx_bytes(plain),
        "xl/worksheets/sheet1.xml",
        lambda text: text.replace('<dimension ref="A1:G13"', '<dimension ref="A1:XFD1048576"'),
    )
    asks = frozenset({"unit_missing"})
    return [
        _plain("site merged over its block", ".xlsx", xlsx_bytes(merged, shape=merge), merged),
        _plain("the unit in the number format", ".xlsx", xlsx_bytes(grid, shape=with_unit), grid, answers=("reading.unit=bar",)),
        _plain("declared range too small", ".xlsx", lying, plain),
        _plain("declared range of the whole sheet", ".xlsx", wide, plain),
        _plain("no unit in number or format", ".xlsx", xlsx_bytes(grid), grid, asks=asks, answers=("reading.unit=bar",)),
    ]


def several_sheets() -> Ugly:
    """A workbook with a chart page of averages, a cover sheet of notes and the readings last."""
    cover = Grid("Read me").add(["Plant physiology lab"], ["All readings in bar"], [None], ["Averages are on the sheet Summary"])
    grid = usual(a_class(110), "Data")
    summary = Grid("Summary").add(["Site", "Species", "Mean pressure (bar)"])
    summary.add(*[[site, TAXA[taxon], 15.5] for site in ("Ridge Top", "Creek Draw") for taxon in ("ange", "rhgl")])
    return _plain("readings behind a cover and a summary sheet", ".xlsx", xlsx_bytes(cover, summary, grid), grid)


FILES = [workbooks, lies, texts, quoted, hidden, formulas, formats, several_sheets]
