"""Say whose reading a row is: site, taxon, plant, leaf, chamber, the observer's pseudonym, the remark without persons."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from functools import partial

from ingest.cells.people import MARK
from ingest.checked.rows import Rows
from ingest.checked.understood import Reading, Understood
from ingest.contract import contract
from ingest.doubts.answers import answer_line
from ingest.doubts.problems import problem
from ingest.doubts.recipe_keys import SET_ASIDE
from ingest.files.containers import CellValue
from ingest.folding import fold
from ingest.readings.remarked import remarks_of
from ingest.registers.names import Match, NameIndex
from ingest.tables.column_cells import cells_of, each_once, first_cells, name_of, stands_somewhere, text_of
from ingest.tables.columns import NO_COLUMN, ColumnMap, column_answers
from ingest.tables.headers import understand_header
from ingest.tables.labels import CERTAIN_HOW, Labels
from ingest.tables.tables import Table

_CODE = re.compile(r"[#]?[A-Za-z]{0,4}([-_. /#]?\d{1,4}){0,3}[-_. ]?[A-Za-z]?")
_DECIMAL = re.compile(r"[-+−]?\d{1,4}[.,]\d+")
_TURNED = re.compile(r"\d{1,2}-[A-Z][a-z]{2}|[A-Z][a-z]{2}-\d\d")  # 3-Jan and Jan-03, as programs show such a date
_STUDENT_NUMBER = re.compile(r"\W*[A-Za-z]{0,3}[-_ ]?\d{6,}\W*")
_KEYED = re.compile(r"x[0-9a-f]{6}")
COLUMNS = contract()["readings"].columns
MOST_CHAMBERS = 20  # a lab that owns more has them in its register (common practice); more unknown ones are persons or serial numbers


def attribute(table: Table, mapped: ColumnMap, rows: Rows, at: Sequence[int], reading: Reading, said: Understood) -> None:
    """Fill all columns of each data row that name something, and the row's values as written."""
    _name(table, mapped, "site", reading.sites, rows, at, reading, said)
    _name(table, mapped, "taxon", reading.taxa, rows, at, reading, said)
    _doubt_other_names(table, mapped, rows, at, reading)
    _chambers(table, mapped, rows, at, reading, said)
    for column in ("plant", "leaf"):
        _texts(table, mapped, column, rows, at, reading)
    places = mapped.columns.get("observer", [])
    if places:
        given = table.given.get("observer", {})
        people = [
            "; ".join(
                filter(
                    None, (text_of(given.get(row) if place == places[0] and row in given else table.cell(row, place)) for place in places)
                )
            )
            for row in table.data_rows
        ]
        codes = {name: reading.pseudonym(name) for name in set(people) if name}
        rows.put("observer", at, [codes.get(name) for name in people])
    remarks = remarks_of(table, mapped)
    rows.put("remark", at, [reading.scrub(remark[: COLUMNS["remark"].max_length]) if remark else None for remark in remarks])
    rows.put("values_as_written", at, _as_written(table, mapped, reading))


