"""Aliases: spellings that the instructor has said stand for an entry of a register, remembered there for every file to come."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ingest.contract import REGISTER_OF, contract
from ingest.errors import RecipeInvalid, RegisterInvalid
from ingest.folding import fold
from ingest.home import Home
from ingest.registers.register_rows import read_rows
from ingest.registers.registers import Registers
from ingest.registers.spellings import CODE, LONGEST


@dataclass(frozen=True)
class Alias:
    """A spelling and the entry of a register that it stands for; `semesters` are those of a section."""

    kind: str
    written: str
    code: str
    semesters: tuple[str, ...] = ()

    @property
    def register(self) -> str:
        """The register's file name."""
        return f"{REGISTER_OF[self.kind]}.csv"

    def entries(self) -> list[tuple[str, ...]]:
        """The keys of the register's rows that it belongs to."""
        return [(semester, self.code) for semester in self.semesters] if self.kind == "section" else [(self.code,)]


def may_be_remembered(spelling: str) -> bool:
    """False where a register cannot hold a spelling, or it is no name at all."""
    return ";" not in spelling and spelling.isprintable() and len(spelling) <= LONGEST and any(map(str.isalpha, spelling))


def aliases_said(answers: Mapping[str, Any], registers: Registers, semesters: tuple[str, ...] = ()) -> list[Alias]:
    """The aliases among the answers that their registers do not hold yet.

    Raises:
        RecipeInvalid: an alias belongs to no entry, to another one already, or cannot be written into a register.
    """
    found = []
    for kind, spellings in answers.get("alias", {}).items():
        for written, code in spellings.items():
            scopes = list(dict.fromkeys(semester for semester, _ in registers.sections)) if kind == "section" else [""]
            known = {scope: registers.names(REGISTER_OF[kind], scope) for scope in scopes}
            if not any(code in names.values() for names in known.values()):
                raise RecipeInvalid(f"Name a code of {REGISTER_OF[kind]}.csv for {written!r}: {code!r} is none.")
            others = {names[fold(written)] for names in known.values() if fold(written) in names}
            if kind != "section" and others - {code}:
                raise RecipeInvalid(
                    f"Leave the spelling {written!r} alone, or correct {REGISTER_OF[kind]}.csv: it stands for {others.pop()}."
                )
            if CODE.fullmatch(written):
                raise RecipeInvalid(f"Say names.{kind}.{written}, or alias.{kind} with the spelling itself: a code is no spelling.")
            if ";" in written or not written.isprintable() or len(written) > LONGEST or not fold(written):
                raise RecipeInvalid(f"Say names.{kind} instead of alias.{kind} for {written[:LONGEST]!r}: it cannot be kept in a register.")
            open_in = tuple(semester for semester in semesters if fold(written) not in registers.names("sections", semester))
            if (kind == "section" and open_in) or (kind != "section" and not others):
                found.append(Alias(kind, written, code, open_in if kind == "section" else ()))
    return found


def remember(home: Home, aliases: list[Alias]) -> None:
    """Write aliases into their registers; comments, order, other cells, line ends and the file's rights stay as they are.

    Raises:
        RegisterInvalid: a register could not be written so that it reads as before but for the alias; it was left as it was.
    """
    for alias in aliases:
        path = home.registers / alias.register
        for key in alias.entries():
            _write(path, REGISTER_OF[alias.kind], key, alias.written)


def _write(path: Path, register: str, key: tuple[str, ...], spelling: str) -> None:
    data = path.read_bytes()
    text = data.decode("utf-8-sig")
    edited = with_alias(text, register, key, spelling)
    aside = path.with_name(f".{path.name}.new")
    try:
        with aside.open("wb") as file:
            file.write((b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b"") + edited.encode("utf-8"))
            file.flush()
            os.fsync(file.fileno())
        aside.chmod(path.stat().st_mode & 0o777)
        if not _differs_by_alias(path, aside, register, key, spelling):
            raise RegisterInvalid(
                f"Write the alias {spelling!r} into {path} yourself: it could not be added without changing more than that."
            )
        aside.replace(path)
    finally:
        aside.unlink(missing_ok=True)


