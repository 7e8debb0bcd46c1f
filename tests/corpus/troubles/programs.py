"""Workbooks as programs leave them: hidden and differing copies, joined cells, formats, comments, pages with cells over rows."""

from __future__ import annotations

from datetime import date
from typing import Any

from tests.corpus.old_workbook import xls_bytes
from tests.corpus.places import SITES
from tests.corpus.truth import DATE, LEAF, PLACE, PLANT, SITE, TAXON, TIME, USUAL, Grid, Ugly, a_class, usual
from tests.corpus.writing import ods_bytes, with_cached, with_member, xlsx_bytes

NAME = "Fall 2024 Section A"


def _made(case: str, ending: str, data: bytes, grid: Grid | tuple[Any, ...], **more: Any) -> Ugly:
    return Ugly(1, case, NAME + ending, data, tuple(grid.truth if isinstance(grid, Grid) else grid), **more)


def hidden() -> list[Ugly]:
    """Hidden sheets, rows and columns that say something else than what is seen."""
    leaves = a_class(1113)
    doubted = [leaf.but(expect="doubt") if at == 3 else leaf for at, leaf in enumerate(leaves)]
    now = usual(doubted, "Data")
    old = usual([leaf.but(expect="aside") if leaf.expect == "load" else leaf.but(number=leaf.number + 3) for leaf in doubted], "Backup")
    tests = usual([*leaves, leaves[0].but(number=5.0, plant="9"), leaves[1].but(number=6.0, plant="9", leaf="2")], "Data")
    columns = Grid("Data").table(
        leaves, (*PLACE, ("Pressure (bar)", lambda leaf: leaf.number), ("Raw (psi)", lambda leaf: round(leaf.number * 14.5038))), 6
    )
    rivals = Grid("Data").table(
        leaves,
        (*PLACE, ("Pressure (bar)", lambda leaf: leaf.number), ("Pressure before correction (bar)", lambda leaf: leaf.number + 2)),
        6,
    )

    def very(book: Any) -> None:
        book["Backup"].sheet_state = "veryHidden"

    def rows(book: Any) -> None:
        for row in (14, 15):
            book["Data"].row_dimensions[row].hidden = True

    def flat(book: Any) -> None:
        book["Data"].row_dimensions[14].height = 0
        book["Data"].column_dimensions["H"].width = 0

    def column(book: Any) -> None:
        book["Data"].column_dimensions["H"].hidden = True

    def grouped(book: Any) -> None:
        book["Data"].column_dimensions.group("C", "D", hidden=True)
        book["Data"].row_dimensions.group(8, 10, hidden=True)

    return [
        _made("hidden backup with another value", ".xlsx", xlsx_bytes(now, old, shape=very), (*now.truth, *old.truth), says=("hidden",)),
        _made("hidden rows of a trial", ".xlsx", xlsx_bytes(tests, shape=rows), tests, says=("hidden rows",)),
        _made("hidden column in another unit", ".xlsx", xlsx_bytes(columns, shape=column), columns, says=("hidden columns",)),
        _made(
            "hidden rival column",
            ".xlsx",
            xlsx_bytes(rivals, shape=column),
            rivals,
            asks=frozenset({"column_unclear"}),
            answers=("columns.reading=Pressure (bar)",),
        ),
        _made(
            "grouped and folded rows and columns",
            ".xlsx",
            xlsx_bytes(usual(leaves, "Data"), shape=grouped),
            usual(leaves, "Data"),
            says=("hidden rows", "hidden columns"),
        ),
        _made(
            "rows of no height",
            ".xlsx",
            xlsx_bytes(usual(leaves, "Data"), shape=lambda book: setattr(book["Data"].row_dimensions[5], "hidden", True)),
            usual(leaves, "Data"),
            says=("hidden rows",),
        ),
        _made("ods with hidden and filtered rows", ".ods", _ods_hidden(usual(leaves, "Data")), usual(leaves, "Data"), says=("hidden",)),
    ]


def _ods_hidden(grid: Grid) -> bytes:
    counted = iter(range(100))

    def hide(text: str) -> str:
        parts = text.split("<table:table-row>")
        return parts[0] + "".join(
            f"<table:table-row{' table:visibility=' + chr(34) + ('filter' if at % 2 else 'collapse') + chr(34) if at in (5, 6) else ''}>"
            + part
            for part, at in zip(parts[1:], counted, strict=False)
        )

    return with_member(ods_bytes(grid), "content.xml", hide)