def _name(
    table: Table, mapped: ColumnMap, column: str, index_of: NameIndex, rows: Rows, at: Sequence[int], reading: Reading, said: Understood
) -> None:
    cells = [name_of(cell) for cell in cells_of(table, mapped, column)]
    if not stands_somewhere(table, mapped, column):
        constant = reading.recipe.get(f"constants.{column}") or _named_around(table, column, reading.labels)
        if constant is None:
            place = {"sheet": table.sheet.name, "row": table.header_row, "column": column}
            answers = [*column_answers(column, table, mapped, reading.scrub), *(f"constants.{column}={code}" for code in index_of.codes())]
            said.questions.append(problem("column_missing", place=place, count=len(at), answers=answers))
            return
        cells = [str(constant)] * len(at)
        said.say(column, index_of.match(str(constant)).code, "by the answer given, on the sheet or above the table")
    # What stands in a row without a reading – a note below the table, a row set aside – is nothing to ask about.
    counts = Counter(text for index, text in zip(at, cells, strict=True) if text and not _holds_nothing(rows, index))
    matches = {text: index_of.match(text) for text in dict.fromkeys(filter(None, cells))}
    place_of = first_cells(table, mapped, column) if any(match.how == "unknown" for match in matches.values()) else {}
    for text, match in matches.items():
        if match.how == "unknown" and not counts[text]:
            continue
        _say_match(table, mapped, column, match, counts[text], place_of, index_of, reading, said)
    remember = {
        text: answer_line(reading.name_answers(column, text, [match.code]))
        for text, match in matches.items()
        if match.how == "alike" and match.code
    }
    codes: list[str | None] = []
    for index, text in zip(at, cells, strict=True):
        found = matches.get(text)
        codes.append(found.code if found else None)
        if found and found.how in ("alike", "doubtful", "set_aside"):
            rows.mark(index, f"{column}_{found.how}", column, text, match=found.shown, remember=remember.get(text))
    rows.put(column, at, codes)


def _holds_nothing(rows: Rows, index: int) -> bool:
    """True for a row that is set aside already, or that has neither a number nor words where a reading or its bound may stand."""
    place = rows.places[index]
    said = (place.columns.get(column) for column in ("reading", "remark", "endpoint")) if place else ()
    return rows.is_aside(index) or (place is not None and all(place.table.cell(place.row, column) is None for column in said if column))


def _doubt_other_names(table: Table, mapped: ColumnMap, rows: Rows, at: Sequence[int], reading: Reading) -> None:
    """A second column of plants' names that was not used, such as common names, may name another plant than the first."""
    unused = [place for place, text in table.headers.items() if text in mapped.unused and understand_header(text).best == "taxon"]
    for place in unused:
        matches = each_once(table.column(place), lambda cell: reading.taxa.match(name_of(cell)) if name_of(cell) else None)
        for index, match in zip(at, matches, strict=True):
            code = rows.columns["taxon"][index]
            if match and code and match.how in CERTAIN_HOW and match.code != code:
                rows.mark(index, "taxon_against_name", "taxon", match.written, match=match.shown)


def _say_match(
    table: Table,
    mapped: ColumnMap,
    column: str,
    match: Match,
    count: int,
    place_of: Mapping[str, str],
    index_of: NameIndex,
    reading: Reading,
    said: Understood,
) -> None:
    rows = "row" if count == 1 else "rows"
    if match.how == "alias":
        said.notes.append(f"{column}_by_alias: {match.written!r} stands for {match.shown} ({count} {rows})")
    elif match.how == "unknown":
        header = table.headers.get(mapped.place(column) or 0, column)
        shown = reading.spellings.shown(match.written, place_of.get(match.written))
        place = {"sheet": table.sheet.name, "column": header, "value": shown}
        aside = f"names.{column}.{reading.spellings.key(match.written)}={SET_ASIDE}"
        answers = [*reading.name_answers(column, match.written, index_of.codes()), aside]
        said.questions.append(problem(f"{column}_unknown", place=place, count=count, answers=answers))


def _named_around(table: Table, column: str, labels: Labels) -> str | None:
    """The value that stands for the whole table: of the nearest title that names one, else of the sheet's name."""
    found = (labels.of_heading(text).get(column) for text in (*table.titles, table.sheet.name) if text)
    return next(filter(None, found), None)


