"""Predict first, in the Class view: the question before its figure, and afterwards what the class predicted beside what was measured."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from dashboards.answer import Answer, Table
from dashboards.figures import marks
from dashboards.figures.panel import Panel
from dashboards.predicting.predictions import DIRECTIONS, FEWEST_SHOWN, SIZES_MPA, Counted, Question
from dashboards.views import compare_view
from dashboards.words import GROUPS, count, is_missing, listed, mpa, number

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices
    from dashboards.holdings import Holdings
    from dashboards.store import Store

PREDICT = "predict"
"""The code of this question in the address."""
WORDS = "predict first"
HEIGHT, _WIDTH = 460, 260
_GROUND = {"upland": "the high ground to be drier", "lowland": "the low ground", "alike": "both to be alike"}
_COUNTED = (
    "Answers were counted as they came from the phones: without names, one for each phone. A prediction is a guess before looking, and "
    "no mark of anybody's."
)


def question_of(choices: Choices, holdings: Holdings) -> Question | None:
    """What the class is asked under these choices; None where they name no single group or kind of plant."""
    if choices.taxon:
        names = {taxon: name for name, taxon, _ in holdings.kinds}
        return Question(choices.semester, choices.window, choices.taxon, names.get(choices.taxon, choices.taxon))
    if choices.group in GROUPS:
        return Question(choices.semester, choices.window, choices.group, GROUPS[choices.group])
    return None


def answer(store: Store, choices: Choices, decimals: int) -> Answer:
    """The question without a figure, or, once it was closed and is chosen, the predictions beside the data."""
    question = question_of(choices, store.holdings)
    if question is None or store.predicted is None:
        reading = "Choose one group or one kind of plant in the line above: a prediction is made for like plants, not for all together."
        return Answer(title="Predict first: which ground was drier, and by how much?", reading=reading)
    counted = store.predicted.one(question, choices.round)
    if counted is None:
        reading = "Predict before you look: the figure is not shown until the class has answered and the question is closed."
        return Answer(title=question.words(), reading=reading)
    compared = store.comparisons(replace(choices, contrast="", section="", site=""))
    return draw(counted, compared, choices, decimals=decimals)


def draw(counted: Counted, compared: pd.DataFrame, choices: Choices, *, decimals: int = 2) -> Answer:
    """Predictions beside the measured difference, lowland minus upland in MPa.

    Args:
        counted: how many expected which difference.
        compared: the contrast of this group or kind, as `compare_view.draw` has it; one row, or none.
        choices: what the reader chose.
        decimals: decimals in MPa that the gauges support.
    """
    measured = compared.iloc[0] if not compared.empty and not is_missing(compared.iloc[0]["difference_mpa"]) else None
    beside = compare_view.draw(compared, replace(choices, contrast=""), decimals=decimals) if not compared.empty else None
    tables = [_table(counted)] if counted.by_difference else []
    return Answer(
        title=_title(counted),
        reading=f"{_predicted(counted)}; measured: {_measured(compared, measured, counted, decimals)}.",
        fair=[_COUNTED, *([str(measured["sentence"])] if measured is not None else ()), *(beside.fair if beside is not None else ())],
        counts=f"{count(counted.n_answered, 'answer')}; {_plants(measured) if measured is not None else 'no difference to set beside'}.",
        panels=_panels(counted, measured, decimals),
        source="Lowland minus upland, water potential (MPa): above the line of 0 the high ground is drier, below it the low ground.",
        tables=[*tables, *(beside.tables if beside is not None else ())],
        panel_width=_WIDTH,
    )


def by_direction(counted: Counted) -> dict[str, dict[float, int]]:
    """Counts of each direction by size, MPa; directions that nobody gave are left out."""
    found: dict[str, dict[float, int]] = {}
    for direction, sign in DIRECTIONS.items():
        sizes = {abs(d): n for d, n in counted.by_difference.items() if (d > 0) - (d < 0) == sign}
        if sizes:
            found[direction] = dict(sorted(sizes.items()))
    return found


def _title(counted: Counted) -> str:
    found = {direction: sum(sizes.values()) for direction, sizes in by_direction(counted).items()}
    most = [direction for direction, n in found.items() if n == max(found.values())]
    if not found:
        return f"{count(counted.n_answered, 'prediction')}: too few to be shown"
    if len(most) > 1:
        return "The class was divided"
    ground = {"upland": "the high ground to be drier", "lowland": "the low ground to be drier", "alike": "both grounds to be alike"}
    return f"{found[most[0]]} of {counted.n_answered} expected {ground[most[0]]}"


def _predicted(counted: Counted) -> str:
    if not counted.by_difference:
        return f"{count(counted.n_answered, 'phone')} answered; fewer than {FEWEST_SHOWN} are not shown, for each could be somebody’s"
    found = sorted(by_direction(counted).items(), key=lambda item: -sum(item[1].values()))
    told: list[str] = []
    for direction, sizes in found:
        n = sum(sizes.values())
        middle = f" ({'by ' if n == 1 else 'the middle one by '}{mpa(_middle(sizes), 1)})" if direction != "alike" else ""
        start = f"{n} of {counted.n_answered} expected" if not told else str(n)
        ground = "the low ground to be drier" if direction == "lowland" and not told else _GROUND[direction]
        told.append(f"{start} {ground}{middle}")
    return listed(told)


def _middle(sizes: dict[float, int]) -> float:
    """The middle of the sizes given; of two middles the smaller."""
    given = [size for size, n in sizes.items() for _ in range(n)]
    return given[(len(given) - 1) // 2]


def _measured(compared: pd.DataFrame, measured: Any, counted: Counted, decimals: int) -> str:
    if measured is None:
        reason = "" if compared.empty else str(compared.iloc[0]["reason"] or "").rstrip(".")
        return f"there is no fair contrast to set beside ({reason or 'these plants were not read on high and low ground both'})"
    difference, low, high = (float(measured[name]) for name in ("difference_mpa", "ci_low_mpa", "ci_high_mpa"))
    if is_missing(low):
        return f"lowland minus upland {mpa(difference, decimals, sign=True)}, without an interval"
    within = sum(n for each, n in counted.by_difference.items() if low <= each <= high)
    lie = (
        f"; {within} of the {counted.n_answered} predictions {'lies' if within == 1 else 'lie'} within it" if counted.by_difference else ""
    )
    if low <= 0 <= high:
        ends = f"{number(low, decimals)} to {number(high, decimals)}"
        return f"it is open which was drier, lowland minus upland being {mpa(difference, decimals)} (95 % interval {ends}{lie})"
    ends = " to ".join(number(end, decimals) for end in sorted((abs(low), abs(high))))
    ground = "high" if difference > 0 else "low"
    return f"the {ground} ground was drier by {mpa(abs(difference), decimals)} (95 % interval {ends}{lie})"


def _plants(measured: Any) -> str:
    return f"{int(measured['n_plants_b'])} upland and {int(measured['n_plants_a'])} lowland plants measured"


def _panels(counted: Counted, measured: Any, decimals: int) -> list[Panel]:
    """Left how many expected which difference, right the difference that was measured, on the same scale."""
    ends = [] if measured is None else [float(measured[name]) for name in ("difference_mpa", "ci_low_mpa", "ci_high_mpa")]
    values = [0.0, *counted.by_difference, *(end for end in ends if not is_missing(end))]
    low, high = min(*values, -0.2), max(*values, 0.2)
    step = marks.round_step(high - low, 6)
    ticks = [i * step for i in range(int(low // step), int(-(-high // step)) + 1)]
    scale = ((ticks[0] - 0.1 * step, ticks[-1] + 0.1 * step), marks.tick_words(ticks, sign=True))
    drawn = [_predictions(counted, measured, scale)] if counted.by_difference else []
    if measured is not None:
        right = Panel("measured", "Measured", HEIGHT, (-1.0, 1.0), scale[0], {0.0: "Lowland\n− Upland"}, scale[1])
        right.add("ink_bars", x0=-1.0, y0=0.0, x1=1.0, y1=0.0, width=1.2, alpha=1.0)
        compare_view.add_difference(right, 0.0, measured, decimals)
        drawn.append(right)
    return drawn


def _predictions(counted: Counted, measured: Any, scale: tuple[tuple[float, float], dict[float, str]]) -> Panel:
    most = max(counted.by_difference.values())
    by = max(1, round(marks.round_step(max(most, 1), 5)))
    panel = Panel(
        name="predicted",
        title="Predicted: how many expected it",
        height=HEIGHT,
        x_range=(0.0, most * 1.08),
        y_range=scale[0],
        x_ticks={float(n): str(n) for n in range(0, most + 1, by)},
        y_ticks=scale[1],
    )
    panel.add("ink_bars", x0=0.0, y0=0.0, x1=most * 1.08, y1=0.0, width=1.2, alpha=1.0)
    if measured is not None:
        panel.add("ink_bars", x0=0.0, y0=measured["difference_mpa"], x1=most * 1.08, y1=measured["difference_mpa"], width=1.2, alpha=0.5)
    for difference, n in counted.by_difference.items():
        panel.add("ink_bars", x0=0.0, y0=difference, x1=n, y1=difference, width=4, alpha=0.75)
        says = f"{count(n, 'answer')}: {difference_words(difference)}"
        panel.add("ink_marks", x=n, y=difference, shape="circle", size=8, alpha=1.0, says=says)
    return panel


def difference_words(difference_mpa: float) -> str:
    """A predicted difference in words."""
    if difference_mpa == 0:
        return "both alike"
    more = " or more" if abs(difference_mpa) == SIZES_MPA[-1] else ""
    return f"{'high' if difference_mpa > 0 else 'low'} ground drier by {mpa(abs(difference_mpa), 1)}{more}"


def _table(counted: Counted) -> Table:
    import pandas as pd

    shares = {difference: 100 * n / counted.n_answered for difference, n in counted.by_difference.items()}
    rows = [
        {"expected": difference_words(difference), "n": n, "share": f"{number(shares[difference], 0)} %"}
        for difference, n in counted.by_difference.items()
    ]
    headings = {"expected": "Expected", "n": "Answers", "share": "Share"}
    return Table(f"What {counted.n_answered} expected", pd.DataFrame(rows), headings, frozenset({"n", "share"}))
