"""The panels of the Class view: leaves small and light at their plant, plants large, the mean with its interval, bounds open."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dashboards.figures import marks
from dashboards.figures.panel import Panel
from dashboards.words import GROUPS, count, is_missing, mpa, number, sentence, those_in

if TYPE_CHECKING:
    import pandas as pd

HEIGHT = 470
_SPREAD = 0.64
_APART = 0.16
_MEAN_AT = -0.43
_LEAF: tuple[int, float] = (4, 0.45)
_PLANT: tuple[int, float] = (8, 0.95)
MOST_LEAVES = 1500
"""More leaves than these cannot be told apart, and are not drawn beside the means of their plants."""
MOST_PLANTS = 1000
"""More plants than these cannot be told apart either, and are drawn cell by cell."""
_CELL_MPA = 0.05
CELLS_WORDS = (
    f"There are more than {MOST_PLANTS} plants: a mark stands for those of one position within {mpa(_CELL_MPA, 2)}, at their mean, and is "
    "the larger the more they are; bounds stand right of the others."
)
_BOUNDS_BESIDE = 0.2

MOST_WITH_WORDS = 4
"""More panels than these are too narrow to hold the words of their positions; the key then names the marks."""
MOST_ON_ONE_LINE = 999
"""Numbers of plants above this stand on two lines in turn in such panels, or they would run into each other."""


def panels(
    leaves: pd.DataFrame | None, plants: pd.DataFrame, means: pd.DataFrame, positions: list[str], scale: tuple[int, float]
) -> list[Panel]:
    """A panel per functional group, low plants first; all have the same vertical range, so that the eye may run along.

    `scale` is the decimals that the gauges support, and the driest of all leaves, MPa, drawn or not.
    """
    groups = those_in(GROUPS, plants["functional_group"])
    decimals, driest_leaf = scale
    driest = min([driest_leaf, *(float(v) for name in ("ci_low_mpa", "value_mpa") for v in means[name].dropna())])
    words = positions if len(groups) <= MOST_WITH_WORDS else [""] * len(positions)
    by_group: dict[str, list[Any]] = {group: [] for group in groups}
    for row in means.itertuples(index=False):
        by_group[str(row.functional_group)].append(row)
    is_crowded = len(groups) > MOST_WITH_WORDS and bool((means["n_plants"] > MOST_ON_ONE_LINE).any())
    above = ["\n" if is_crowded and i % 2 else f"{word}\n" if word else "" for i, word in enumerate(words)]
    drawn = [_panel(group, by_group[group], (positions, above, driest)) for group in groups]
    cells = _cells(plants) if len(plants) > MOST_PLANTS else {}
    for panel in drawn:
        if cells:
            _add_cells(panel, cells[panel.name], positions, decimals)
        else:
            mine = plants[plants["functional_group"] == panel.name]
            _add_plants(panel, leaves, mine, positions, decimals)
        _add_means(panel, by_group[panel.name], positions, decimals)
    return drawn


def _panel(group: str, means: list[Any], scale: tuple[list[str], list[str], float]) -> Panel:
    positions, above, driest = scale
    n_plants = {row.topographic_position: row.n_plants for row in means}
    return Panel(
        name=group,
        title=sentence(GROUPS[group]),
        height=HEIGHT,
        x_range=(-0.62, len(positions) - 0.42),
        y_range=marks.potential_range(driest),
        x_ticks={i + 0.04: f"{above[i]}n {n_plants.get(position, 0)}" for i, position in enumerate(positions)},
        y_ticks=marks.tick_words(marks.potential_ticks(driest)),
    )


def _add_plants(panel: Panel, leaves: pd.DataFrame | None, plants: pd.DataFrame, positions: list[str], decimals: int) -> None:
    """The plants of a group, and behind them their leaves."""
    at = _places(plants, positions)
    if leaves is not None:
        theirs = leaves[leaves["plant_key"].isin(at)]
        kinds, plants_of = theirs["scientific_name"].tolist(), theirs["plant"].tolist()
        who = [kind if is_missing(plant) else f"{kind}, plant {plant}" for kind, plant in zip(kinds, plants_of, strict=True)]
        says = [f"{name}: {words}" for name, words in zip(who, _bounds_words(theirs, decimals), strict=True)]
        marks.add_readings(panel, [at[key] for key in theirs["plant_key"].tolist()], theirs, says, look=_LEAF)
    named = (plants[name].tolist() for name in ("scientific_name", "n_leaves", "site_name"))
    told = zip(*named, _bounds_words(plants, decimals), strict=True)
    says = [f"{kind}, a plant: {words}, {count(n, 'leaf', 'leaves')}, {site}" for kind, n, site, words in told]
    marks.add_readings(panel, [at[key] for key in plants["plant_key"].tolist()], plants, says, look=_PLANT)


def _cells(plants: pd.DataFrame) -> dict[str, pd.DataFrame]:
    """The plants of each group by position and cell, bounds apart: their mean, MPa, and how many plants and leaves they are."""
    import pandas as pd

    names = ("functional_group", "topographic_position", "below_limit", "water_potential_mpa", "n_leaves")
    found: dict[str, dict[tuple[str, bool, float], list[tuple[float, int]]]] = {}
    for group, position, is_bound, value, n_leaves in zip(*(plants[name].tolist() for name in names), strict=True):
        found.setdefault(group, {}).setdefault((position, is_bound, value // _CELL_MPA), []).append((value, n_leaves))
    return {
        group: pd.DataFrame(
            [
                (position, is_bound, sum(value for value, _ in alike) / len(alike), len(alike), sum(n for _, n in alike))
                for (position, is_bound, _), alike in sorted(cells.items())
            ],
            columns=["topographic_position", "below_limit", "water_potential_mpa", "n_plants", "n_leaves"],
        )
        for group, cells in found.items()
    }


def _add_cells(panel: Panel, cells: pd.DataFrame, positions: list[str], decimals: int) -> None:
    columns = (cells[name].tolist() for name in ("topographic_position", "below_limit", "n_plants", "n_leaves"))
    xs, sizes, says = [], [], []
    for (position, is_bound, n, n_leaves), words in zip(zip(*columns, strict=True), _bounds_words(cells, decimals), strict=True):
        xs.append(positions.index(position) + 0.08 + (_BOUNDS_BESIDE if is_bound else 0.0))
        sizes.append(marks.size_of_many(n))
        says.append(f"{count(n, 'plant')}, {position}: {words} on average, {count(n_leaves, 'leaf', 'leaves')}")
    marks.add_readings(panel, xs, cells, says, look=_PLANT, sizes=sizes)


def _places(plants: pd.DataFrame, positions: list[str]) -> dict[Any, float]:
    """Each plant's place on the horizontal axis: spread evenly over its position's column, so that leaves stand over their plant."""
    places: dict[Any, float] = {}
    at: dict[str, dict[Any, None]] = {position: {} for position in positions}
    for position, key in zip(plants["topographic_position"].tolist(), plants["plant_key"].tolist(), strict=True):
        at[position][key] = None
    for column, keys in enumerate(at.values()):
        width = min(_SPREAD, _APART * max(len(keys) - 1, 0))
        for i, plant in enumerate(keys):
            places[plant] = column + 0.08 + (0.0 if len(keys) < 2 else width * (i / (len(keys) - 1) - 0.5))
    return places


def _bounds_words(readings: pd.DataFrame, decimals: int) -> list[str]:
    """The values in words; a bound says that it is one."""
    told = zip(readings["water_potential_mpa"].tolist(), readings["below_limit"].tolist(), strict=True)
    return [("at least as dry as " if is_bound else "") + mpa(value, decimals) for value, is_bound in told]


def _add_means(panel: Panel, means: list[Any], positions: list[str], decimals: int) -> None:
    """The mean as a level stroke left of its plants, with the interval through it; a median has no interval."""
    for row in means:
        if row.kind == "none":
            continue
        x = positions.index(row.topographic_position) + _MEAN_AT
        says = f"{row.topographic_position}, {row.kind} of {row.n_plants} plants: {mpa(row.value_mpa, decimals)}"
        if not is_missing(row.ci_low_mpa):
            says += f" ({number(row.ci_low_mpa, decimals)} to {number(row.ci_high_mpa, decimals)})"
            panel.add("ink_bars", x0=x, y0=row.ci_low_mpa, x1=x, y1=row.ci_high_mpa, width=2, alpha=1.0)
        panel.add("ink_marks", x=x, y=row.value_mpa, shape="dash", size=12, alpha=1.0, says=says)