def open_documents() -> list[Ugly]:
    """OpenDocument sheets: comments in cells, cells of several lines, joined cells, rows far below the table, styles of time."""
    leaves = a_class(1114)
    grid = usual(leaves, "Data")

    def commented(text: str) -> str:
        who = "<dc:creator xmlns:dc='urn:dc'>Oriana Vexley</dc:creator>"
        note = f"<office:annotation>{who}<text:p>typed by Vexley 99</text:p></office:annotation>"
        changed = text.replace("<text:p>Ridge Top", note + "<text:p>Ridge<text:s text:c='1'/>Top", 2)
        return changed.replace(
            'office:value-type="float" office:value="1"><text:p>', f'office:value-type="float" office:value="1">{note}<text:p>', 2
        )

    lined = usual(leaves, "Data")
    far = Grid("Data").table(leaves, USUAL, 6)
    note = (
        '<table:table-row table:number-rows-repeated="1000000"><table:table-cell table:number-columns-repeated="1024"/></table:table-row>'
    )
    below = with_member(
        ods_bytes(far),
        "content.xml",
        lambda text: text.replace("</table:table>", note + "<table:table-row><table:table-cell/></table:table-row></table:table>"),
    )
    same = [leaf.but(plant="", leaf="", clock="", number=14.5) for leaf in leaves]
    twins = Grid("Data").table(same, (DATE, ("Window", lambda _: "midday"), SITE, TAXON, USUAL[6]), 4)
    joined = Grid("Data").table(leaves, USUAL, 6)
    for row in range(2, 13):
        if (row - 1) % 6:
            joined.rows[row][2] = None
    return [
        _made("ods with comments in cells", ".ods", with_member(ods_bytes(grid), "content.xml", commented), grid, hides=("Vexley",)),
        _made(
            "ods with names of two lines",
            ".ods",
            with_member(
                ods_bytes(lined),
                "content.xml",
                lambda text: text.replace("<text:p>Creek Draw</text:p>", "<text:p>Creek</text:p><text:p>Draw</text:p>"),
            ),
            lined,
        ),
        _made("ods with a row a million rows below", ".ods", below, far),
        _made("ods with equal rows written once", ".ods", _ods_rows_once(twins), twins),
        _made("ods with joined cells", ".ods", with_member(ods_bytes(joined), "content.xml", lambda text: text), joined),
    ]


def _ods_rows_once(grid: Grid) -> bytes:
    def once(text: str) -> str:
        start = text.index("<table:table-row>")
        end = text.rindex("</table:table-row>") + len("</table:table-row>")
        rows = [row + "</table:table-row>" for row in text[start:end].split("</table:table-row>") if row]
        out, at = [], 0
        while at < len(rows):
            count = 1
            while at + count < len(rows) and rows[at + count] == rows[at]:
                count += 1
            out.append(
                rows[at].replace("<table:table-row>", f'<table:table-row table:number-rows-repeated="{count}">') if count > 1 else rows[at]
            )
            at += count
        return text[:start] + "".join(out) + text[end:]

    return with_member(ods_bytes(grid), "content.xml", once)


def computed() -> list[Ugly]:
    """Formulas for names, dates and times; values that came out as errors; some that were never computed."""
    leaves = a_class(1115)
    dates = Grid("Data").table(leaves, USUAL, 6)
    for row in range(3, 14):
        dates.rows[row - 1][0] = f"=A{row - 1}"
        dates.rows[row - 1][2] = f"=IF(1,C{row})" if row == 3 else dates.rows[row - 1][2]
    serial = str((date(2024, 9, 17) - date(1899, 12, 30)).days)
    kept = with_cached(xlsx_bytes(dates), {f"A{row}": serial for row in range(3, 14)})
    bad = [leaf.but(expect="aside") if at in (1, 4, 7) else leaf for at, leaf in enumerate(leaves)]
    broken = Grid("Data").table(bad, USUAL, 6)
    broken.rows[2][6], broken.rows[5][6], broken.rows[8][2] = "=1/0", "=NA()", "=VLOOKUP(1,A1:A2,1)"
    errors = with_cached(xlsx_bytes(broken), {"G3": "#DIV/0!", "G6": "#N/A", "C9": "#REF!"})
    some = [leaf.but(expect="aside") if at in (2, 6) else leaf for at, leaf in enumerate(leaves)]
    lost = Grid("Data").table(some, USUAL, 6)
    lost.rows[3][6], lost.rows[7][6] = "=G3+1", "=SUM(G3,1)"
    dated = Grid("Data").table([leaf.but(expect="aside") for leaf in leaves], USUAL, 6)
    for row in range(2, 14):
        dated.rows[row - 1][0] = "=DATE(2024,9,17)"
    return [
        _made("dates computed from the row above", ".xlsx", kept, dates),
        _made("errors of three kinds", ".xlsx", errors, broken),
        _made("two formulas without a kept value", ".xlsx", xlsx_bytes(lost), lost, says=("without a kept value",)),
        _made("no date kept", ".xlsx", xlsx_bytes(dated), dated, is_hopeless=True),
    ]


