"""Out of how much: the highest score of each cell, where the file or an answer says it; what is missing is asked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from ingest.folding import fold
from ingest.learning.columns import PERCENT, TOTAL, Measure, Plan
from ingest.learning.headers import number_of
from ingest.learning.placing import Around
from ingest.learning.scores import parse_score


class Maxima:
    """The highest score of each cell: said, in its column, its header or its row, or the sum of the items'; what is missing is asked."""

    def __init__(self, at: Around, plan: Plan) -> None:
        self._at, self._plan = at, plan
        self._missing = Counter[str]()
        self._crossed: dict[str, str] = {}

    def of(self, measure: Measure, row: int, item: str | None, phase: str | None) -> float | None:
        """The highest score, points; None where it is not known (and then asked)."""
        name = item or TOTAL
        if (said := self._said(name)) is not None:
            return said
        if (of_row := self._in_row(row, item)) is not None:
            return of_row
        if self._cross(measure, name) or measure.maximum is not None:
            return measure.maximum
        if measure.unit != "points":
            return PERCENT
        if item is None and (total := self._sum(phase)) is not None:
            return total
        score = parse_score(self._at.table.table.cell(row, measure.place), measure.decimal)
        if score.maximum is None and not score.is_percent and score.value is not None:
            self._missing[name] += 1
        return None

    def _said(self, name: str) -> float | None:
        said: Mapping[str, object] = self._at.reading.recipe.answers.get("maximum", {})
        folded = {fold(key): number_of(str(value)) for key, value in said.items()}
        return folded.get(fold(name), folded.get("items") if name != TOTAL else None)

    def _in_row(self, row: int, item: str | None) -> float | None:
        """A column of highest scores stands for the items of a long table, and for the total of a wide one."""
        place = self._plan.maximum_place
        if place is None or (item is not None and self._plan.item_place is None):
            return None
        return parse_score(self._at.table.table.cell(row, place), None).value

    def _cross(self, measure: Measure, name: str) -> bool:
        """True, and asked, where the header and the row of highest scores say different things."""
        of_row, of_header = self._at.table.maxima.get(measure.place), measure.heading.maximum
        if of_row is None or of_header is None or of_row == of_header:
            return False
        self._crossed[name] = f"{name} is out of {of_header:g} in its header, and out of {of_row:g} in the row of highest scores"
        return True

    def _sum(self, phase: str | None) -> float | None:
        items = [one for one in self._plan.measures if one.item and (one.phase or phase) == phase]
        found = [self._said(one.name) or one.maximum for one in items]
        return sum(value for value in found if value) if found and all(found) else None

    def ask(self) -> None:
        """Put the questions that are left: one for all items, one for the total of a table without items."""
        names = [name for name in self._missing if name != TOTAL]
        if names:
            listed = ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")
            answers = ["maximum.items=NUMBER", *(f"maximum.{name}=NUMBER" for name in names)]
            self._at.ask("max_score_unclear", None, answers, self._missing.total(), value=f"The highest score of {listed} is not written")
        elif self._missing:
            text = "The highest score of the total is not written"
            self._at.ask("max_score_unclear", None, ["maximum.total=NUMBER"], self._missing.total(), value=text)
        for name, text in self._crossed.items():
            self._at.ask("max_score_unclear", None, [f"maximum.{name}=NUMBER"], len(self._at.table.table.data_rows), value=text)


def ask_unit(at: Around, measure: Measure) -> None:
    """Under "percent" numbers up to 1 may be shares of one, as a spreadsheet keeps them."""
    if measure.unit != "percent" or at.reading.recipe.get("score.unit"):
        return
    scores = [parse_score(cell, measure.decimal) for cell in at.table.table.column(measure.place)]
    values = [score.value for score in scores if score.value is not None and not score.is_percent and score.maximum is None]
    if values and max(values) <= 1 and any(values):
        header = at.reading.shown(measure.heading.text)
        at.ask("score_unit_unclear", None, ["score.unit=share", "score.unit=percent"], len(values), value=header)
