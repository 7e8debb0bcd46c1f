"""Check a file: told apart, understood, every row checked and accounted for. Nothing in the home is changed."""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import replace
from functools import partial
from pathlib import Path

from ingest.cells.dates import Order
from ingest.cells.people import MARK, Scrubber, pseudonym
from ingest.cells.sun import zone_fits
from ingest.checked.checked import Asked, Checked
from ingest.checked.kept_answers import is_called, kept_words, refuse_idle_answers
from ingest.checked.personal import header_words, headers_told, people_in
from ingest.checked.receipts import Receipt
from ingest.checked.understood import Reading
from ingest.digests import of_values
from ingest.doubts.answers import split_answer
from ingest.doubts.problems import problem
from ingest.doubts.recipe_keys import NAMED
from ingest.doubts.recipes import Recipe, find_recipe, shape_of
from ingest.errors import FileUnreadable, SettingsInvalid
from ingest.files.containers import Container, read_container
from ingest.home import Home
from ingest.learning.checking import check_learning, learning_told
from ingest.learning.reading import LEARNING
from ingest.learning.told import may_be_learning
from ingest.progress import Tell, begun, nobody
from ingest.readings.readings import read_sheets
from ingest.registers.aliases import aliases_said
from ingest.registers.registers import Registers, read_registers
from ingest.registers.spellings import Spellings, code_of
from ingest.settings import Settings
from ingest.tables.bystanders import set_aside_bystanders
from ingest.tables.columns import SEVERAL_ALLOWED
from ingest.tables.exported import EXPORTED_HERE, recipe_of_export
from ingest.tables.labels import Labels
from ingest.tables.layouts import lay_out
from ingest.tables.shifted import mend_shifted
from ingest.tables.tables import SheetLayout
from ingest.weather.opening import looks_like_weather
from ingest.weather.records import read_weather

__all__ = ["Asked", "Checked", "check_bytes", "check_path"]

ORDERS: dict[str, Order] = {"day-first": "day-first", "month-first": "month-first"}


def check_path(home: Home, path: Path, asked: Asked | None = None, tell: Tell = nobody) -> Checked:
    """Check a file on disk; `tell` is told how far a long one is.

    Raises:
        FileUnreadable: there is no such file, it is too large, or it is of no kind that is read.
        RegisterInvalid, SettingsInvalid, RecipeInvalid: the home cannot be used as it stands.
    """
    try:
        size = path.stat().st_size
        limit = home.settings().max_file_mb
        if size > limit * 1_000_000:
            raise FileUnreadable(
                f"Load {path.name} in parts, or raise max_file_mb in tautleaf.toml: it has {size / 1e6:.0f} MB, and {limit} MB are read."
            )
        data = path.read_bytes()
    except OSError as error:
        raise FileUnreadable(f"Look whether the name {path} is right, and whether you may read it: {error.strerror}.") from error
    return check_bytes(home, data, path.name, asked, tell)


def check_bytes(home: Home, data: bytes, name: str, asked: Asked | None = None, tell: Tell = nobody) -> Checked:
    """Check a file's bytes; `name` is its file name, for titles and messages; `tell` is told how far a long one is."""
    asked = asked or Asked()
    registers, settings = read_registers(home), home.settings()
    if asked.kind == "weather" or (asked.kind is None and looks_like_weather(data, name)):
        return _check_weather(data, name, registers, settings, asked, tell)
    container = read_container(data, name)
    begun(tell, "Finding the tables", sum(len(sheet.rows) for sheet in container.sheets))
    kind = asked.kind or learning_told(container, registers) or "readings"
    if kind in LEARNING:
        return check_learning(home, container, data, name, registers, asked, kind, tell)
    return _check_readings(home, container, data, name, registers, settings, asked, tell)


