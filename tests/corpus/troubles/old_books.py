"""Old workbooks (.xls) that hide and format, and errors in any workbook: what a reader of values alone takes for plain or for blank."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tests.corpus.old_workbook import Computed, Look, xls_bytes
from tests.corpus.truth import DATE, LEAF, PLACE, PLANT, TAXON, TIME, USUAL, Grid, Leaf, Truth, Ugly, a_class, usual
from tests.corpus.writing import ods_bytes, with_cached, with_member, xlsx_bytes

NAME = "Fall 2024 Section A"
FORMATS = ('0.0" bar"', '0.0\\ "bar"', "0.0 \\b\\a\\r", '[>40]"over";0.0" bar"', '_-* 0.0" bar"_-')


def _made(case: str, ending: str, data: bytes, truth: Sequence[Truth], **more: Any) -> Ugly:
    return Ugly(1, case, NAME + ending, data, tuple(truth), **more)


def _unnamed(leaves: Sequence[Leaf]) -> Grid:
    """A header of the readings without a unit."""
    return Grid("Data").table(leaves, (*PLACE, ("Reading", lambda leaf: leaf.number)), 6)


def _mixed(leaves: Sequence[Leaf]) -> Grid:
    """Every third leaf in bar, the others in psi, and no cell that says so."""
    return _unnamed([leaf if at % 3 else leaf.but(number=leaf.number * 14.5, unit="psi") for at, leaf in enumerate(leaves)])


def formats() -> list[Ugly]:
    """The unit in the number format alone, in one or in five of them, two units, dates of either epoch beside them."""
    leaves = a_class(1201)
    grid, both = _unnamed(leaves), _mixed(leaves)
    one = Look(formats={6: FORMATS[0]})
    five = {(row, 6): FORMATS[row % 5] for row in range(2, 14)}
    two = {(at, 6): f'0.0" {truth.leaf.unit}"' for at, truth in enumerate(both.truth, start=2)}
    asks = frozenset({"unit_missing"})
    plain = {6: "0.0"}
    return [
        _made("xls with the unit in the number format", ".xls", xls_bytes({"Data": grid.rows}, looks={"Data": one}), grid.truth),
        _made("xls with units in five number formats", ".xls", xls_bytes({"Data": grid.rows}, looks=_look(formats=five)), grid.truth),
        _made("xls with two units in number formats", ".xls", xls_bytes({"Data": both.rows}, looks=_look(formats=two)), both.truth),
        _made(
            "xls from 1904 with the unit in the number format",
            ".xls",
            xls_bytes({"Data": grid.rows}, is_1904=True, looks=_look(formats={6: FORMATS[1]})),
            grid.truth,
        ),
        _made(
            "xls with a format of decimals and no unit",
            ".xls",
            xls_bytes({"Data": grid.rows}, looks=_look(formats=plain)),
            grid.truth,
            asks=asks,
            answers=("reading.unit=bar",),
        ),
        _made("ods that shows the unit", ".ods", _showing(grid), grid.truth),
        _made("ods that shows two units", ".ods", _showing(both), both.truth),
    ]


def _look(**how: Any) -> dict[str, Look]:
    return {"Data": Look(**how)}


def _showing(grid: Grid) -> bytes:
    """As an office program writes a number whose format shows its unit: the number as a value, both as the text."""

    def show(text: str) -> str:
        for truth in grid.truth:
            number = f'office:value="{truth.leaf.number}"'
            text = text.replace(f"{number}><text:p>{truth.leaf.number:g}<", f"{number}><text:p>{truth.leaf.number:.1f} {truth.leaf.unit}<")
        return text

    return with_member(ods_bytes(grid), "content.xml", show)


def hidden() -> list[Ugly]:
    """Hidden rows, columns and sheets, and an active filter: all are read, and the receipt says so."""
    leaves = a_class(1202)
    grid, old = usual(leaves, "Data"), usual(a_class(1203, days=(leaves[0].day.replace(day=24),)), "Old")
    backup = usual([leaf.but(expect="aside") for leaf in leaves], "Old")
    both = {"Data": grid.rows, "Old": old.rows}
    truth = (*grid.truth, *old.truth)
    rivals = (*PLACE, ("Pressure (bar)", lambda leaf: leaf.number), ("Pressure before correction (bar)", lambda leaf: leaf.number + 2))
    two = Grid("Data").table(leaves, rivals, 6)
    return [
        _made("xls with hidden rows", ".xls", xls_bytes({"Data": grid.rows}, looks=_look(rows=(4, 5))), grid.truth, says=("hidden rows",)),
        _made(
            "xls with a hidden column",
            ".xls",
            xls_bytes({"Data": grid.rows}, looks=_look(columns=(4,))),
            grid.truth,
            says=("hidden columns",),
        ),
        _made("xls with a hidden sheet", ".xls", xls_bytes(both, looks={"Old": Look(state=1)}), truth, says=("hidden sheets",)),
        _made("xls with a sheet that no menu shows", ".xls", xls_bytes(both, looks={"Old": Look(state=2)}), truth, says=("hidden sheets",)),
        _made(
            "xls with a hidden copy of the readings",
            ".xls",
            xls_bytes({"Data": grid.rows, "Old": backup.rows}, looks={"Old": Look(state=1)}),
            (*grid.truth, *backup.truth),
            says=("hidden sheets",),
        ),
        _made(
            "xls with an active filter",
            ".xls",
            xls_bytes({"Data": grid.rows}, looks=_look(rows=range(8, 14), is_filtered=True)),
            grid.truth,
            says=("hidden rows", "by a filter"),
        ),
        _made(
            "xls with a hidden rival column",
            ".xls",
            xls_bytes({"Data": two.rows}, looks=_look(columns=(7,))),
            two.truth,
            asks=frozenset({"column_unclear"}),
            answers=("columns.reading=Pressure (bar)",),
        ),
    ]


_ODS_ERROR = '<table:table-cell table:formula="of:=1/0" office:value-type="string" office:string-value="" calcext:value-type="error">'


def errors() -> list[Ugly]:
    """Errors where a reading should be, and where the name or the date of a whole block should be: no blank that means "as above"."""
    leaves = a_class(1204)
    broken = usual([leaf.but(expect="aside") if at in (1, 4) else leaf for at, leaf in enumerate(leaves)], "Data")
    broken.rows[2][6], broken.rows[5][6] = Computed("#DIV/0!"), Computed("#N/A")
    nought = usual([leaf.but(expect="aside") if at == 2 else leaf for at, leaf in enumerate(leaves)], "Data")
    nought.rows[3][6] = Computed(0.0)
    computed = usual(leaves, "Data")
    for cells, leaf in zip(computed.rows[1:], leaves, strict=True):
        cells[6] = Computed(leaf.number)
    made = [
        _made("xls with errors among the readings", ".xls", xls_bytes({"Data": broken.rows}), broken.truth, says=("G3, G6",)),
        _made("xls with a blank turned into 0 by a formula", ".xls", xls_bytes({"Data": nought.rows}), nought.truth, says=("as 0.*G4",)),
        _made("xls with computed readings", ".xls", xls_bytes({"Data": computed.rows}), computed.truth),
    ]
    for place, what in ((2, "site"), (0, "date")):
        lost = [leaf.but(expect="aside") if leaf.site == "draw" else leaf for leaf in leaves]
        grid = Grid("Data").table(lost, USUAL, 6)
        for row in range(2, 13):
            if row != 7:
                grid.rows[row][place] = None
        case = f"the {what} of a block is an error"
        grid.rows[7][place] = "=VLOOKUP(1,A1:A2,1)"
        address = f"{'ABC'[place]}8"
        made.append(_made(f"xlsx: {case}", ".xlsx", with_cached(xlsx_bytes(grid), {address: "#REF!"}), grid.truth, says=(address,)))
        made.append(
            _made(f"xlsx: {case}, never computed", ".xlsx", xlsx_bytes(grid), grid.truth, says=(f"without a kept value: {address}",))
        )
        grid.rows[7][place] = Computed("#REF!")
        made.append(_made(f"xls: {case}", ".xls", xls_bytes({"Data": grid.rows}), grid.truth, says=(address,)))
        grid.rows[7][place] = "an error"
        made.append(_made(f"ods: {case}", ".ods", _in_error(grid), grid.truth, says=(address,)))
    return [*made, _blank_texts(leaves)]


def _in_error(grid: Grid) -> bytes:
    def change(text: str) -> str:
        cell = '<table:table-cell office:value-type="string"><text:p>an error</text:p>'
        return text.replace("<office:document-content ", '<office:document-content xmlns:calcext="urn:calcext" ', 1).replace(
            cell, f"{_ODS_ERROR}<text:p>#REF!</text:p>"
        )

    return with_member(ods_bytes(grid), "content.xml", change)


def _blank_texts(leaves: Sequence[Leaf]) -> Ugly:
    """A site that a formula repeats only where it changes: a text of no letters is a blank, and means as above."""
    columns = (DATE, TIME, ("Site", lambda _: None), TAXON, PLANT, LEAF, USUAL[6])
    grid = Grid("Data").table(leaves, columns, 6)
    for row in range(1, 13):
        grid.rows[row][2] = {1: "Ridge Top", 7: "Creek Draw"}.get(row, Computed(None))
    return _made("xls with formulas that give no letters", ".xls", xls_bytes({"Data": grid.rows}), grid.truth)


FILES = [formats, hidden, errors]
