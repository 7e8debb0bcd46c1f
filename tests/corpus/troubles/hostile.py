"""Hostile files: each gets a named error or a receipt, soon, and never a crash."""

from __future__ import annotations

import io
import struct
import zipfile
from functools import partial
from typing import Any

from tests.corpus.old_workbook import compound, xls_bytes
from tests.corpus.truth import USUAL, Grid, Leaf, Ugly, a_class, usual
from tests.corpus.writing import csv_bytes, ods_bytes, with_member, xlsx_bytes

NAME = "Fall 2024 Section A"


def _file(case: str, name: str, data: bytes, grid: Grid | None = None, **more: Any) -> Ugly:
    return Ugly(9, case, name, data, tuple(grid.truth) if grid else (), is_hopeless=grid is None, **more)


def broken() -> list[Ugly]:
    """Nothing, next to nothing, and files cut short or damaged within."""
    grid = usual(a_class(901), "Sheet1")
    made = [
        _file("0 bytes", f"{NAME}.xlsx", b""),
        _file("one byte", f"{NAME}.csv", b"x"),
        _file("nothing but zeros", f"{NAME}.xls", bytes(5000)),
    ]
    for ending, data in ((".xlsx", xlsx_bytes(grid)), (".ods", ods_bytes(grid)), (".xls", xls_bytes({"Sheet1": grid.rows}))):
        made.extend(_file(f"{ending} cut at {share} %", NAME + ending, data[: len(data) * share // 100]) for share in (10, 50, 99))
        middle = len(data) // 2
        made.append(_file(f"{ending} with a hole", NAME + ending, data[:middle] + b"\xff" * 400 + data[middle + 400 :]))
    made.append(_file("xls sectors in a circle", f"{NAME}.xls", _circle(xls_bytes({"Sheet1": grid.rows}))))
    made.append(_file("encrypted workbook", f"{NAME}.xlsx", compound({"EncryptedPackage": bytes(6000), "EncryptionInfo": bytes(4096)})))
    made.append(_file("bytes at random", f"{NAME}.csv", bytes((at * 7919 + at // 3) % 256 for at in range(20_000))))
    return made


def _circle(data: bytes) -> bytes:
    start = data.rindex(struct.pack("<I", 0xFFFFFFFD)) // 512 * 512
    return data[:start] + struct.pack("<128I", *([0] * 128)) + data[start + 512 :]


def archives() -> list[Ugly]:
    """Archives that unpack to gigabytes, lie about their size, hold paths that climb, or are no workbook."""
    grid = usual(a_class(902), "Sheet1")
    plain = xlsx_bytes(grid)
    made = [
        _file("zip bomb", f"{NAME}.xlsx", _bomb(plain, 1_200)),
        _file("zip bomb that lies about its size", f"{NAME}.xlsx", _lying(_bomb(plain, 600))),
        _file("zip of zips", f"{NAME}.xlsx", _zip({"a.zip": _zip({"b.zip": _zip({"c": b"c" * 1000})})})),
        _file("ten thousand members", f"{NAME}.xlsx", _zip({f"xl/{at}": b"" for at in range(10_000)})),
        _file("archive with climbing paths", f"{NAME}.xlsx", _zip({"../../../etc/x": b"x", "/xl/workbook.xml": b"<x/>"})),
        _file("workbook without sheets", f"{NAME}.xlsx", _zip({"xl/workbook.xml": b"<workbook/>", "[Content_Types].xml": b"<Types/>"})),
        _file("ods bomb of repeated rows", f"{NAME}.ods", _ods_bomb()),
    ]
    climbing = io.BytesIO(plain)
    with zipfile.ZipFile(climbing, "a") as archive:
        archive.writestr("../../outside.txt", "x")
    made.append(_file("workbook with a climbing member", f"{NAME}.xlsx", climbing.getvalue(), grid))
    return made


def _zip(members: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return out.getvalue()


def _bomb(data: bytes, megabytes: int) -> bytes:
    """A workbook whose first sheet unpacks to that many megabytes of blank rows."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as new:
        for name in old.namelist():
            if name != "xl/worksheets/sheet1.xml":
                new.writestr(name, old.read(name))
                continue
            with new.open(name, "w", force_zip64=True) as member:
                member.write(b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>')
                for _ in range(megabytes):
                    member.write(b"<row></row>     " * 65_536)
                member.write(b"</sheetData></worksheet>")
    return out.getvalue()


def _lying(data: bytes) -> bytes:
    """The archive with each member's unpacked size set to 1000 bytes in the central directory."""
    changed = bytearray(data)
    at = changed.find(b"PK\x01\x02")
    while at >= 0:
        struct.pack_into("<I", changed, at + 24, 1000)
        at = changed.find(b"PK\x01\x02", at + 4)
    return bytes(changed)


def _ods_bomb() -> bytes:
    grid = usual(a_class(903), "Sheet1")
    return with_member(
        ods_bytes(grid),
        "content.xml",
        lambda text: text.replace(
            "</table:table>",
            '<table:table-row table:number-rows-repeated="1000000"><table:table-cell table:number-columns-repeated="16000" '
            'office:value-type="float" office:value="1"/></table:table-row></table:table>',
        ),
    )


def entities() -> list[Ugly]:
    """XML entities: nested until they fill the memory, or naming a file of the machine."""
    grid = usual(a_class(904), "Sheet1")
    nested = "".join(f'<!ENTITY e{at} "{f"&e{at - 1};" * 10}">' for at in range(1, 10))
    laughs = f'<!DOCTYPE x [<!ENTITY e0 "ha">{nested}]>'
    outside = '<!DOCTYPE x [<!ENTITY e9 SYSTEM "file:///etc/passwd">]>'
    made = []
    for case, doctype in (("nested entities", laughs), ("external entity", outside)):
        poison = partial(_poisoned, doctype)
        shared = with_member(xlsx_bytes(grid), "xl/worksheets/sheet1.xml", poison)
        made.append(_file(f"{case} in xlsx", f"{NAME}.xlsx", shared, hides=("root:",)))
        made.append(_file(f"{case} in ods", f"{NAME}.ods", with_member(ods_bytes(grid), "content.xml", poison), hides=("root:",)))
    return made


def _poisoned(doctype: str, text: str) -> str:
    head, _, rest = text.partition("?>")
    return (f"{head}?>{doctype}{rest}" if rest else doctype + text).replace("Ridge Top", "&e9;")


def names() -> list[Ugly]:
    """Names of files that climb, carry control characters, are very long, or begin with a dash."""
    grid = usual(a_class(905))
    data = csv_bytes(grid.rows)
    odd = (
        "../../../etc/Fall 2024 Section A.csv",
        "Fall 2024 Section A\x1b[31m\x07.csv",
        "Fall 2024 Section A " + "x" * 226 + ".csv",
        "-rf Fall 2024 Section A.csv",
        "--Fall 2024 Section A.csv",
        "Fall 2024 Section A \u202efdp.csv",
        "Fall 2024 Section A\n.csv",
        "=cmd|' /C calc'!A0 Fall 2024 Section A.csv",
        "Fall 2024 Section A",
        "Fall 2024 Section A.CSV",
    )
    return [_file(f"file name {at}", name, data, grid, hides=("\x1b",)) for at, name in enumerate(odd)]


def cells() -> list[Ugly]:
    """Cells with formulas to inject, control characters, ten thousand characters, other tongues and broken surrogates."""
    leaves = a_class(906)
    nasty = (
        "=cmd|' /C calc'!A0", "+1+1", "@SUM(A1)", '=HYPERLINK("http://x.example","y")', "\x01\x1b[2J", "w" * 10_000,
        "<script>alert(1)</script>",
        "'; DROP TABLE readings; --", "{0.__class__} %s %n",
        "\u202edry\u202c", "葉が乾いた", "\ufeff\ufffe",
    )  # fmt: skip
    grid = Grid().table(leaves, (*USUAL, ("Remarks", lambda leaf: nasty[leaves.index(leaf)])), 6)
    tagged = Grid().table([leaf.but(plant="") for leaf in leaves], (*USUAL[:4], ("Plant", lambda _: "=1+1"), *USUAL[5:]), 6)
    for position, truth in enumerate(tagged.truth):
        tagged.truth[position] = truth.but(plant="1")
    long_header = Grid().table(leaves, (*USUAL, ("h" * 10_000, lambda _: 1)), 6)
    wide = Grid().table(leaves, (*USUAL, *((f"c{at}", lambda _: None) for at in range(3000))), 6)
    reading = Grid().table([leaf.but(expect="aside") for leaf in leaves[:3]] + leaves[3:], USUAL, 6)
    reading.rows[1][6], reading.rows[2][6], reading.rows[3][6] = "1" * 10_000, "=6+6", "1e400"
    huge = b"Date,Time,Site,Species,Plant,Leaf,Pressure (bar)\n" + b'"' + b"a" * 200_000 + b'",,,,,,\n'
    open_quote = csv_bytes(usual(leaves).rows).replace(b"Ridge Top", b'"Ridge Top', 1)
    return [
        _file("nasty remarks", f"{NAME}.csv", csv_bytes(grid.rows), grid, hides=("\x1b",)),
        _file("formulas in tags", f"{NAME}.csv", csv_bytes(tagged.rows), tagged),
        _file("a header of ten thousand characters", f"{NAME}.csv", csv_bytes(long_header.rows), long_header),
        _file("three thousand columns", f"{NAME}.csv", csv_bytes(wide.rows), wide),
        _file("readings of ten thousand digits", f"{NAME}.csv", csv_bytes(reading.rows), reading),
        _file("a cell beyond any limit", f"{NAME}.csv", huge),
        _file("a quote that never closes", f"{NAME}.csv", open_quote, usual(leaves)),
        _file("headers without rows", f"{NAME}.csv", b"Date,Time,Site,Species,Plant,Leaf,Pressure (bar)\n"),
        _file("a letter", f"{NAME}.txt", b"Dear class,\n\nplease send the readings, dates and sites, by Friday.\n\nThanks\n"),
        _file("a program", f"{NAME}.csv", b"\x7fELF\x02\x01\x01" + bytes(range(256)) * 40),
        _file("a web archive", f"{NAME}.xls", b"MIME-Version: 1.0\r\nContent-Type: multipart/related\r\n\r\n" + csv_bytes(grid.rows)),
        _file("a link to a sheet", f"{NAME}.gsheet", b'{"url": "https://docs.example.org/open?id=1"}'),
        _file("the mark of an open workbook", f"~${NAME}.xlsx", b"\x0bSomebody" + b" " * 90),
        _file("a PDF", f"{NAME}.xlsx", b"%PDF-1.7\n" + bytes(200)),
        _file("a zero byte in a cell", f"{NAME}.csv", _with_zero(leaves), usual(leaves)),
        _file("sheet names of nonsense", f"{NAME}.xlsx", _renamed(xlsx_bytes(usual(leaves, "Sheet1"))), usual(leaves, "Sheet1")),
    ]


def _with_zero(leaves: list[Leaf]) -> bytes:
    return csv_bytes(usual(leaves).rows).replace(b"Rhus", b"Rhus\0")


def _renamed(data: bytes) -> bytes:
    return with_member(data, "xl/workbook.xml", lambda text: text.replace('name="Sheet1"', 'name="../../x&#10;=1+1&#x1F4A9;"'))


FILES = [broken, archives, entities, names, cells]
