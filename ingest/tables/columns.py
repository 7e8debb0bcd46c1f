"""Map the columns of a table to the contract: by the recipe where it says so, else by the words of the headers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from ingest.cells.clock import parse_time
from ingest.cells.dates import parse_date
from ingest.cells.remarks import RemarkMeaning, understand_remark
from ingest.cells.sun import window_named
from ingest.contract import contract
from ingest.doubts.answers import one_line
from ingest.doubts.problems import Problem, problem
from ingest.doubts.recipes import Recipe
from ingest.files.containers import CellValue, letter
from ingest.folding import fold
from ingest.tables.headers import OTHER_MEASUREMENTS, Header, is_summary_header, understand_header
from ingest.tables.table_rows import is_value
from ingest.tables.tables import Table

SEVERAL_ALLOWED = {"remark", "observer", "person_detail"}
CERTAIN = 60
TOLD = 101  # above every score of a header
NO_COLUMN = "no column"
"""Said in place of a header: no column of the file is this one of the contract, whatever a header says."""


@dataclass
class ColumnMap:
    """Where each contract column stands in a table (column numbers from 1), and why."""

    columns: dict[str, list[int]] = field(default_factory=dict)
    why: dict[str, str] = field(default_factory=dict)
    unused: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    barred: set[str] = field(default_factory=set)

    def place(self, column: str) -> int | None:
        """The first column number of a contract column, or None."""
        return self.columns.get(column, [None])[0]


def map_columns(table: Table, recipe: Recipe) -> ColumnMap:
    """Say for each contract column where it stands; what two headers could be is asked, never guessed."""
    mapped = ColumnMap()
    taken = _from_recipe(table, recipe, mapped)
    if table.reading_place:
        mapped.columns["reading"], mapped.why["reading"] = [table.reading_place], "one of several columns of readings"
        taken.add(table.reading_place)
    claims: dict[str, list[tuple[int, int]]] = {}
    for place, text in table.headers.items():
        if place in taken:
            continue
        if told := table.told.get(place):
            claims.setdefault(told, []).append((TOLD, place))
            continue
        header = understand_header(text)
        if not header.candidates or is_summary_header(text):
            mapped.unused.append(text)
            continue
        column, score = _best_free(header, mapped)
        if column is None:
            mapped.unused.append(text)
        else:
            claims.setdefault(column, []).append((score, place))
    for column, rivals in claims.items():
        _settle(table, column, sorted(rivals, reverse=True), mapped)
    _tell_window_from_clock(table, mapped)
    _tell_kind_from_tag(table, mapped, [place for _, place in claims.get("plant", [])])
    _tell_remarks(table, mapped)
    return mapped


def _tell_remarks(table: Table, mapped: ColumnMap) -> None:
    """A column under a name of its own ("stuff that happened") whose words speak of leaves and endpoints is one of remarks."""
    if "remark" in mapped.barred or mapped.why.get("remark") == "by the recipe":
        return
    for place, text in table.headers.items():
        if (
            text not in mapped.unused
            or understand_header(text).candidates
            or set(fold(text).split()) & OTHER_MEASUREMENTS
            or is_summary_header(text)
        ):
            continue
        cells = {cell for cell in table.column(place) if cell is not None}
        words = [cell for cell in cells if isinstance(cell, str) and not is_value(cell)]
        if len(words) >= 0.5 * len(cells) and any(understand_remark(cell) != RemarkMeaning() for cell in words):
            mapped.columns["remark"] = sorted([*mapped.columns.get("remark", []), place])
            mapped.why.setdefault("remark", "its cells are remarks")
            mapped.unused.remove(text)


def _tell_window_from_clock(table: Table, mapped: ColumnMap) -> None:
    """ "Time of day" may head predawn and midday, or 13:05: the cells say which."""
    place = mapped.place("sampling_window")
    if place is None or mapped.why["sampling_window"] == "by the recipe":
        return
    cells = {cell for cell in table.column(place) if cell is not None and not (isinstance(cell, str) and window_named(cell))}
    if cells and "date" not in mapped.columns and all(parse_date(cell) is not None for cell in cells):  # "When did you take the reading?"
        mapped.columns["date"], mapped.why["date"] = mapped.columns.pop("sampling_window"), "its cells are dates"
        del mapped.why["sampling_window"]
        return
    if cells and "time_read" not in mapped.columns and all(parse_time(cell) is not None for cell in cells):
        mapped.columns["time_read"], mapped.why["time_read"] = mapped.columns.pop("sampling_window"), "its cells are clock times"
        del mapped.why["sampling_window"]


def _tell_kind_from_tag(table: Table, mapped: ColumnMap, places: list[int]) -> None:
    """ "Plant" may head a plant's number, or its name beside a "plant no.": the cells say which."""
    if "taxon" in mapped.columns or "taxon" in mapped.barred or "taxon" in table.constants or len(places) != 2:
        return
    named = [place for place in places if _holds_names(table.column(place))]
    if len(named) == 1:
        mapped.columns["taxon"], mapped.why["taxon"] = named, "its cells are names, not numbers"
        mapped.columns["plant"] = [place for place in places if place not in named]
        mapped.why.setdefault("plant", "the header names it")
        mapped.unused = [text for text in mapped.unused if text not in (table.headers[place] for place in places)]
        mapped.problems = [found for found in mapped.problems if found.column != "plant"]