def formats() -> list[Ugly]:
    """Number formats that carry units, joined blocks of date and site, old workbooks from either epoch with clocks and texts."""
    leaves = a_class(1116)
    grid = Grid("Data").table(leaves, (*PLACE, ("Reading", lambda leaf: leaf.number)), 6)
    mixed = [leaf if at % 3 else leaf.but(number=round(leaf.number * 14.5038 / 5) * 5.0, unit="psi") for at, leaf in enumerate(leaves)]
    both = Grid("Data").table(mixed, (*PLACE, ("Reading", lambda leaf: leaf.number)), 6)
    shapes = ('0.0" bar"', '0.0\\ "bar"', "0.0 \\b\\a\\r", '[>40]"over";0.0" bar"', '_-* 0.0" bar"_-')

    def units(book: Any) -> None:
        for row in range(2, 14):
            book["Data"].cell(row, 7).number_format = shapes[row % 5]

    def two(book: Any) -> None:
        for row in range(2, 14):
            book["Data"].cell(row, 7).number_format = '0" psi"' if both.truth[row - 2].leaf.unit == "psi" else '0.0" bar"'

    merged = usual(leaves, "Data")
    for row in range(2, 13):
        merged.rows[row][0] = None
        if (row - 1) % 6:
            merged.rows[row][2] = None
        if (row - 1) % 3:
            merged.rows[row][3] = None

    def merge(book: Any) -> None:
        book["Data"].merge_cells("A2:A13")
        for first in (2, 8):
            book["Data"].merge_cells(f"C{first}:C{first + 5}")
        for first in range(2, 14, 3):
            book["Data"].merge_cells(f"D{first}:D{first + 2}")

    early = a_class(1117, window="predawn")
    old = usual([*early, *leaves], "Data")
    texts = Grid("Data").table(
        leaves, (("Date", lambda leaf: f"{leaf.day:%b} {leaf.day.day}, {leaf.day.year}"), TIME, SITE, TAXON, PLANT, LEAF, USUAL[6]), 6
    )
    serials = Grid("Data").table(
        leaves, (("Date", lambda leaf: (leaf.day - date(1904, 1, 1)).days), TIME, SITE, TAXON, PLANT, LEAF, USUAL[6]), 6
    )
    return [
        _made("units in five number formats", ".xlsx", xlsx_bytes(grid, shape=units), grid),
        _made("two units in number formats", ".xlsx", xlsx_bytes(both, shape=two), both),
        _made("date, site and plant joined over blocks", ".xlsx", xlsx_bytes(merged, shape=merge), merged),
        _made("xls from 1904 with predawn and midday", ".xls", xls_bytes({"Data": old.rows}, is_1904=True), old),
        _made("xls from 1904 with dates in words", ".xls", xls_bytes({"Data": texts.rows}, is_1904=True), texts),
        _made("serials from 1904 that lost their format", ".xlsx", xlsx_bytes(serials, is_1904=True), serials, is_hopeless=True),
        _made(
            "xls with equal tables on two sheets of sites",
            ".xls",
            xls_bytes({SITES["ridge"]: usual(leaves[:6], SITES["ridge"]).rows, SITES["draw"]: usual(leaves[6:], SITES["draw"]).rows}),
            (*usual(leaves[:6], SITES["ridge"]).truth, *usual(leaves[6:], SITES["draw"]).truth),
        ),
    ]


FILES = [hidden, open_documents, computed, formats]
