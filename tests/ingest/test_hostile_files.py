"""Files that are locked, cut, laid as traps or named to do harm: each is told by name with what to do, before anything is unpacked."""

from __future__ import annotations

import io
import json
import os
import struct
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from ingest.errors import FileBeyondLimits, FileUnreadable
from ingest.files.limited import CELL_CHARACTERS, UNPACKED_MB
from ingest.home import Home
from tests.corpus.old_workbook import compound, xls_bytes
from tests.corpus.troubles.hostile import archives, entities
from tests.corpus.truth import Grid
from tests.corpus.writing import ods_bytes, with_member, xlsx_bytes
from tests.ingest.small_lab import HEADERS, TRUE_ROWS, check, loaded_rows, tree_hash

GRID = Grid("Sheet1", [list(row) for row in (HEADERS, *TRUE_ROWS)])
TRAPS = {ugly.case: ugly.data for ugly in (*archives(), *entities())}


def locked_ods() -> bytes:
    """As an office program locks it: the list of parts says how each is hidden."""
    hidden = '"text/xml"><manifest:encryption-data/></manifest:file-entry>'
    return with_member(ods_bytes(GRID), "META-INF/manifest.xml", lambda text: text.replace('"text/xml"/>', hidden))


def locked_xls() -> bytes:
    """The second record names the password ([MS-XLS], FilePass) where the code page stood."""
    data = xls_bytes({"Sheet1": GRID.rows})
    return data.replace(struct.pack("<HHH", 0x42, 2, 1200), struct.pack("<HHH", 0x2F, 2, 0), 1)


def locked_zip() -> bytes:
    """Every member's flags say that it is encrypted (bit 0 of the general purpose flags in the central directory)."""
    data = bytearray(xlsx_bytes(GRID))
    at = data.find(b"PK\x01\x02")
    while at >= 0:
        data[at + 8] |= 1
        at = data.find(b"PK\x01\x02", at + 4)
    return bytes(data)


def crowded() -> bytes:
    """A workbook among six thousand parts."""
    out = io.BytesIO(xlsx_bytes(GRID))
    with zipfile.ZipFile(out, "a") as archive:
        for number in range(6000):
            archive.writestr(f"xl/media/{number}", b"")
    return out.getvalue()


def overlapping() -> bytes:
    """Eighty names in the directory for one part of ten million blanks: each is measured, for a reader would unpack each."""
    out = io.BytesIO(xlsx_bytes(GRID))
    with zipfile.ZipFile(out, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/blank.xml", b" " * 10_000_000)
        whole = archive.getinfo("xl/blank.xml")
        for number in range(80):
            copy = zipfile.ZipInfo(f"xl/blank{number}.xml")
            for name in ("header_offset", "CRC", "compress_size", "file_size", "compress_type"):
                setattr(copy, name, getattr(whole, name))
            archive.filelist.append(copy)
            archive.NameToInfo[copy.filename] = copy
    return out.getvalue()


MB = f"{UNPACKED_MB} MB"
REFUSED: dict[str, tuple[Callable[[], bytes], str]] = {
    "0 bytes": (lambda: b"", "is empty: save the sheet again"),
    "an .xlsx behind a password": (lambda: compound({"EncryptedPackage": bytes(6000)}), "locked with a password: save it without one"),
    "an .ods behind a password": (locked_ods, "locked with a password: save it without one"),
    "an .xls behind a password": (locked_xls, "locked with a password: save it without one"),
    "an archive behind a password": (locked_zip, "locked with a password: save it without one"),
    "a bomb": (lambda: TRAPS["zip bomb"], MB),
    "a bomb whose directory lies": (lambda: TRAPS["zip bomb that lies about its size"], MB),
    "archives within archives": (lambda: TRAPS["zip of zips"], "archive without a sheet"),
    "six thousand parts": (crowded, "parts, more than any workbook"),
    "eighty names for one part": (overlapping, "load|download"),
    "nested entities in .xlsx": (lambda: TRAPS["nested entities in xlsx"], "defines XML entities"),
    "nested entities in .ods": (lambda: TRAPS["nested entities in ods"], "defines XML entities"),
    "an external entity in .xlsx": (lambda: TRAPS["external entity in xlsx"], "defines XML entities"),
    "an external entity in .ods": (lambda: TRAPS["external entity in ods"], "defines XML entities"),
    "a web archive": (lambda: b"MIME-Version: 1.0\r\n\r\n<table>", "open it in a spreadsheet program, save as .xlsx"),
    "a cell longer than any": (lambda: xls_like_page("x" * (CELL_CHARACTERS + 1)), "characters: shorten it"),
    "twenty thousand sheets of nothing": (lambda: b"<table><tr><td>1</table>" * 20_000, "sheets or"),
}


def xls_like_page(cell: str) -> bytes:
    """A web page under the name of a workbook."""
    return f"<html><table><tr><td>{cell}</td></tr></table></html>".encode()


@pytest.mark.parametrize("case", REFUSED)
def test_a_trap_is_named_with_the_next_step_and_nothing_changes(case: str, home: Home) -> None:
    make, words = REFUSED[case]
    before = tree_hash(home.root)
    with pytest.raises(FileUnreadable, match=words) as caught:
        check(home, make(), "class.xlsx")
    assert str(caught.value).startswith("class.xlsx")
    assert tree_hash(home.root) == before


@pytest.mark.parametrize(("name", "words"), [("class.gsheet", "is a link to a sheet"), ("~$class.xlsx", "Load the workbook itself")])
def test_what_only_stands_for_a_workbook_is_told_by_its_name(name: str, words: str, home: Home) -> None:
    with pytest.raises(FileUnreadable, match=words):
        check(home, b"\x0bSomebody" + b" " * 90, name)


def test_a_cell_at_the_far_corner_is_beyond_the_limits_and_one_far_below_is_not(lab: Home) -> None:
    with pytest.raises(FileBeyondLimits, match="copy the table into a new workbook"):
        check(lab, xlsx_bytes(GRID, shape=lambda book: book.worksheets[0].__setitem__("XFD1048576", 1)), "class.xlsx")
    stray = xlsx_bytes(GRID, shape=lambda book: book.worksheets[0].__setitem__("Z9000", "x"))
    assert len(loaded_rows(check(lab, stray, "class.xlsx"))) == len(TRUE_ROWS)


NAMES = (
    "-rf.csv", "--help.csv", "../climbing.csv", "a\x1b[2Jb\x07.csv", "a\nb.csv", "x" * 246 + ".csv", "\u202efdp.csv", "=cmd|'A0.csv",
    "%s{0}$(id)`id`.csv", os.fsdecode(b"caf\xe9.csv"),
)  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("is_json", [False, True])
def test_a_file_s_name_does_no_harm(name: str, is_json: bool, home: Home, tmp_path: Path) -> None:
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    (inbox / name).write_bytes(b"")
    command = [sys.executable, "-m", "tautleaf", "check", "--home", str(home.root), *(["--json"] if is_json else []), "--", name]
    there = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    ran = subprocess.run(command, cwd=inbox, capture_output=True, check=False, env=there)  # noqa: S603  # our own command
    out = (ran.stdout + ran.stderr).decode("utf-8", errors="replace")
    assert (ran.returncode, "Traceback" in out, "is empty" in out) == (1, False, True), out
    assert not set("\x1b\x07") & set(out)
    if is_json:
        json.loads(ran.stdout.decode("utf-8", errors="replace"))
    else:
        assert all(line.isprintable() or "\ufffd" in line for line in out.splitlines())