def _holds_names(cells: list[CellValue]) -> bool:
    texts = {cell for cell in cells if cell is not None}
    return bool(texts) and all(isinstance(text, str) and len(text) > 2 and not any(map(str.isdigit, text)) for text in texts)


def column_answers(column: str, table: Table, mapped: ColumnMap, scrub: Callable[[str], str]) -> list[str]:
    """What can be answered where no column was taken for one of the contract: each header that is not used.

    A header that could name a person is told by its letter.
    """
    places = {text: place for place, text in table.headers.items()}
    said = [one_line(text) if scrub(text) == text else f"column {letter(places[text])}" for text in mapped.unused]
    return [f"columns.{column}={one}" for one in said or ["HEADER"]]


def _from_recipe(table: Table, recipe: Recipe, mapped: ColumnMap) -> set[int]:
    taken: set[int] = set()
    mapped.barred = {column for column, header in recipe.answers.get("columns", {}).items() if fold(str(header)) == NO_COLUMN}
    for column, header in recipe.answers.get("columns", {}).items():
        if column == "reading" and table.reading_place:
            continue
        said = fold(str(header))
        places = [place for place, text in table.headers.items() if said in (fold(text), f"column {letter(place).casefold()}")]
        if not places and recipe.code_of:
            places = [place for place, text in table.headers.items() if recipe.code_of(one_line(text)) == header]
        if places:
            mapped.columns[column] = places[:1]
            mapped.why[column] = "by the recipe"
            taken.update(places[:1])
    return taken


def _best_free(header: Header, mapped: ColumnMap) -> tuple[str | None, int]:
    open_to = (each for each in header.candidates if each[0] not in mapped.barred)
    free = [(column, score) for column, score in open_to if column not in mapped.columns or column in SEVERAL_ALLOWED]
    return free[0] if free else (None, 0)


def _settle(table: Table, column: str, rivals: list[tuple[int, int]], mapped: ColumnMap) -> None:
    """Give the column to its best header; `reading` keeps all its rivals, which are compared by their numbers."""
    best = rivals[0][0]
    if column in SEVERAL_ALLOWED or column == "reading":
        places = [place for _, place in rivals]
        mapped.columns[column] = places if column == "reading" else sorted([*mapped.columns.get(column, []), *places])
    else:
        equal = [place for score, place in rivals if score == best]
        if len(equal) > 1:
            names = " and ".join(f"{table.headers[place]!r} ({letter(place)})" for place in sorted(equal))
            says = contract()["readings"].columns[column].name.replace("_", " ")
            place = {"sheet": table.sheet.name, "row": table.header_row, "column": column, "value": names}
            alike = len({fold(table.headers[place]) for place in equal}) < len(equal)
            said = [f"column {letter(place)}" if alike else one_line(table.headers[place]) for place in sorted(equal)]
            answers = [f"columns.{column}={one}" for one in said]
            mapped.problems.append(problem("column_unclear", place={**place, "column": says}, answers=answers))
            return
        mapped.columns[column] = [rivals[0][1]]
        mapped.unused.extend(table.headers[place] for _, place in rivals[1:])
    named = "its cells are names in the register"
    mapped.why[column] = named if best == TOLD else "the header names it" if best >= CERTAIN else "its unit is one of pressure"
