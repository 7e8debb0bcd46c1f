"""Delimited text as it leaves other programs: encodings that went wrong on the way, quotes, odd separators, lines cut in two."""

from __future__ import annotations

from typing import Any

from tests.corpus.truth import DATE, LEAF, PLANT, SITE, TAXON, TIME, USUAL, Cell, Grid, Ugly, a_class, number, usual
from tests.corpus.writing import csv_bytes

NAME = "Fall 2024 Section A"


def _text(case: str, data: bytes, grid: Grid, ending: str = ".csv", **more: Any) -> Ugly:
    return Ugly(1, case, NAME + ending, data, tuple(grid.truth), **more)


def encodings() -> list[Ugly]:
    """Signs that a code page does not have, text decoded twice, a mark or two in the middle."""
    leaves = a_class(1101, sites=("canada", "ridge"))
    potential = Grid().table(leaves, (*USUAL[:6], ("Ψ (MPa)", lambda leaf: f"−{leaf.number / 10:.2f}")), 6)
    dashed = [[cell.replace("−", "–").replace("Ψ", "?") if isinstance(cell, str) else cell for cell in row] for row in potential.rows]
    micro = Grid().table(leaves, (*USUAL[:6], ("Pressure [bar]", lambda leaf: leaf.number), ("PAR (µmol m⁻² s⁻¹)", lambda _: 1450)), 6)
    twice = "".join(
        chr(byte) if byte in (0x81, 0x8D, 0x8F, 0x90, 0x9D) else bytes([byte]).decode("cp1252") for byte in csv_bytes(potential.rows)
    )
    usual_grid = usual(leaves)
    lines = csv_bytes(usual_grid.rows).decode().splitlines(keepends=True)
    mixed = b"".join(line.encode("cp1252" if at % 2 else "utf-8") for at, line in enumerate(lines))
    glued = Grid().table(leaves[:6], USUAL, 6).table(leaves[6:], USUAL, 6)
    head, tail = csv_bytes(glued.rows[:7]), csv_bytes(glued.rows[7:], encoding="utf-8-sig")
    page = Grid().table(leaves, (*USUAL[:6], ("Pressure (bar)", lambda leaf: leaf.number), ("Remark", lambda _: "leaf 20 °C, ½ shaded")), 6)
    both = csv_bytes(page.rows, encoding="utf-8").replace("°".encode(), b"\xb0")  # a name in UTF-8 and a degree sign of another page
    return [
        _text("cp1252 with a dash for minus and ? for psi", csv_bytes(dashed, encoding="cp1252"), potential),
        _text(
            "cp1252 with µ",
            csv_bytes([[str(c).replace("⁻²", "-2").replace("⁻¹", "-1") for c in r] for r in micro.rows], encoding="cp1252"),
            micro,
        ),
        _text("UTF-8 decoded as cp1252 and saved again", twice.encode(), potential),
        _text("utf-16 big-endian without a mark", csv_bytes(potential.rows, encoding="utf-16-be"), potential),
        _text(
            "utf-16 with tabs, as Save as Unicode Text",
            b"\xff\xfe" + csv_bytes(potential.rows, separator="\t", encoding="utf-16-le"),
            potential,
            ".txt",
        ),
        _text("lines in turn of two encodings", mixed, usual_grid),
        _text("two encodings within a line", both, page),
        _text("two files glued, a mark in the middle", head + tail, glued),
        _text(
            "mac roman",
            csv_bytes([[str(c).replace("−", "-") if isinstance(c, str) else c for c in r] for r in usual_grid.rows], encoding="mac-roman"),
            usual_grid,
        ),
    ]


def quotes() -> list[Ugly]:
    """A quote that never ends, lines quoted as a whole, inches, a header cell over two lines."""
    remarks = ['"windy', "", 'leaf 6" long', "", '5"', "shaded", '"', 'the "good" one', "", "", "", ""]
    leaves = a_class(1102)
    noted = Grid().table(leaves, (*USUAL, ("Remarks", lambda leaf: remarks[leaves.index(leaf)])), 6)
    plain = usual(leaves)
    raw = "\r\n".join(",".join(_shown(cell) for cell in row) for row in noted.rows).encode()
    whole = "\r\n".join('"' + ",".join(_shown(cell) for cell in row) + '"' for row in plain.rows).encode()
    header = Grid().table(leaves, (*USUAL[:6], ("Balance pressure\n(bar)", lambda leaf: leaf.number)), 6)
    spaced = "\r\n".join(", ".join(f'"{_shown(cell)}"' for cell in row) for row in plain.rows).encode()
    cells = Grid().table(
        leaves, (DATE, TIME, ("Site", lambda leaf: "Ridge\nTop" if leaf.site == "ridge" else "Creek \r\n Draw"), *USUAL[3:]), 6
    )
    return [
        _text("quotes that open and never close", raw, noted),
        _text("each line quoted as a whole", whole, plain),
        _text("a header cell over two lines", csv_bytes(header.rows), header),
        _text("a space before each quote", spaced, plain),
        _text("names broken over two lines in their cells", csv_bytes(cells.rows), cells),
    ]