def _differs_by_alias(path: Path, aside: Path, register: str, key: tuple[str, ...], spelling: str) -> bool:
    kind = contract()[register]
    keys = [column.name for column in kind.columns.values() if column.key]
    (before, _), (after, wrong) = read_rows(path, kind), read_rows(aside, kind)
    if before is None or after is None or wrong:
        return False
    for row in before:
        if tuple(row.values.get(name) for name in keys) == key:
            row.values["aliases"] = (*row.values["aliases"], spelling)
    return [row.values for row in before] == [row.values for row in after]


def with_alias(text: str, register: str, key: tuple[str, ...], spelling: str) -> str:
    """The text of a register with one more alias in the row of a key; nothing else of it is touched.

    Raises:
        RegisterInvalid: there is no such row.
    """
    records = list(_records(text))
    names = [_plain(text[start:end]).casefold() for start, end in records[0]] if records else []
    if "aliases" not in names:
        raise RegisterInvalid(f"Add the column aliases to {register}.csv: {spelling!r} has no place there.")
    keys = [names.index(column.name) for column in contract()[register].columns.values() if column.key]
    place, mark = names.index("aliases"), _mark(text, records[0])
    for cells in records[1:]:
        if len(cells) > max(keys) and tuple(_plain(text[slice(*cells[at])]) for at in keys) == key:
            start, end = cells[place] if place < len(cells) else (cells[-1][1], cells[-1][1])
            before = _plain(text[start:end])
            cell = f"{before};{spelling}" if before else spelling
            quoted = (
                '"' + cell.replace('"', '""') + '"' if any(sign in cell for sign in f'{mark}"\r\n#') or '"' in text[start:end] else cell
            )
            return text[:start] + mark * max(0, place - len(cells) + 1) + quoted + text[end:]
    raise RegisterInvalid(f"Add {' '.join(key)} to {register}.csv: it has no such row for the alias {spelling!r}.")


def _mark(text: str, header: list[tuple[int, int]]) -> str:
    return text[header[0][1]] if len(header) > 1 else ","


def _plain(cell: str) -> str:
    bare = cell.strip()
    return bare[1:-1].replace('""', '"').strip() if len(bare) > 1 and bare[0] == bare[-1] == '"' else bare


def _records(text: str) -> Iterator[list[tuple[int, int]]]:
    """The places of the cells of each record, header first; comment lines and blank ones are passed over."""
    mark, at = "", 0
    while at < len(text):
        line_end = min((found for sign in "\r\n" if (found := text.find(sign, at)) >= 0), default=len(text))
        line = text[at:line_end]
        if not line.strip() or line.lstrip().startswith("#"):
            at = line_end + 1
            continue
        if not mark:
            mark = "," if "," in line else next((sign for sign in ";\t" if sign in line), ",")
        cells, at = _cells(text, at, mark)
        if any(_plain(text[start:end]) for start, end in cells):
            yield cells


def _cells(text: str, at: int, mark: str) -> tuple[list[tuple[int, int]], int]:
    """The cells of the record that begins at a place, and where the next line begins."""
    cells, start = [], at
    while at < len(text):
        if text[at] == '"' and at == start:
            at = _behind_quotes(text, at)
            continue
        if text[at] in (mark, "\r", "\n"):
            cells.append((start, at))
            start = at + 1
            if text[at] != mark:
                return cells, start
        at += 1
    return [*cells, (start, at)], at


def _behind_quotes(text: str, at: int) -> int:
    """The place behind a quoted cell that begins at a place; doubled quotes within it are text."""
    at += 1
    while at < len(text) and text[at] != '"':
        at += 1
        while text[at : at + 2] == '""':
            at += 2
    return at + 1
