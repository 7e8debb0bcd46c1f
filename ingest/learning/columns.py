"""Which columns of a table hold scores: of items, of totals, before or after, in points or percent."""

from __future__ import annotations

from dataclasses import dataclass, field

from ingest.cells.numbers import DecimalMark, decimal_mark
from ingest.checked.understood import Reading
from ingest.folding import fold
from ingest.learning.headers import Heading
from ingest.learning.placing import instrument_within
from ingest.learning.scores import parse_score
from ingest.learning.tables import LearningTable
from ingest.tables.column_cells import text_of

TOTAL = "total"
PERCENT = 100.0


@dataclass
class Measure:
    """One column of scores: its item (None: a total, or the item stands in a column of its own), phase, and highest score.

    `unit` is points, percent, or share of one.
    """

    place: int
    heading: Heading
    item: str | None = None
    phase: str | None = None
    maximum: float | None = None
    unit: str = "points"
    decimal: DecimalMark | None = None

    @property
    def name(self) -> str:
        """The item, or total."""
        return self.item or TOTAL


@dataclass
class Plan:
    """The columns of scores of a table, and where items and highest scores stand row by row."""

    measures: list[Measure]
    item_place: int | None = None
    maximum_place: int | None = None
    unused: list[str] = field(default_factory=list)


def plan_scores(table: LearningTable, reading: Reading) -> Plan:
    """Say which columns hold scores; of several totals of one phase the points go before the percent."""
    item_place = next(iter(table.places("item")), None)
    plan = Plan([], item_place, next(iter(table.places("max_score")), None))
    totals: dict[str | None, list[int]] = {}
    strange = _strange(table, reading)
    for place, heading in table.headings.items():
        role = strange.get(place, heading.role)
        if role in ("total", "score"):
            totals.setdefault(heading.phase, []).append(place)
        elif role == "one_item" and item_place is None:
            plan.measures.append(_measure(table, place, heading.item, reading))
        elif role is None or role == "one_item":
            plan.unused.append(heading.text)
    for places in totals.values():
        ranked = sorted(places, key=lambda place: (table.headings[place].is_percent, table.headings[place].role != "total", place))
        plan.measures.append(_measure(table, ranked[0], None, reading))
        plan.unused.extend(table.headings[place].text for place in ranked[1:])
    plan.measures.sort(key=lambda measure: measure.place)
    return plan


def _strange(table: LearningTable, reading: Reading) -> dict[int, str]:
    """What columns hold under a header that is no word of ours: an item that the outcomes know or that has points, else the total."""
    known = {fold(item) for outcome in reading.registers.outcomes.values() for item in outcome.items}
    found: dict[int, str] = {}
    for place, heading in table.headings.items():
        is_known = fold(heading.item) in known
        has_points = heading.maximum is not None or place in table.maxima
        if heading.role is None and (is_known or has_points or (heading.phase and _holds_numbers(table, place))):
            names_test = instrument_within(heading.text, reading.registers) is not None
            found[place] = "one_item" if is_known or (has_points and not names_test) else "total"
    phases = [table.headings[place].phase for place in found if fold(table.headings[place].item) not in known]
    is_alone = not table.places("one_item", "total", "score") and len(set(phases)) == len(phases) == len(found)
    return dict.fromkeys(found, "total") if is_alone else found


def _measure(table: LearningTable, place: int, item: str | None, reading: Reading) -> Measure:
    heading, cells = table.headings[place], table.table.column(place)
    said = reading.recipe.get("score.unit")
    stated = [number for number in (heading.maximum, table.maxima.get(place)) if number is not None]
    found = Measure(place, heading, item, heading.phase, stated[0] if stated else None, decimal=decimal_mark(cells))
    is_percent = heading.is_percent and table.maxima.get(place) in (None, PERCENT)
    found.unit = said or ("percent" if is_percent else "points")
    return found


def _holds_numbers(table: LearningTable, place: int) -> bool:
    cells = [cell for cell in table.table.column(place) if text_of(cell)]
    return sum(parse_score(cell, None).value is not None for cell in cells) > 0.5 * len(cells)
