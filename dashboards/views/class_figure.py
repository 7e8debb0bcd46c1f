"""The panels of the Class view: leaves small and light at their plant, plants large, the mean with its interval, bounds open."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dashboards.figures import marks
from dashboards.figures.panel import Panel
from dashboards.words import GROUPS, count, is_missing, mpa, number, sentence

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

MOST_WITH_WORDS = 4
"""More panels than these are too narrow to hold the words of their positions; the key then names the marks."""


def panels(leaves: pd.DataFrame, plants: pd.DataFrame, means: pd.DataFrame, positions: list[str], decimals: int) -> list[Panel]:
    """A panel per functional group, low plants first; all have the same vertical range, so that the eye may run along."""
    groups = [group for group in GROUPS if group in set(plants["functional_group"])]
    values = (leaves["water_potential_mpa"], means["ci_low_mpa"], means["value_mpa"])
    driest = min(float(column.min()) for column in values if column.notna().any())
    words = positions if len(groups) <= MOST_WITH_WORDS else [""] * len(positions)
    return [_panel(group, leaves, plants, means, (positions, words, driest, decimals)) for group in groups]


def _panel(
    group: str, leaves: pd.DataFrame, plants: pd.DataFrame, means: pd.DataFrame, scale: tuple[list[str], list[str], float, int]
) -> Panel:
    positions, words, driest, decimals = scale
    mine, ours = plants[plants["functional_group"] == group], means[means["functional_group"] == group]
    n_plants = dict(zip(ours["topographic_position"], ours["n_plants"], strict=True))
    panel = Panel(
        name=group,
        title=sentence(GROUPS[group]),
        height=HEIGHT,
        x_range=(-0.62, len(positions) - 0.42),
        y_range=marks.potential_range(driest),
        x_ticks={i + 0.04: f"{words[i]}\nn {n_plants.get(position, 0)}".strip() for i, position in enumerate(positions)},
        y_ticks=marks.tick_words(marks.potential_ticks(driest)),
    )
    at = _places(mine, positions)
    if len(leaves) <= MOST_LEAVES:
        theirs = leaves[leaves["plant_key"].isin(set(mine["plant_key"]))]
        kinds, plants_of = theirs["scientific_name"].tolist(), theirs["plant"].tolist()
        who = [kind if is_missing(plant) else f"{kind}, plant {plant}" for kind, plant in zip(kinds, plants_of, strict=True)]
        says = [f"{name}: {words}" for name, words in zip(who, _bounds_words(theirs, decimals), strict=True)]
        marks.add_readings(panel, [at[key] for key in theirs["plant_key"].tolist()], theirs, says, look=_LEAF)
    told = zip(mine["scientific_name"].tolist(), _bounds_words(mine, decimals), mine["n_leaves"], mine["site_name"].tolist(), strict=True)
    says = [f"{kind}, a plant: {words}, {count(n, 'leaf', 'leaves')}, {site}" for kind, words, n, site in told]
    marks.add_readings(panel, [at[key] for key in mine["plant_key"].tolist()], mine, says, look=_PLANT)
    _add_means(panel, ours, positions, decimals)
    return panel


def _places(plants: pd.DataFrame, positions: list[str]) -> dict[Any, float]:
    """Each plant's place on the horizontal axis: spread evenly over its position's column, so that leaves stand over their plant."""
    places: dict[Any, float] = {}
    for column, position in enumerate(positions):
        keys = list(dict.fromkeys(plants.loc[plants["topographic_position"] == position, "plant_key"].tolist()))
        width = min(_SPREAD, _APART * max(len(keys) - 1, 0))
        for i, plant in enumerate(keys):
            places[plant] = column + 0.08 + (0.0 if len(keys) < 2 else width * (i / (len(keys) - 1) - 0.5))
    return places


def _bounds_words(readings: pd.DataFrame, decimals: int) -> list[str]:
    """The values in words; a bound says that it is one."""
    told = zip(readings["water_potential_mpa"].tolist(), readings["below_limit"].tolist(), strict=True)
    return [("at least as dry as " if is_bound else "") + mpa(value, decimals) for value, is_bound in told]


def _add_means(panel: Panel, means: pd.DataFrame, positions: list[str], decimals: int) -> None:
    """The mean as a level stroke left of its plants, with the interval through it; a median has no interval."""
    for row in means[means["kind"] != "none"].itertuples():
        x = positions.index(row.topographic_position) + _MEAN_AT
        says = f"{row.topographic_position}, {row.kind} of {row.n_plants} plants: {mpa(row.value_mpa, decimals)}"
        if not is_missing(row.ci_low_mpa):
            says += f" ({number(row.ci_low_mpa, decimals)} to {number(row.ci_high_mpa, decimals)})"
            panel.add("ink_bars", x0=x, y0=row.ci_low_mpa, x1=x, y1=row.ci_high_mpa, width=2, alpha=1.0)
        panel.add("ink_marks", x=x, y=row.value_mpa, shape="dash", size=12, alpha=1.0, says=says)