def _shown(cell: Cell) -> str:
    return f"{cell:%H:%M}" if hasattr(cell, "hour") else f"{cell:g}" if isinstance(cell, float) else str(cell)


def separators() -> list[Ugly]:
    """Commas that part cells and decimals alike, pipes with spaces, aligned tables, blank lines between all lines."""
    leaves = a_class(1103)
    comma = Grid().table(leaves, (*USUAL[:6], ("Pressure (bar)", lambda leaf: number(leaf.number).replace(".", ","))), 6)
    unquoted = "\n".join(",".join(_shown(cell) for cell in row) for row in comma.rows).encode()
    middle = Grid().table(
        leaves, (DATE, ("Pressure (bar)", lambda leaf: number(leaf.number).replace(".", ",")), TIME, SITE, TAXON, PLANT, LEAF), 1
    )
    shifted = "\n".join(",".join(_shown(cell) for cell in row) for row in middle.rows).encode()
    plain = usual(leaves)
    pipes = "\n".join("| " + " | ".join(_shown(cell) for cell in row) + " |" for row in plain.rows)
    ruled = Grid()
    for truth in plain.truth:
        ruled.note(truth.leaf, 7, truth.row + 1)
    lines = pipes.splitlines()
    markdown = "\n".join([lines[0], "|" + "---|" * 7, *lines[1:]]).encode()
    gaps = Grid()
    for truth in plain.truth:
        gaps.note(truth.leaf, 6, 2 * truth.row - 1)
    spread = csv_bytes(plain.rows, ends="\r\r\n")
    titled = Grid().add(["Plant physiology; lab 3; Ridge, bench and draw"], ["All in bar, read to 0.5, no corrections, thanks"], [])
    titled.table(leaves, (*USUAL, ("Remarks", lambda _: "ok, fine, good")), 6)
    semicolons = csv_bytes(titled.rows, separator=";")
    nul = csv_bytes(plain.rows).replace(b"Ridge Top", b"Ridge\x00 Top", 2).replace(b",1,1,", b",1,1\x00,", 1)
    marks = csv_bytes(plain.rows).replace(b"Ridge Top", b"Ridge Top\x0b", 3) + b"\x1a"
    short = Grid().table(
        [leaf.but(plant="", leaf="") for leaf in leaves],
        (DATE, TIME, SITE, TAXON, ("Pressure (bar)", lambda leaf: leaf.number), ("Remark", lambda _: None), ("Checked", lambda _: None)),
        4,
    )
    ragged = "\n".join(",".join(_shown(c) if c is not None else "" for c in row).rstrip(",") for row in short.rows).encode()
    return [
        _text("decimal commas in the last column of a comma file", unquoted, comma),
        _text("decimal commas within a comma file", shifted, middle),
        _text("pipes with spaces and rules", markdown, ruled, ".txt"),
        _text("line ends doubled", spread, gaps),
        _text("semicolons under a title with commas", semicolons, titled),
        _text("zero bytes within", nul, plain),
        _text("control characters and an old end of file", marks, plain),
        _text("lines without their last blank cells", ragged, short),
    ]


def narrow() -> list[Ugly]:
    """Tables of two columns or one, whose decimal commas and titles hold more commas than the table has separators."""
    leaves = [leaf.but(leaf="", clock="") for leaf in a_class(1104, sites=("ridge",), taxa=("ange",), plants=9)]
    said = tuple(f"constants.{answer}" for answer in ("date=2024-09-17", "site=ridge", "taxon=ange", "sampling_window=midday"))
    asks = frozenset({"no_table"})
    pressure = ("Pressure (bar)", lambda leaf: number(leaf.number).replace(".", ","))
    titles = {"one comma": ["Fall 2024, section A"], "three commas": ["Fall 2024, section A, the ridge, read to 0,5 bar"], "none": []}
    made = []
    for word, separator in (("tab", "\t"), ("semicolon", ";"), ("bar", "|")):
        for title, lines in titles.items():
            grid = Grid()
            for line in lines:
                grid.add([line])
            grid.table(leaves, (PLANT, pressure), 1)
            text = "\n".join(separator.join(_shown(cell) for cell in row) for row in grid.rows).encode()
            case = f"two columns split by {word}, decimal commas, title with {title}"
            made.append(_text(case, text, grid, ".txt", asks=asks, answers=(*said, f"sheets.header_row={len(lines) + 1}")))
    alone = [leaf.but(plant="") for leaf in leaves]
    for mark, word in ((",", "comma"), (".", "point")):
        grid = (
            Grid().add(["Fall 2024, section A, all of the ridge"]).table(alone, (("Pressure (bar)", lambda leaf: number(leaf.number)),), 0)
        )
        text = "\n".join(_shown(row[0]).replace(".", mark) for row in grid.rows).encode()
        case = f"one column with decimal {word}s under a title with commas"
        made.append(_text(case, text, grid, ".txt", asks=asks, answers=(*said, "sheets.header_row=2")))
    return made


FILES = [encodings, quotes, separators, narrow]
