"""What the reader settled by itself, and the answers by which each of it is settled otherwise: the same KEY=VALUE as of a question."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ingest.cells.people import MARK
from ingest.checked.kinds import KINDS_OF_UPLOAD
from ingest.contract import contract
from ingest.doubts.answers import one_line
from ingest.doubts.recipe_keys import CHOICES
from ingest.folding import fold
from ingest.tables.columns import NO_COLUMN

if TYPE_CHECKING:
    from ingest.checked.receipts import Receipt
    from ingest.checked.understood import Understood
    from ingest.registers.registers import Registers

_BY_HEADER = "named in the header of the readings"
_NOT_ASKED = ("the dates say day and month themselves",)
_OF_CHOICES = {"unit": "reading.unit", "quantity": "reading.quantity", "order of dates": "dates.order", "phase": "constants.phase"}


@dataclass(frozen=True)
class Settled:
    """One thing that was settled: what, on which sheet ('' for the whole file), for what it was taken and why, and the other answers."""

    what: str
    sheet: str
    taken: str
    why: str
    answers: tuple[str, ...]


def settled(receipt: Receipt, registers: Registers) -> list[Settled]:
    """What the tables of a file were taken for, columns first, each once for all tables that are alike; the gauge of a weather record."""
    kind = Settled(
        "what the file holds",
        "",
        receipt.kind,
        "told by its content, or by the answer given",
        tuple(f"kind={kind}" for kind in KINDS_OF_UPLOAD),
    )
    if receipt.kind == "weather":
        answers = tuple(f"gauge={gauge}" for gauge in registers.gauges)
        return [kind, Settled("gauge", "", ", ".join(receipt.gauges), "named in the record, or by the answer given", answers)]
    return [kind, *_columns(receipt.tables, receipt.kind), *_facts(receipt.tables, registers)]


def _columns(tables: list[Understood], kind: str) -> Iterator[Settled]:
    layouts: dict[tuple[tuple[str, str], ...], list[Understood]] = {}
    for table in tables:
        layouts.setdefault(tuple(item for item in table.headers.items() if not _is_of_several(table, item[0])), []).append(table)
    for headers, alike in layouts.items():
        sheets = dict.fromkeys(table.sheet for table in alike)
        for sheet in sheets if len(layouts) > 1 else [""]:
            first = next(table for table in alike if not sheet or table.sheet == sheet)
            yield from (_column(letter, header, headers, first, sheet, kind) for letter, header in headers)


def _is_of_several(table: Understood, letter: str) -> bool:
    taken = table.columns.get("reading")
    return taken is not None and taken["letter"] == letter and taken["why"] == "one of several columns of readings"


def _column(letter: str, header: str, headers: tuple[tuple[str, str], ...], table: Understood, sheet: str, kind: str) -> Settled:
    is_plain = MARK not in header and fold(header) and sum(fold(other) == fold(header) for _, other in headers) == 1
    named = one_line(header) if is_plain else f"column {letter}"
    taken = {column: found["why"] for column, found in table.columns.items() if found["letter"] == letter}
    prefix = f"only.{sheet}." if sheet else ""
    others = [
        f"{prefix}columns.{column}={named}" for column in contract()[kind].columns if column not in ("usable", "is_absent", "is_unscored")
    ]
    unused = [f"{prefix}columns.{column}={NO_COLUMN}" for column in taken]
    words = " and ".join(column.replace("_", " ") for column in taken) or "not used"
    return Settled(f"column {letter}, {header!r}", sheet, words, ", ".join(taken.values()), (*others, *unused))


def _facts(tables: list[Understood], registers: Registers) -> Iterator[Settled]:
    of_registers: dict[str, Iterable[str]] = {"semester": registers.semesters, "site": registers.sites, "taxon": registers.taxa}
    choices = {fact: [(key, value) for value in CHOICES[key]] for fact, key in _OF_CHOICES.items()}
    choices |= {fact: [(f"constants.{fact}", code) for code in register] for fact, register in of_registers.items()}
    choices["section"] = [("constants.section", code) for code in dict.fromkeys(section for _, section in registers.sections)]
    for fact, answers in choices.items():
        found = {table.sheet: taken for table in tables if (taken := _taken(fact, table)) is not None}
        is_one = len(set(found.values())) == 1 and len(found) == len({table.sheet for table in tables})
        for sheet, (value, why) in list(found.items())[: 1 if is_one else None]:
            prefix = f"only.{sheet}." if sheet and not is_one else ""
            yield Settled(fact, "" if is_one else sheet, value, why, tuple(f"{prefix}{key}={value}" for key, value in answers))


def _taken(fact: str, table: Understood) -> tuple[str, str] | None:
    """What a table was taken for in one respect, and why; None where its rows or its headers say it each for themselves."""
    said = [
        _plain(decision) for name, decision in table.facts.items() if name == fact or (fact == "section" and name.startswith("section in "))
    ]
    if fact in table.columns or not said or any(why in (_BY_HEADER, *_NOT_ASKED) for _, why in said):
        return None
    return ", ".join(_once(value for value, _ in said)), ", ".join(_once(why for _, why in said))


def _plain(decision: dict[str, str | None]) -> tuple[str, str]:
    return decision["value"] or ("row by row" if decision["why"] else "open"), decision["why"] or ""


def _once(texts: Iterable[str]) -> list[str]:
    return [text for text in dict.fromkeys(texts) if text]