def _check_readings(
    home: Home, container: Container, data: bytes, name: str, registers: Registers, settings: Settings, asked: Asked, tell: Tell
) -> Checked:
    _check_zone(registers, settings)
    sha256 = hashlib.sha256(data).hexdigest()
    labels = Labels(registers)
    layouts = [lay_out(sheet, labels) for sheet in container.sheets]
    shape = shape_of(table.headers.values() for layout in layouts for table in layout.tables)
    known = find_recipe(home.recipes, shape)
    exported = recipe_of_export(layouts, shape)
    kept = (known if known.answers else exported or known).with_answers(sha256, asked.answers)
    coded = partial(pseudonym, home.key(), settings.program_code)
    code = partial(code_of, pseudonym=coded)
    recipe = replace(kept.for_file(sha256), code_of=code)
    layouts = _by_recipe(container, layouts, recipe, labels)
    if container.kind == "text":
        container.notes.extend(note for layout in layouts for note in mend_shifted(layout))
    people = frozenset(people_in(layouts, recipe, registers.words()))  # of bystanders too: who is named there is named nowhere else either
    container.notes.extend(set_aside_bystanders(layouts, labels))
    scrubber = Scrubber([*registers.words(), *header_words()], people)
    told = headers_told((table for layout in layouts for table in layout.tables), scrubber.scrub)
    refuse_idle_answers(asked.answers, layouts, told, scrubber.scrub, code)
    spellings = Spellings(registers, scrubber.scrub, coded, people)
    words = kept_words(layouts, told, scrubber.scrub, spellings.key, code)
    kept = words.recipe(kept)
    recipe = replace(kept.for_file(sha256), key_of=spellings.key, code_of=code)
    reading = Reading.for_file(
        registers,
        settings,
        recipe,
        spellings,
        scrub=scrubber.scrub,
        pseudonym=coded,
        people=people,
        file_name=Path(name).stem,
        told=told,
        tell=tell,
    )
    # A file's name may hold a student's: it is shown and kept without words that could name a person.
    receipt = Receipt(scrubber.scrub(Path(name).name), sha256, "readings", notes=[*container.notes, *([EXPORTED_HERE] if exported else [])])
    rows = read_sheets(layouts, reading, receipt)
    if asked.kind is None and any(found.code == "no_table" for found in receipt.problems) and may_be_learning(container.sheets):
        receipt.problems = [problem("kind_unclear", answers=["kind=assessment", "kind=rubric"])]
    names = {kind: recipe.names(kind) for kind in NAMED if recipe.names(kind)}
    receipt.fingerprint = of_values([sha256, *receipt.as_understood(), names, recipe.get("constants.chamber")])
    semesters = tuple(dict.fromkeys(filter(None, rows.columns["semester"])))
    receipt.aliases = aliases_said(recipe.answers, registers, semesters)
    asked = replace(asked, answers=tuple(map(words.answer, asked.answers)))
    _propose(kept, receipt, set(words.headers.values()))
    if not receipt.is_refused:
        receipt.verdict = "can be loaded"
    return Checked(receipt, rows.columns, kept, data, name, asked, recipe.answers, rows.places)


def _check_zone(registers: Registers, settings: Settings) -> None:
    """Without the sites' own time zone every clock time would fall into the wrong window, and nobody would notice.

    Raises:
        SettingsInvalid: the time zone cannot be that of a site.
    """
    for site in registers.sites.values():
        if not zone_fits(site.longitude_deg, settings.timezone):
            raise SettingsInvalid(
                "Set timezone in tautleaf.toml to that of the sites, or correct the longitude in sites.csv (east is positive): "
                f"{settings.timezone} does not fit the site {site.site_name} at longitude {site.longitude_deg:g}."
            )


def _propose(kept: Recipe, receipt: Receipt, letters: set[str]) -> None:
    """Write into the recipe what the columns were taken for, so that the next file of this shape is understood alike.

    A header that may name a person goes by its letter. Persons' columns and remarks stay out: words find all of them.
    """
    columns = kept.answers.setdefault("columns", {})
    for table in receipt.tables:
        for column, taken in table.columns.items():
            is_plain = column not in SEVERAL_ALLOWED and taken["why"] != "one of several columns of readings"
            said = taken["header"] if MARK not in taken["header"] else f"column {taken['letter']}"
            if is_plain and (said == taken["header"] or said in letters):
                columns.setdefault(column, said)


def _by_recipe(container: Container, layouts: list[SheetLayout], recipe: Recipe, labels: Labels) -> list[SheetLayout]:
    """Lay out the sheets again where the recipe leaves one out or names a header's row."""
    stated = recipe.get("sheets.header_row") or {}
    found = []
    for sheet, layout in zip(container.sheets, layouts, strict=True):
        of_sheet = [row for name, row in stated.items() if is_called(name, sheet)] if isinstance(stated, dict) else [stated]
        if any(is_called(name, sheet) for name in recipe.get("sheets.leave_out") or ()):
            found.append(SheetLayout(sheet, [], dict.fromkeys(range(1, len(sheet.rows) + 1), "sheet_left_out")))
        elif of_sheet:
            found.append(lay_out(sheet, labels, of_sheet[0]))
        else:
            found.append(layout)
    return found


def _check_weather(data: bytes, name: str, registers: Registers, settings: Settings, asked: Asked, tell: Tell) -> Checked:
    said = dict(map(split_answer, asked.answers))
    units = {what: said[f"weather.{what}"] for what in ("rain", "temperature") if f"weather.{what}" in said}
    order = ORDERS.get(said.get("dates.order", ""))
    record = read_weather(data, name, registers, settings, gauge=asked.gauge, units=units, order=order, tell=tell)
    sha256 = hashlib.sha256(data).hexdigest()
    receipt = Receipt(Scrubber(registers.words()).scrub(Path(name).name), sha256, "weather", problems=list(record.problems))
    counts = {status: record.count(status) for status in ("accepted", "flagged", "set_aside")}
    receipt.rows = {"in_file": record.rows_in_file, **counts}
    receipt.reasons = dict(Counter(code for codes in record.columns["reasons"] for code in codes.split(";") if code))
    receipt.gauges = sorted(record.gauges)
    if record.days:
        receipt.date_first, receipt.date_last = (day.isoformat() for day in record.days)
    receipt.fingerprint = of_values([sha256, receipt.gauges, sorted(said.items())])
    if not receipt.is_refused:
        receipt.verdict = "can be loaded"
    return Checked(receipt, record.columns, Recipe(), data, name, asked, said)
