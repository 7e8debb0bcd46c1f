"""The Rain view: potential against days since rain, the antecedent index, modelled soil water, or the plant's own predawn potential."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from dashboards.answer import Answer, Table
from dashboards.figures import marks
from dashboards.figures.panel import Panel
from dashboards.views import soil_strip
from dashboards.words import GROUPS, POSITIONS, count, day_words, is_missing, mpa, number, semester_words, sentence, those_in

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices

HEIGHT = 330


@dataclass(frozen=True)
class Predictor:
    """What stands across: its column, its title with the unit, its decimals, and how wide a cell of many points is, in words too."""

    column: str
    title: str
    decimals: int
    step: float
    step_words: str


PREDICTORS: Mapping[str, Predictor] = {
    "": Predictor("days_since_rain", "Days since rain", 0, 1, "1 day"),
    "index": Predictor("antecedent_index_mm", "Antecedent rain index, mm", 0, 5, "5\u00a0mm"),
    "soil": Predictor("modelled_relative_water", "Soil water, share of what plants can take (model)", 1, 0.05, "0.05"),
    "predawn": Predictor("predawn_mpa", "Predawn potential, MPa", 1, 0.1, "0.1\u00a0MPa"),
}
STEPS: Mapping[str, float] = {predictor.column: predictor.step for predictor in PREDICTORS.values()}
STEP_MPA = 0.1
"""How wide and how high a cell is that stands for its points."""
MOST_POINTS = 2000
"""More points than these cover each other, and are drawn cell by cell."""

AGAINST: Mapping[str, str] = {
    "against days since rain": "",
    "against the antecedent rain index": "index",
    "against modelled soil water": "soil",
    "against its own predawn": "predawn",
}
"""Words of the choice and its code in `PREDICTORS`."""


def draw(
    points: pd.DataFrame,
    lines: pd.DataFrame,
    choices: Choices,
    *,
    soil: tuple[pd.DataFrame, pd.DataFrame] | None = None,
    decimals: int = 2,
    why_empty: str = "There is nothing.",
) -> Answer:
    """Draw points of potential over a predictor, with a fitted line per position where there is one.

    Args:
        points: one row per date, site and taxon (per plant against predawn): `x` in the predictor's unit, `water_potential_mpa`,
            `below_limit`, `functional_group`, `topographic_position`, `site_name`, `who`, `semester`, `date`, `n_plants`. Or per
            cell: then the first four at the mean of its points, with `n_points`, `n_plants` and `n_dates` (of all cells).
        lines: one row per group and position: `x_low`, `x_high`, `y_low_mpa`, `y_high_mpa` (the line's ends; null where there is none)
            and `sentence`.
        choices: what the reader chose; points of its semester are strong.
        soil: modelled soil water of the chosen semester by site and day, and the days on which leaves were read.
        decimals: decimals in MPa that the gauges support.
        why_empty: the sentence to show where there is no point.
    """
    predictor = PREDICTORS.get(choices.against, PREDICTORS[""])
    known = points[points["x"].notna()]
    if known.empty:
        why = f"No reading has {predictor.title.split(',')[0].casefold()} beside it." if not points.empty else why_empty
        return Answer(title="Nothing to show here", reading=why)
    fitted = lines[lines["y_low_mpa"].notna()]
    positions = those_in(POSITIONS, known["topographic_position"])
    under = None if soil is None else soil_strip.strip(*soil, choices.semester)
    return Answer(
        title=_title(predictor, fitted),
        reading=_reading(fitted, lines),
        fair=_fair(choices, predictor) + ([] if soil is None else soil_strip.told(*soil, choices.semester)),
        counts=_counts(known),
        panels=_panels(known, fitted, predictor, choices.semester, decimals) + ([] if under is None else [under]),
        key=marks.key_html(positions, has_bounds=bool(known["below_limit"].any()), plants=False, means=False),
        source=f"Water potential (MPa), down is drier; across: {predictor.title[0].lower()}{predictor.title[1:]}. "
        f"{semester_words(choices.semester)} is strong." + (_cells_words(predictor) if "n_points" in known else ""),
        tables=[_lines(lines)],
    )


def _title(predictor: Predictor, fitted: pd.DataFrame) -> str:
    what = predictor.title.split(",")[0]
    pair = "Predawn and midday potential" if predictor.column == "predawn_mpa" else f"{what} and water potential"
    return pair + ("" if not fitted.empty else ": no line can be fitted yet")


def _counts(known: pd.DataFrame) -> str:
    n_plants = int(known["n_plants"].sum())
    if "n_points" in known:
        n, n_dates = int(known["n_points"].sum()), int(known["n_dates"].iloc[0])
        return f"{count(n, 'point')} in {count(len(known), 'mark')}, from {count(n_plants, 'plant')} on {count(n_dates, 'date')}."
    n_dates = int(known["date"].nunique())
    return f"{count(len(known), 'point')} from {count(n_plants, 'plant')} on {count(n_dates, 'date')}."


def _cells_words(predictor: Predictor) -> str:
    """What a mark is where the points are too many."""
    cell = f"{mpa(STEP_MPA, 1)} by {predictor.step_words}"
    return (
        f" There are more than {MOST_POINTS} points: a mark stands for those of one position within {cell}, at their mean, and is the "
        "larger the more they are."
    )


def _reading(fitted: pd.DataFrame, lines: pd.DataFrame) -> str:
    """The sentence of the steepest line, or why there is none."""
    if fitted.empty:
        return str(lines["sentence"].iloc[0]) if not lines.empty else "There are too few dates for a line; look at the points."
    return str(fitted.loc[(fitted["y_high_mpa"] - fitted["y_low_mpa"]).abs().idxmax(), "sentence"])


def _fair(choices: Choices, predictor: Predictor) -> list[str]:
    caveats = ["Compare positions within a panel, not slopes of different groups: plants are built differently."]
    if choices.against == "predawn":
        caveats.append("The thin line is where midday equals predawn.")
        caveats.append("Predawn stands for the soil only where plant and soil come to rest overnight.")
    else:
        caveats.append("All plants of a date have had the same rain: dates are the unit of the lines, not plants.")
    if predictor.column == "modelled_relative_water":
        caveats.append("The soil water is modelled from rain, temperature, depth and texture; nobody measured it.")
    caveats.append("What goes with rain goes with season, heat and growth as well: a line is no cause.")
    return caveats


def _panels(points: pd.DataFrame, fitted: pd.DataFrame, predictor: Predictor, semester: str, decimals: int) -> list[Panel]:
    ends = [float(value) for name in ("y_low_mpa", "y_high_mpa") for value in fitted[name]]
    driest = min(float(points["water_potential_mpa"].min()), *ends) if ends else float(points["water_potential_mpa"].min())
    low, high = min(float(points["x"].min()), 0.0), max(float(points["x"].max()), 0.0)
    span = max(high - low, 1e-6)
    step = marks.round_step(span, 4)
    ticks = [i * step for i in range(int(low // step), int(-(-high // step)) + 1) if low - 0.02 * span <= i * step <= high + 0.02 * span]
    drawn = []
    for group in those_in(GROUPS, points["functional_group"]):
        panel = Panel(
            name=group,
            title=sentence(GROUPS[group]),
            height=HEIGHT,
            x_range=(low - 0.05 * span, high + 0.05 * span),
            y_range=marks.potential_range(driest),
            x_ticks={tick: number(tick, predictor.decimals if step < 1 or predictor.decimals == 0 else 1) for tick in ticks},
            y_ticks=marks.tick_words(marks.potential_ticks(driest)),
        )
        if predictor.column == "predawn_mpa":
            end = max(low, driest)
            panel.add("ink_bars", x0=end, y0=end, x1=0.0, y1=0.0, width=1.0, alpha=0.6)
        mine = points[points["functional_group"] == group]
        for is_chosen, look in ((False, (6, 0.35)), (True, (8, 0.95))):
            some = mine[(mine["semester"] == semester) == is_chosen]
            sizes, says = (None, _says(some, decimals)) if "n_points" not in some else _cells(some, predictor, decimals)
            marks.add_readings(panel, some["x"].astype(float).tolist(), some, says, look=look, sizes=sizes)
        for row in fitted[fitted["functional_group"] == group].itertuples():
            _add_line(panel, row)
        drawn.append(panel)
    return drawn


def _says(points: pd.DataFrame, decimals: int) -> list[str]:
    names = ("who", "site_name", "date", "below_limit", "water_potential_mpa", "n_plants")
    return [
        f"{who}, {site}, {day_words(date)}: {'at least as dry as ' if is_bound else ''}{mpa(value, decimals)}, {count(int(n), 'plant')}"
        for who, site, date, is_bound, value, n in zip(*(points[name].tolist() for name in names), strict=True)
    ]


def _cells(cells: pd.DataFrame, predictor: Predictor, decimals: int) -> tuple[list[int], list[str]]:
    """The size of each cell's mark, px, growing with the logarithm of its points, and its words."""
    names = ("below_limit", "water_potential_mpa", "x", "n_points", "n_plants")
    what, digits = predictor.title.split(",")[0], max(predictor.decimals, 1)
    sizes, says = [], []
    for is_bound, value, x, n, n_plants in zip(*(cells[name].tolist() for name in names), strict=True):
        sizes.append(marks.size_of_many(n))
        told = f"{count(n, 'point')} of {count(n_plants, 'plant')}, at {number(x, digits)} ({what.lower()})"
        says.append(f"{told}: {'at least as dry as ' if is_bound else ''}{mpa(value, decimals)} on average")
    return sizes, says


def _add_line(panel: Panel, row: Any) -> None:
    colour = marks.POSITION_COLOURS.get(row.topographic_position, marks.INK)
    ends = [(float(row.x_low), float(row.y_low_mpa)), (float(row.x_high), float(row.y_high_mpa))]
    (x0, y0), (x1, y1) = (_not_above_0(end, other) for end, other in (ends, ends[::-1]))
    panel.add("bars", x0=x0, y0=y0, x1=x1, y1=y1, colour=colour, width=2.5)


def _not_above_0(end: tuple[float, float], other: tuple[float, float]) -> tuple[float, float]:
    """An end of a line, or where the line meets 0 if it lies above: no potential does."""
    if end[1] <= 0 or other[1] > 0:
        return end
    return end[0] + (other[0] - end[0]) * end[1] / (end[1] - other[1]), 0.0


def _lines(lines: pd.DataFrame) -> Table:
    shown = lines.assign(
        group=[sentence(GROUPS[group]) for group in lines["functional_group"]],
        slope=["" if is_missing(value) else number(value, 4, sign=True) for value in lines["slope"]],
        low=["" if is_missing(value) else number(value, 4, sign=True) for value in lines["slope_ci_low"]],
        high=["" if is_missing(value) else number(value, 4, sign=True) for value in lines["slope_ci_high"]],
    )
    headings = {
        "group": "Group",
        "topographic_position": "Position",
        "slope": "Slope, MPa per unit",
        "low": "95 % interval from",
        "high": "to",
        "n_dates": "Dates",
        "sentence": "In words",
    }
    return Table("Lines by group and position", shown, headings, frozenset({"slope", "low", "high", "n_dates"}), frozenset({"sentence"}))