def _chambers(table: Table, mapped: ColumnMap, rows: Rows, at: Sequence[int], reading: Reading, said: Understood) -> None:
    constant = reading.recipe.get("constants.chamber")
    cells = [name_of(cell) or str(constant or "") for cell in cells_of(table, mapped, "chamber")]
    codes: list[str | None] = []
    unknown = [text for text in dict.fromkeys(cells) if text and reading.chambers.match(text).code is None]
    is_hardly = len(unknown) > MOST_CHAMBERS
    if is_hardly:
        header, shown = table.headers[mapped.columns["chamber"][0]], first_cells(table, mapped, "chamber")[unknown[0]]
        place = {"sheet": table.sheet.name, "row": table.header_row, "column": header, "value": repr(header)}
        answers = [f"columns.chamber={NO_COLUMN}", *column_answers("chamber", table, mapped, reading.scrub)]
        words = {"number": len(unknown), "first": reading.spellings.shown(unknown[0], shown)}
        said.questions.append(problem("chambers_hardly_known", place=place, count=len(at), answers=answers, **words))
    for index, text in zip(at, cells, strict=True):
        code = reading.chambers.match(text).code if text else None
        codes.append(code)
        if text and code is None and not is_hardly:
            # On every row, so an answer that may name a person is not offered there.
            is_plain = reading.scrub(text) == text
            answers = reading.name_answers("chamber", text, reading.chambers.codes()) if is_plain else []
            rows.mark(index, "chamber_unknown", "chamber", text, answers=answers)
    rows.put("chamber", at, codes)


def _texts(table: Table, mapped: ColumnMap, column: str, rows: Rows, at: Sequence[int], reading: Reading) -> None:
    limit = COLUMNS[column].max_length or 40
    values: list[str | None] = []
    tags: dict[str, str] = {}
    for index, cell in zip(at, cells_of(table, mapped, column), strict=True):
        is_turned = isinstance(cell, date) or _TURNED.fullmatch(text_of(cell)) is not None
        if is_turned:  # 1-2 became 2 January: what it was cannot be told
            rows.mark(index, "tag_turned_into_date", column, text_of(cell))
        text = "" if is_turned else name_of(cell)
        if len(text) > limit:
            rows.mark(index, "text_shortened", column, limit=limit)
        if text and text not in tags:
            tags[text] = _tag(text[:limit], reading)
        values.append(tags.get(text))
    rows.put(column, at, values)


def _tag(text: str, reading: Reading) -> str:
    """A plant's or leaf's tag: a short code stays as it is, unless it is an observer's; else its words become keyed codes.

    Not marks: two plants tagged by two persons stay two plants.
    """
    if _STUDENT_NUMBER.fullmatch(text):
        code = reading.pseudonym(f"tag {text}")[-6:]
        return f"x{code[:-1]}a" if code.isdecimal() else f"x{code}"  # never a run of digits again
    words = re.findall(r"[^\W\d_]+", text)
    if _CODE.fullmatch(text) and not reading.people & set(map(fold, words)):
        return text
    scrubbed = reading.scrub(text)
    if MARK not in scrubbed:
        return scrubbed
    personal = [word for word in words if MARK in reading.scrub(word) or fold(word) in reading.people]
    if not personal:
        return scrubbed
    names = re.compile("(" + "|".join(map(re.escape, sorted(personal, key=len, reverse=True))) + r")(?=(\w?))")
    tag = names.sub(lambda found: "x" + reading.pseudonym(f"tag {found[1]}")[-6:] + ("-" if found[2] else ""), text)
    return tag if MARK not in reading.scrub(_KEYED.sub("", tag)) else scrubbed


def _as_written(table: Table, mapped: ColumnMap, reading: Reading) -> list[str]:
    """Each row's mapped cells as JSON of header to text, persons left out."""
    kept = sorted(place for column, places in mapped.columns.items() if not COLUMNS[column].personal for place in places)
    fragments = []
    for place in kept:
        header = json.dumps(reading.scrub(table.headers[place]), ensure_ascii=False)
        cells = table.column(place)
        fragments.append(each_once(cells, partial(_fragment, header, reading.scrub)))
    return ["{" + ", ".join(filter(None, row)) + "}" for row in zip(*fragments, strict=True)]


def _fragment(header: str, scrub: Callable[[str], str], cell: CellValue) -> str:
    text = text_of(cell)
    if _DECIMAL.fullmatch(text):  # all its decimals, though a long row of digits may be a student's number elsewhere
        return f"{header}: {json.dumps(text)}"
    return f"{header}: {json.dumps(scrub(text), ensure_ascii=False)}" if text else ""
