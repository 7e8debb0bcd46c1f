"""Read the tables of a file of readings into rows: map columns, decide, parse cells, check. Each step stands on its own."""

from __future__ import annotations

from ingest.cells.leaves_named import told
from ingest.checked.kept_answers import sheet_shown
from ingest.checked.receipts import Receipt
from ingest.checked.rows import Place, Rows
from ingest.checked.understood import Reading, Understood
from ingest.doubts.problems import problem
from ingest.doubts.questions import within_reason
from ingest.files.containers import letter
from ingest.progress import begun
from ingest.readings.attributing import attribute
from ingest.readings.crosschecks import check_rows
from ingest.readings.decisions import decide_readings
from ingest.readings.measuring import measure
from ingest.readings.placing import place_dates, place_sections, place_semesters
from ingest.readings.reading_units import keep_named_units
from ingest.readings.remarked import remarks_written
from ingest.readings.rivals import doubt_passed_over
from ingest.readings.timing import place_times
from ingest.tables.column_cells import stands_somewhere
from ingest.tables.columns import ColumnMap, column_answers, map_columns
from ingest.tables.layouts import plain_tables
from ingest.tables.numbering import settle_numbers
from ingest.tables.tables import SheetLayout, Table


def read_sheets(layouts: list[SheetLayout], reading: Reading, receipt: Receipt) -> Rows:
    """Read all sheets of a file and fill the receipt; every row of every sheet becomes a row of the result."""
    rows = Rows(reading.scrub, reading.header)
    data: list[int] = []
    if reading.recipe.get("reading.unit") or reading.recipe.answers.get("only"):
        tables = [table for layout in layouts for table in layout.tables]
        keep_named_units(tables, reading.recipe, lambda table: reading.for_sheet(table.sheet).recipe)
    for layout in layouts:
        data.extend(_read_sheet(layout, reading, rows, receipt))
    if not receipt.tables:
        receipt.problems.append(problem("no_table", answers=["sheets.header_row=ROW"]))
    elif not data:
        receipt.problems.append(problem("no_rows", place={"row": receipt.tables[0].header_row}))
    elif not receipt.is_refused:
        check_rows(rows, data, reading.registers, reading.settings, reading.tell)
        if all(rows.is_aside(index) for index in data):
            written = [rows.columns["reading_as_written"][index] or "" for index in data]
            are_formulas = all(text.startswith("=") for text in written)
            receipt.problems.append(problem("readings_are_formulas" if are_formulas else "no_readings_left"))
    rows.settle()
    receipt.problems = [*within_reason(receipt.problems), *rows.problems]
    receipt.rows, receipt.reasons = rows.counts(), rows.reasons()
    _cover(rows, receipt)
    return rows


def _read_sheet(layout: SheetLayout, reading: Reading, rows: Rows, receipt: Receipt) -> list[int]:
    """Add all rows of a sheet, then read its tables; returns the indices of the data rows.

    A row of a wide table becomes one row for each reading in it.
    """
    plain: list[tuple[Table, list[str]]] = []
    for table in layout.tables:
        tables, notes = plain_tables(table, layout.other_rows, reading.labels, reading.recipe)
        plain.extend((found, notes if found is tables[0] else []) for found in tables)
    entries = sorted(
        [(row, -1) for row in layout.other_rows] + [(row, number) for number, (table, _) in enumerate(plain) for row in table.data_rows]
    )
    start = rows.add(len(entries))
    every = range(start, start + len(entries))
    rows.put("source_sheet", every, [sheet_shown(layout.sheet, reading.scrub) or None] * len(entries))
    rows.put("source_row", every, [row for row, _ in entries])
    at: dict[int, list[int]] = {}
    for index, (row, number) in zip(every, entries, strict=True):
        if number >= 0:
            at.setdefault(number, []).append(index)
            continue
        rows.mark(index, layout.other_rows[row])
        cells = layout.sheet.rows[row - 1] if row <= len(layout.sheet.rows) else []
        text = " | ".join(str(cell) for cell in cells if cell is not None)
        rows.columns["values_as_written"][index] = reading.scrub(text[:1000]) if text else None
    for number, (table, notes) in enumerate(plain):
        said = _read_table(table, at.get(number, []), reading, rows, receipt)
        said.notes[:0] = notes
        receipt.tables.append(said)
    return [index for indices in at.values() for index in indices]


