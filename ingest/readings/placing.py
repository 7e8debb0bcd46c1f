"""Place each row in the calendar and in the cohort: date, semester and section."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date

from ingest.cells.dates import Order, PartialDate, parse_date
from ingest.checked.rows import Rows
from ingest.checked.understood import Reading, Understood
from ingest.doubts.problems import problem
from ingest.files.containers import CellValue
from ingest.readings.decisions import decide_date_order
from ingest.registers.names import section_named, semester_named
from ingest.tables.column_cells import cells_of, each_once, first_cells, text_of
from ingest.tables.columns import ColumnMap
from ingest.tables.tables import Table

ORDERS: dict[str, Order] = {"day-first": "day-first", "month-first": "month-first", "year-first": "year-first"}
OTHER_ORDER = {"day-first": "month-first", "month-first": "day-first"}


def place_semesters(table: Table, mapped: ColumnMap, reading: Reading, said: Understood) -> list[str | None]:
    """The semester of each data row as far as the file states it; None leaves it to the date."""
    registers = reading.registers
    cells = [text_of(cell) for cell in cells_of(table, mapped, "semester")]
    stated = reading.recipe.get("constants.semester")
    if not any(cells) and stated is None:
        stated = next(
            filter(
                None, (semester_named(text, registers) for text in (*table.titles, table.sheet.name, *table.page_titles, reading.file_name))
            ),
            None,
        )
        why = "named above the table, on the sheet or in the file's name"
    else:
        why = "by the answer given" if stated else "named in each row"
    if stated and stated not in registers.semesters:
        _ask_semester(table, str(stated), None, len(cells), reading, said)
        stated = None
    said.say("semester", stated, why if stated or any(cells) else "by the date of each row")
    found: dict[str, str | None] = {text: semester_named(text, registers) for text in set(cells) if text}
    if stated is None and not all(found.values()):
        counts, place_of = Counter(cells), first_cells(table, mapped, "semester")
        for text in (text for text, code in found.items() if code is None):
            _ask_semester(table, text, place_of[text], counts[text], reading, said)
    return [found.get(text) or stated for text in cells]


def _ask_semester(table: Table, written: str, where: str | None, count: int, reading: Reading, said: Understood) -> None:
    place = {"sheet": table.sheet.name, "column": "semester", "value": reading.spellings.shown(written, where)}
    said.questions.append(problem("semester_unknown", place=place, count=count, answers=_semester_answers(reading)))


def _semester_answers(reading: Reading) -> list[str]:
    return [f"constants.semester={semester}" for semester in reversed(reading.registers.semesters)]


FEWEST_FOR_STRAYS = 6  # rows
STRAY = 0.05  # of a table's rows


def place_dates(
    table: Table, mapped: ColumnMap, rows: Rows, at: Sequence[int], semesters: list[str | None], reading: Reading, said: Understood
) -> None:
    """Fill date and semester of each data row; a day without a year takes the one in which it lies in its semester."""
    constant = reading.recipe.get("constants.date")
    cells: list[CellValue] = [str(constant)] * len(at) if constant else cells_of(table, mapped, "date")
    parsed = each_once(cells, parse_date)
    stated = next(iter(set(semesters)), None) if len(set(semesters)) == 1 else None
    order, asked = decide_date_order(table, parsed, reading.recipe, reading.registers, stated)
    said.questions.extend(asked)
    said.say("order of dates", order.value, order.why)
    yearless: list[str] = []
    days: list[date | None] = []
    for index, cell, found, semester in zip(at, cells, parsed, semesters, strict=True):
        day = _resolved(found, order.value, semester, reading)
        if day is None and order.value and (turned := _resolved(found, OTHER_ORDER.get(order.value), semester, reading)):
            day = turned  # 24/9 among month-first dates can be no other day
            rows.mark(index, "date_flipped", "date", text_of(cell), day=day)
        if day is None and isinstance(found, PartialDate) and found.year is None and semester is None:
            yearless.append(text_of(cell))
        elif day is None and cell is not None and not asked:
            rows.mark(index, "date_unreadable", "date", text_of(cell))
        days.append(day)
    if yearless:
        place = {"sheet": table.sheet.name, "column": "date", "value": yearless[0]}
        said.questions.append(problem("year_missing", place=place, count=len(yearless), answers=_semester_answers(reading)))
    rows.put("date", at, days)
    _doubt_turned(rows, at, cells, parsed)
    _check_semesters(rows, at, days, semesters, reading)


def _doubt_turned(rows: Rows, at: Sequence[int], cells: Sequence[CellValue], parsed: Sequence[date | PartialDate | None]) -> None:
    """Real dates up to the 12th beside texts beyond it: a spreadsheet program read day and month in its own order, and turned them."""
    texts = [found for cell, found in zip(cells, parsed, strict=True) if isinstance(cell, str) and isinstance(found, PartialDate)]
    real = [(index, cell) for index, cell in zip(at, cells, strict=True) if isinstance(cell, date)]
    if not real or any(cell.day > 12 for _, cell in real) or not any(max(found.first, found.second) > 12 for found in texts):
        return
    for index, cell in real:
        if cell.day != cell.month:
            rows.mark(index, "date_maybe_turned", "date", text_of(cell))


def _resolved(found: date | PartialDate | None, order: str | None, semester: str | None, reading: Reading) -> date | None:
    if not isinstance(found, PartialDate):
        return found
    if order is None:
        return None
    wanted = ORDERS[order]
    if found.year is not None or semester is None:
        return found.resolve(wanted, None)
    row = reading.registers.semesters[semester]
    candidates = [found.resolve(wanted, year) for year in sorted({row.start_date.year, row.end_date.year})]
    inside = [day for day in candidates if day and row.start_date <= day <= row.end_date]
    return inside[0] if inside else next(filter(None, candidates), None)


def _check_semesters(rows: Rows, at: Sequence[int], days: list[date | None], semesters: list[str | None], reading: Reading) -> None:
    registers, today = reading.registers, date.today()
    by_day = {day: registers.semester_of(day) for day in set(days) if day}
    codes: list[str | None] = []
    for index, day, stated in zip(at, days, semesters, strict=True):
        code = stated or (by_day.get(day) if day else None)
        codes.append(code)
        if day is None:
            continue
        if day > today:
            rows.mark(index, "date_in_future", "date", day)
        elif code is None:
            rows.mark(index, "date_in_no_semester", "date", day)
        elif not registers.semesters[code].start_date <= day <= registers.semesters[code].end_date:
            row = registers.semesters[code]
            rows.mark(index, "date_outside_semester", "date", day, semester=code, start=row.start_date, end=row.end_date)
    rows.put("semester", at, codes)
    _doubt_strays(rows, at, days, codes)


def _doubt_strays(rows: Rows, at: Sequence[int], days: list[date | None], codes: list[str | None]) -> None:
    """A day or two of another semester in a class's table: a year or month was mistyped, or the rows came from another file."""
    counts = Counter(code for code in codes if code)
    if not (counts and len(codes) >= FEWEST_FOR_STRAYS):
        return
    usual, most = counts.most_common(1)[0]
    if not 0 < sum(counts.values()) - most <= max(1, STRAY * len(codes)):
        return
    for index, day, code in zip(at, days, codes, strict=True):
        if code not in (None, usual):
            rows.mark(index, "date_in_other_semester", "date", day, semester=code, usual=usual)


