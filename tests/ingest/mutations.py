"""Bytes of real files, spoilt: as a bad disk, a cut line or an enemy spoils them."""

from __future__ import annotations

import io
import random
import re
import zipfile
from functools import cache

from tests.corpus.old_workbook import Look, xls_bytes
from tests.corpus.truth import Grid
from tests.corpus.writing import csv_bytes, html_bytes, ods_bytes, xlsx_bytes
from tests.ingest.test_fuzz_cells import long_table, potentials

KINDS = ("xlsx", "xls", "ods", "csv", "html")
HOT = (b"", b"\x00", b"\xff", b"\n", b'"', b",", b"<", b">", b"&", b"&#0;", b"0", b"-1", b"9" * 20, b"\xff" * 4, bytes(4), b"PK\x03\x04")
WORDS = (
    "", "0", "1", "-1", "999999", "4294967295", "99999999999999999999", "1e999", "NaN", "INF", "s", "b", "e", "d", "str", "inlineStr",
    "float", "date", "time", "boolean", "A1", "XFD1048576", "A0", "ZZZZ9", "1899-12-30", "9999-99-99", "PT99H99M", "true", "&lt;",
    "x" * 5000, "../../x", "\u202e",
)  # fmt: skip


@cache
def whole(kind: str) -> bytes:
    """A file that nobody has spoilt yet."""
    rows = long_table() if kind in ("csv", "html", "xls") else potentials()
    grid = Grid("Sheet1", [list(row) for row in rows])
    if kind == "xls":
        return xls_bytes({"Sheet1": grid.rows}, looks={"Sheet1": Look(rows=(3,), columns=(1,), is_filtered=True, formats={1: '0.0" bar"'})})
    if kind in ("csv", "html"):
        return csv_bytes(grid.rows) if kind == "csv" else html_bytes(grid.rows)
    return xlsx_bytes(grid) if kind == "xlsx" else ods_bytes(grid)


def spoilt(seed: int) -> tuple[str, bytes]:
    """A kind of file and its spoilt bytes."""
    chance = random.Random(seed)  # noqa: S311  # a seed makes the same case every time; nothing is secret
    kind = KINDS[seed % len(KINDS)]
    data = whole(kind)
    if kind in ("xlsx", "ods") and chance.random() < 0.8:
        return kind, _inside(data, chance)
    if kind == "html" and chance.random() < 0.6:
        return kind, _markup(data.decode(), chance).encode("utf-8", "replace")
    return kind, spoil(data, chance)


def spoil(data: bytes, chance: random.Random) -> bytes:
    """Bytes flipped, cut out, doubled, put in or replaced by hot ones, at one to four places."""
    spoiling = bytearray(data)
    for _ in range(chance.choice((1, 1, 2, 4))):
        at, length = chance.randrange(len(spoiling) + 1), chance.choice((1, 1, 2, 4, 40, 400))
        kind = chance.randrange(6)
        if kind == 0 and at < len(spoiling):
            spoiling[at] ^= 1 << chance.randrange(8)
        elif kind == 1:
            del spoiling[at : at + length]
        elif kind == 2:
            spoiling[at:at] = spoiling[at : at + length]
        elif kind == 3:
            spoiling[at : at + length] = chance.randbytes(length)
        elif kind == 4:
            hot = chance.choice(HOT)
            spoiling[at : at + len(hot)] = hot
        elif chance.random() < 0.3:
            del spoiling[at:]
        else:
            other = chance.randrange(len(spoiling) + 1)
            spoiling[at : at + length] = spoiling[other : other + length]
    return bytes(spoiling)


def _inside(data: bytes, chance: random.Random) -> bytes:
    """The archive made anew, with right sums, around a part that is spoilt, missing, doubled, a bomb or another's."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        members = {name: old.read(name) for name in old.namelist()}
        victims = [name for name in members if re.search(r"sheet1|workbook.xml$|content.xml$|styles|sharedStr", name)]
        victim = chance.choice(victims if chance.random() < 0.9 else list(members))
        kind = chance.random()
        if kind < 0.75:
            members[victim] = _markup(members[victim].decode("utf-8", "replace"), chance).encode("utf-8", "replace")
        elif kind < 0.9:
            members[victim] = spoil(members[victim], chance)
        elif kind < 0.95:
            del members[victim]
        else:
            members[victim] = members[chance.choice(list(members))]
        for name, content in members.items():
            new.writestr(name, content)
    return out.getvalue()


def _markup(text: str, chance: random.Random) -> str:
    """Markup with attributes, texts and tags changed for others, dropped or doubled."""
    for _ in range(chance.choice((1, 1, 2, 5))):
        pieces = list(re.finditer(chance.choice((r'"[^"<>]*"', r'"[^"<>]*"', r">[^<>]+<", r">[^<>]+<", r"<[^<>]+>")), text))
        if not pieces:
            continue
        piece = chance.choice(pieces)
        said = piece[0]
        if said[0] == "<":
            new = chance.choice(("", said * 2, chance.choice(pieces)[0], "<!DOCTYPE x [<!ENTITY e 'x'>]>", "<![CDATA[", said[:-2]))
        else:
            number = re.sub(r"\d", lambda _: str(chance.randrange(10)), said[1:-1])
            new = said[0] + chance.choice((chance.choice(WORDS), chance.choice(WORDS), number, chance.choice(pieces)[0][1:-1])) + said[-1]
        text = text[: piece.start()] + new + text[piece.end() :]
    return text
