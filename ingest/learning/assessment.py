"""Read a table of scores into rows: which columns hold scores, out of how much, and what each cell says."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from ingest.checked.rows import Rows
from ingest.checked.understood import Reading
from ingest.doubts.problems import Problem, problem
from ingest.files.containers import CellValue, letter
from ingest.folding import fold
from ingest.learning.columns import PERCENT, Measure, Plan
from ingest.learning.headers import item_label, understand
from ingest.learning.maxima import Maxima, ask_unit
from ingest.learning.placing import Around, place_instruments, place_phases
from ingest.learning.scores import Score, parse_score
from ingest.tables.column_cells import text_of


def fill_scores(at: Around, plan: Plan, indices: Mapping[tuple[int, int], int], rows: Rows, sheets: int) -> None:
    """Fill the columns of scores for each student's row and column of scores; `indices` by row and column of the sheet."""
    table = at.table
    items = {measure.item for measure in plan.measures if measure.item}
    if plan.item_place:
        items = {item_label(text_of(cell)) for cell in table.table.column(plan.item_place)}
    phases = place_phases(at, all(measure.phase for measure in plan.measures), sheets)
    instruments = place_instruments(at, items, [measure.heading.text for measure in plan.measures])
    maxima = Maxima(at, plan)
    for measure in plan.measures:
        ask_unit(at, measure)
        for number, row in enumerate(table.table.data_rows):
            index = indices[row, measure.place]
            instrument, phase = instruments.values[number], measure.phase or phases.values[number]
            item = _item(at, plan, measure, row, instrument, rows, index)
            rows.columns["instrument"][index], rows.columns["phase"][index], rows.columns["item"][index] = instrument, phase, item
            if instrument is None and instruments.is_by_row:
                rows.mark(index, "instrument_missing", "instrument")
            if phase is None and phases.is_by_row:
                rows.mark(index, "phase_missing", "phase")
            _score(at, measure, row, maxima.of(measure, row, item, phase), rows, index)
    maxima.ask()
    _say(at, plan)


def _item(at: Around, plan: Plan, measure: Measure, row: int, instrument: str | None, rows: Rows, index: int) -> str | None:
    """The item of a cell, as the outcomes or a number name it; None for a total."""
    if plan.item_place is None:
        return item_named(measure.item, instrument, at.reading) if measure.item else None
    written = text_of(at.table.table.cell(row, plan.item_place))
    if not written:
        rows.mark(index, "item_missing", "item")
        return None
    heading = understand(written, "assessment")
    if heading.role in ("total", "score"):
        return None
    return item_named(heading.item or written, instrument, at.reading)


def item_named(written: str, instrument: str | None, reading: Reading) -> str:
    """An item under the name that the outcomes give it, else by its number, else as written where that names no person."""
    said = reading.recipe.name_for("item", written)
    label = item_label(said or written)
    of_instrument = [outcome for outcome in reading.registers.outcomes.values() if outcome.instrument in (instrument, None)]
    names = {fold(item_label(item)): item for outcome in of_instrument for item in outcome.items}
    if found := names.get(fold(label)):
        return found
    return label if said or label != " ".join(written.split()) or len(label) <= 4 else reading.spellings.key(label)[:40]


def _score(at: Around, measure: Measure, row: int, maximum: float | None, rows: Rows, index: int) -> None:
    """What one cell says, in points; a percentage becomes points where the highest score is known."""
    cell = at.table.table.cell(row, measure.place)
    score, columns = parse_score(cell, measure.decimal), rows.columns
    columns["source_cell"][index] = at.table.table.address(row, measure.place)
    columns["score_as_written"][index] = written = as_written(cell, at.reading)
    columns["is_absent"][index] = score.is_absent
    if score.problem:
        rows.mark(index, score.problem, "score", written)
    value, highest = _points(score, measure.unit, maximum)
    columns["max_score"][index] = highest
    if highest is not None and highest <= 0:
        columns["max_score"][index] = None
        rows.mark(index, "max_score_zero", "score", f"{highest:g}")
        return
    if value is None:
        return
    if value < 0:
        rows.mark(index, "negative_score", "score", written)
        return
    columns["score"][index] = value
    if score.is_doubtful:
        rows.mark(index, "score_doubtful", "score", written)
    if score.is_mistyped:
        rows.mark(index, "score_mistyped", "score", written, number=f"{value:g}")
    if highest is None:
        rows.mark(index, "max_score_missing", "score", written)
    elif score.maximum is not None and maximum is not None and score.maximum != maximum:
        rows.mark(index, "max_score_contradicts", "score", f"{score.maximum:g}", limit=f"{maximum:g}")


def _points(score: Score, unit: str, maximum: float | None) -> tuple[float | None, float | None]:
    highest = score.maximum if score.maximum is not None else maximum
    if score.value is None:
        return None, highest
    if score.maximum is None and (score.is_percent or unit != "points"):
        percent = score.value * PERCENT if unit == "share" and not score.is_percent else score.value
        # Rounded where the division leaves a trace: 70 % of 10 is 7.
        return (percent, PERCENT) if highest is None or highest == PERCENT else (round(percent / PERCENT * highest, 9), highest)
    return score.value, highest


def as_written(cell: CellValue, reading: Reading) -> str | None:
    """A cell's text without persons; None for a blank one."""
    text = text_of(cell)
    is_plain = parse_score(cell, None).problem is None
    return (text if is_plain else reading.scrub(text)) if text else None


def _say(at: Around, plan: Plan) -> None:
    """Tell the receipt which columns were taken for scores."""
    items = [measure for measure in plan.measures if measure.item]
    for phase in dict.fromkeys(measure.phase for measure in items):
        of_phase = [measure for measure in items if measure.phase == phase]
        names = f"{of_phase[0].item} … {of_phase[-1].item}" if len(of_phase) > 1 else str(of_phase[0].item)
        where = f"columns {letter(of_phase[0].place)} to {letter(of_phase[-1].place)}, {len(of_phase)} items"
        at.said.say(f"items{f' ({phase})' if phase else ''}", at.reading.scrub(names), where)
    for measure in plan.measures:
        if not measure.item:
            header = {"header": at.reading.scrub(measure.heading.text), "letter": letter(measure.place), "why": f"in {measure.unit}"}
            at.said.columns["score" if plan.item_place else f"total{f' ({measure.phase})' if measure.phase else ''}"] = header
    at.said.unused = [at.reading.scrub(text) for text in plan.unused]


def items_unknown(rows: Rows, reading: Reading, indices: Sequence[int]) -> tuple[list[Problem], list[str]]:
    """Items that no outcome names: a problem for a test of which none is named, else a note."""
    known: dict[str | None, set[str]] = {}
    for outcome in reading.registers.outcomes.values():
        known.setdefault(outcome.instrument, set()).update(outcome.items)
    found: dict[str, Counter[str]] = {}
    for index in indices:
        instrument, item = rows.columns["instrument"][index], rows.columns["item"][index]
        if item and known.get(instrument):
            found.setdefault(instrument, Counter())[item] += 1
    problems, notes = [], []
    for instrument, items in found.items():
        strange = [item for item in items if item not in known[instrument]]
        if len(strange) == len(items):
            problems.append(problem("items_unknown", place={"value": instrument}, count=items.total()))
        elif strange:
            notes.append(f"evidence of no outcome: {', '.join(strange)} of {instrument}")
    return problems, notes