def place_sections(table: Table, mapped: ColumnMap, rows: Rows, at: Sequence[int], reading: Reading, said: Understood) -> None:
    """Fill the section of each data row: from its cell, the answer given, the sheet's name, the titles or the file's name."""
    cells = [text_of(cell) for cell in cells_of(table, mapped, "section")]
    constant = reading.recipe.get("constants.section") or reading.recipe.name_for("section", table.sheet.name)
    around = [str(constant)] if constant else [*table.titles, table.sheet.name, *table.page_titles, reading.file_name]
    counts, place_of = Counter(cells), first_cells(table, mapped, "section")
    known: dict[tuple[str, str], tuple[str | None, str]] = {}
    codes: list[str | None] = []
    for index, text in zip(at, cells, strict=True):
        semester = rows.columns["semester"][index]
        if semester is None:
            codes.append(None)
            continue
        if (semester, text) not in known:
            known[semester, text] = _section(text, semester, around, bool(constant), reading)
            if text or constant or known[semester, text][0] or not any(cells):
                _say_section(table, text, semester, known[semester, text], counts[text], place_of, reading, said)
        code = known[semester, text][0]
        codes.append(code)
        if code is None and not text and any(cells):
            rows.mark(index, "section_missing", "section")
    rows.put("section", at, codes)


def _section(text: str, semester: str, around: list[str], is_constant: bool, reading: Reading) -> tuple[str | None, str]:
    registers = reading.registers
    if text:
        said = reading.recipe.name_for("section", text) or text
        return section_named(said, semester, registers, is_free_text=False), "named in each row"
    found = (section_named(place, semester, registers, is_free_text=not is_constant) for place in around if place)
    code = next(filter(None, found), None)
    if code or is_constant:
        return code, "by the answer given" if is_constant else "named on the sheet, above the table or in the file's name"
    only = [section for named, section in registers.sections if named == semester]
    return (only[0], "the semester has no other section") if len(only) == 1 else (None, "")


def _say_section(
    table: Table,
    text: str,
    semester: str,
    found: tuple[str | None, str],
    count: int,
    place_of: Mapping[str, str],
    reading: Reading,
    said: Understood,
) -> None:
    code, why = found
    if code:
        spelt = reading.spellings.shown(text, place_of.get(text)) if text else ""
        said.say(f"section {spelt!r} in {semester}" if text else f"section in {semester}", code, why)
        return
    codes = [section for named, section in reading.registers.sections if named == semester]
    answers = reading.name_answers("section", text, codes) if text else [f"constants.section={code}" for code in codes]
    written = text or reading.recipe.get("constants.section")
    shown = reading.spellings.shown(str(written), place_of.get(text)) if written else None
    place = {"sheet": table.sheet.name, "value": shown}
    kind = "section_unknown" if written else "section_missing_everywhere"
    said.questions.append(problem(kind, place=place, count=count, semester=semester, answers=answers))
