"""The Class view: one semester's readings, a panel per functional group, positions side by side from high to low ground."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dashboards.answer import Answer, Table
from dashboards.figures import marks
from dashboards.views import class_figure, class_words
from dashboards.views.class_words import LeavesCounted
from dashboards.views.summaries import position_means
from dashboards.words import GROUPS, POSITIONS, number, sentence, those_in

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices


def draw(
    leaves: pd.DataFrame | LeavesCounted,
    plants: pd.DataFrame,
    contrasts: pd.DataFrame,
    choices: Choices,
    *,
    decimals: int = 2,
    why_empty: str = "There is nothing to show.",
) -> Answer:
    """Draw one semester and sampling window.

    Args:
        leaves: usable readings, one row per leaf, `water_potential_mpa` in MPa, never above 0;
            or how many they are, where they are too many to be told apart.
        plants: rows of `plant_values` under the same choices.
        contrasts: rows of `fair_contrasts` of the semester and window; used where nothing narrows the cohort.
        choices: what the reader chose.
        decimals: decimals in MPa that the gauges support.
        why_empty: the sentence to show where there are no plants.

    Returns:
        Title, a figure per group, the reading in words, caveats, counts and the table behind the figure.
    """
    if plants.empty:
        return Answer(title="Nothing to show here", reading=why_empty)
    means = position_means(plants)
    positions = those_in(POSITIONS, plants["topographic_position"])
    counted = class_words.counted_of(leaves)
    drawn = None if isinstance(leaves, LeavesCounted) or counted.n > class_figure.MOST_LEAVES else leaves
    is_in_cells = len(plants) > class_figure.MOST_PLANTS
    told = contrasts if choices.is_whole_cohort else contrasts.iloc[0:0]
    return Answer(
        title=class_words.title(told, choices),
        reading=class_words.reading(told, means, choices, decimals),
        fair=[
            *class_words.like_with_like(plants, means, told, choices),
            *class_words.left_out(counted.n, has_leaves=drawn is not None, is_in_cells=is_in_cells),
        ],
        counts=class_words.counts(plants, counted),
        panels=class_figure.panels(drawn, plants, means, positions, (decimals, counted.driest_mpa)),
        key=marks.key_html(positions, has_bounds=counted.n_below_limit > 0, leaves=drawn is not None, plants=not is_in_cells),
        source="Water potential (MPa); the top of a panel is 0, and down is drier."
        + (f" {class_figure.CELLS_WORDS}" if is_in_cells else ""),
        tables=[_table(means, decimals)],
    )


def _table(means: pd.DataFrame, decimals: int) -> Table:
    shown = means.assign(
        group=[sentence(GROUPS[group]) for group in means["functional_group"]],
        kind=[{"none": ""}.get(kind, kind) for kind in means["kind"]],
        value=[number(value, decimals) for value in means["value_mpa"]],
        low=[number(value, decimals) for value in means["ci_low_mpa"]],
        high=[number(value, decimals) for value in means["ci_high_mpa"]],
    )
    headings = {
        "group": "Group",
        "topographic_position": "Position",
        "kind": "Kind",
        "value": "Value, MPa",
        "low": "95 % interval from, MPa",
        "high": "to, MPa",
        "n_plants": "Plants",
        "n_leaves": "Leaves",
        "n_below_limit": "Plants that are bounds",
        "reason": "Note",
    }
    numeric = frozenset({"value", "low", "high", "n_plants", "n_leaves", "n_below_limit"})
    return Table("Plants by group and position", shown, headings, numeric, frozenset({"reason"}))