def _read_table(table: Table, at: list[int], reading: Reading, rows: Rows, receipt: Receipt) -> Understood:
    reading = reading.for_sheet(table.sheet)
    mapped = map_columns(table, reading.recipe)
    settle_numbers(table, mapped)
    said = Understood(sheet_shown(table.sheet, reading.scrub), table.header_row, len(at), questions=[*table.questions, *mapped.problems])
    for column, places in mapped.columns.items():
        header = reading.scrub(table.headers[places[0]])
        said.columns[column] = {"header": header, "letter": letter(places[0]), "why": mapped.why[column]}
    said.unused = [reading.scrub(header) for header in mapped.unused]
    said.headers = {letter(place): reading.scrub(text) for place, text in table.headers.items()}
    if "reading" not in mapped.columns:
        is_asked = any(found.code in ("column_unclear", "label_unknown") for found in said.questions)
        if not is_asked:
            place = {"sheet": table.sheet.name, "row": table.header_row, "column": "reading"}
            said.questions.append(problem("column_missing", place=place, answers=column_answers("reading", table, mapped, reading.scrub)))
    elif at:
        _read_rows(table, mapped, at, reading, rows, said)
    unclear = {question.column for question in said.questions if question.code == "column_unclear"}  # not missing: there are two
    said.questions = [question for question in said.questions if question.code != "column_missing" or question.column not in unclear]
    receipt.problems.extend(reading.asked(question, said.sheet or None) for question in said.questions)
    said.notes = [reading.shown(note) for note in said.notes]
    said.facts = {reading.shown(fact): decision for fact, decision in said.facts.items()}
    return said


def _read_rows(table: Table, mapped: ColumnMap, at: list[int], reading: Reading, rows: Rows, said: Understood) -> None:
    column = decide_readings(table, mapped, reading.recipe)
    said.questions.extend(column.problems)
    said.notes.extend(column.notes)
    taken = {"header": reading.scrub(column.header), "letter": letter(column.place), "why": mapped.why["reading"]}
    said.columns["reading"] = taken
    said.say("unit", column.unit.value, column.unit.why)
    said.say("quantity", column.quantity.value, column.quantity.why)
    places = {name: found[0] for name, found in mapped.columns.items()} | {"reading": column.place}
    for index, number in zip(at, table.data_rows, strict=True):
        rows.places[index] = Place(table, number, places)
        rows.columns["source_cell"][index] = table.address(number, column.place)
        if number in table.sheet.shifted:
            rows.mark(index, "row_shifted")
        if table.is_transposed:
            rows.columns["source_row"][index] = column.place
    for name, value in table.constants.items():
        said.say(name, value, "named in the header of the readings")
    if not stands_somewhere(table, mapped, "date") and not reading.recipe.get("constants.date"):
        place = {"sheet": table.sheet.name, "row": table.header_row, "column": "date"}
        answers = [*column_answers("date", table, mapped, reading.scrub), "constants.date=YYYY-MM-DD"]
        said.questions.append(problem("column_missing", place=place, count=len(at), answers=answers))
    begun(reading.tell, "Reading dates and times", len(at))
    semesters = place_semesters(table, mapped, reading, said)
    place_dates(table, mapped, rows, at, semesters, reading, said)
    place_sections(table, mapped, rows, at, reading, said)
    place_times(table, mapped, rows, at, reading, said)
    begun(reading.tell, "Reading sites, plants and remarks", len(at))
    attribute(table, mapped, rows, at, reading, said)
    measure(table, mapped, column, rows, at, reading)
    said.notes.extend(doubt_passed_over(rows, at, column))
    if len(table.leaves) > 1 and table.constants.get("leaf") == min(table.leaves):
        said.notes.extend(told(remarks_written(table, mapped), table.leaves))
    read = [index for index in at if rows.columns["balance_pressure_mpa"][index] is not None]
    is_placed = any(rows.columns[name][index] for name in ("time_read", "time_cut", "sampling_window") for index in at)
    if read and not is_placed and not said.questions:
        place = {"sheet": table.sheet.name, "row": table.header_row}
        answers = [f"constants.sampling_window={window}" for window in ("midday", "predawn", "morning", "afternoon")]
        said.questions.append(problem("window_missing", place=place, count=len(at), answers=answers))


def _cover(rows: Rows, receipt: Receipt) -> None:
    """Which semesters, sections and days the loaded rows cover."""
    columns = rows.columns
    kept = [index for index, status in enumerate(columns["status"]) if status != "set_aside"]
    receipt.semesters = sorted({columns["semester"][index] for index in kept if columns["semester"][index]})
    receipt.sections = sorted({f"{columns['semester'][index]}/{columns['section'][index]}" for index in kept if columns["section"][index]})
    days = [columns["date"][index] for index in kept if columns["date"][index]]
    receipt.date_first, receipt.date_last = (min(days).isoformat(), max(days).isoformat()) if days else (None, None)
