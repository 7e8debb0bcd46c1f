"""What the Class view says: a title of what is seen, one sentence with numbers, and what may be compared with what."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from dashboards.words import GROUPS, POSITIONS, count, day_words, few, groups_words, listed, mpa, number, sentence

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices

FEW_PLANTS, MOST_NAMED = 5, 3
_NEVER_ACROSS = (
    "Compare positions within a panel. A grass and a tree at the same potential are not under the same stress, so nothing is tested "
    "across panels."
)


@dataclass(frozen=True)
class LeavesCounted:
    """How many leaves there are, how many of them are bounds, the driest, MPa, and the chambers that they were read in."""

    n: int
    n_below_limit: int
    driest_mpa: float
    chambers: tuple[str, ...]


def counted_of(leaves: pd.DataFrame | LeavesCounted) -> LeavesCounted:
    """The leaves of a frame, counted; or as they were counted."""
    if isinstance(leaves, LeavesCounted):
        return leaves
    chambers = tuple(str(code) for code in leaves["chamber"].dropna().unique()) if "chamber" in leaves else ()
    return LeavesCounted(len(leaves), int(leaves["below_limit"].sum()), float(leaves["water_potential_mpa"].min()), chambers)


def title(contrasts: pd.DataFrame, choices: Choices) -> str:
    """What is seen, in one line, going by the intervals of the contrasts."""
    known = contrasts[contrasts["ci_low_mpa"].notna()]
    upland_drier = list(known.loc[known["ci_low_mpa"] > 0, "functional_group"])
    lowland_drier = list(known.loc[known["ci_high_mpa"] < 0, "functional_group"])
    unclear = [group for group in known["functional_group"] if group not in upland_drier and group not in lowland_drier]
    if known.empty:
        return f"{sentence(choices.who())} {choices.when()}"
    if upland_drier and lowland_drier:
        return f"Upland was drier in {groups_words(upland_drier)}, lowland in {groups_words(lowland_drier)}"
    for place, groups in (("Upland", upland_drier), ("Lowland", lowland_drier)):
        if groups:
            if len(known) == 1:
                return f"{place} {GROUPS[groups[0]]} were drier"
            all_told = len(known) == len(contrasts)
            return f"{place} was drier in {_those(groups, unclear) if all_told else groups_words(groups)}"
    return "No clear difference between upland and lowland"


def _those(groups: list[str], others: list[str]) -> str:
    """Groups in words, the shorter way round: by name, or all but the others."""
    if not others:
        return "both groups" if len(groups) == 2 else "every group"
    return groups_words(groups) if len(groups) <= len(others) else f"every group but the {groups_words(others)}"


def reading(contrasts: pd.DataFrame, means: pd.DataFrame, choices: Choices, decimals: int) -> str:
    """One sentence with numbers: the widest gap where contrasts apply, otherwise the means of the largest group."""
    known = contrasts[contrasts["difference_mpa"].notna()]
    if known.empty:
        return _means_sentence(means, choices, decimals)
    widest = known.loc[known["difference_mpa"].abs().idxmax()]
    told = str(widest["sentence"])
    return f"The widest gap: {told[:1].lower()}{told[1:]}" if len(known) > 1 else told


def _means_sentence(means: pd.DataFrame, choices: Choices, decimals: int) -> str:
    plants = means.groupby("functional_group")["n_plants"].sum()
    group = str(plants.idxmax())
    told = []
    for row in means[means["functional_group"] == group].itertuples():
        n = f"{count(row.n_plants, 'plant')}, {count(row.n_leaves, 'leaf', 'leaves')}"
        if row.kind == "none":
            told.append(f"{row.topographic_position} not known, for {row.n_below_limit} of {count(row.n_plants, 'plant')} are bounds")
            continue
        interval = "" if math.isnan(row.ci_low_mpa) else f"{number(row.ci_low_mpa, decimals)} to {number(row.ci_high_mpa, decimals)}; "
        told.append(f"{row.topographic_position} {mpa(row.value_mpa, decimals)} ({row.kind}; {interval}{n})")
    section = f", section {choices.section}" if choices.section else ""
    return f"{sentence(choices.when())}{section}, the {GROUPS[group]} read: {'; '.join(told)}."


def like_with_like(plants: pd.DataFrame, means: pd.DataFrame, contrasts: pd.DataFrame, choices: Choices) -> list[str]:
    """What here may be compared and what may not, from the data at hand."""
    caveats = [_NEVER_ACROSS] if means["functional_group"].nunique() > 1 else []
    caveats += unlike(plants)
    small = means[means["n_plants"] < FEW_PLANTS]
    if not small.empty:
        named = listed(f"{row.topographic_position} {GROUPS[row.functional_group]} ({row.n_plants})" for row in small.itertuples())
        where = f": {named}" if len(small) <= MOST_NAMED else f" in {len(small)} of the {len(means)} columns"
        caveats.append(f"Fewer than {few(FEW_PLANTS)} plants{where}. Look at the marks, not at the mean.")
    if plants["leaf_stands_for_plant"].any():
        n = int(plants["leaf_stands_for_plant"].sum())
        caveats.append(
            f"For {count(n, 'leaf', 'leaves')} no plant was written down; each stands for a plant, and so the interval may be too narrow."
        )
    bounded = means[means["kind"] != "mean"]
    if not bounded.empty:
        which = [f"{r.topographic_position} {GROUPS[r.functional_group]} ({r.n_below_limit} of {r.n_plants})" for r in bounded.itertuples()]
        caveats.append(f"Where plants are bounds the mean is not known: {listed(which)}. A stroke without a bar is the median.")
    for row in contrasts[contrasts["difference_mpa"].isna()].itertuples():
        caveats.append(f"No contrast of {GROUPS[row.functional_group]}: {str(row.reason).rstrip('.')}.")
    if choices.section:
        caveats.append(f"Section {choices.section} alone; the title and contrasts of the whole cohort do not apply.")
    return caveats


def unlike(plants: pd.DataFrame) -> list[str]:
    """In what the columns of a figure differ beside the group and position that they are named by."""
    return [*_different_kinds(plants), *_pooled(plants)]


def left_out(n_leaves: int, *, has_leaves: bool, is_in_cells: bool) -> list[str]:
    """A sentence where there are more leaves, or plants, than can be told apart."""
    if has_leaves and not is_in_cells:
        return []
    marked = (
        "no mark is a plant or a leaf; what a mark stands for is said above the figure"
        if is_in_cells
        else "the marks are plants, not leaves"
    )
    return [f"{count(n_leaves, 'leaf', 'leaves')} cannot be told apart here: {marked}."]


def _pooled(plants: pd.DataFrame) -> list[str]:
    """A sentence where days or sites stand together in one column."""
    told = []
    days = sorted({day_words(date): date for date in plants["date"].unique()}.items(), key=lambda item: item[1])
    if len(days) > 1:
        told.append(f"{sentence(few(len(days)))} days are pooled here, {days[0][0]} to {days[-1][0]}; rain may have fallen between them.")
    places = set(_columns(plants, "topographic_position", "site_name"))
    for position in POSITIONS:
        sites = sorted(site for place, site in places if place == position)
        if len(sites) > 1:
            told.append(f"{sentence(position)} pools {few(len(sites))} sites: {listed(sites)}.")
    return told


def _different_kinds(plants: pd.DataFrame) -> list[str]:
    """Sentences on groups whose kinds of plant differ between positions: the comparison is then of kinds, too."""
    advice: dict[str, list[str]] = {}
    for group, at_positions in kinds_at_positions(plants).items():
        kinds = list(at_positions.values())
        shared = set.intersection(*kinds) if kinds else set()
        if len(kinds) > 1 and shared != set.union(*kinds):
            better = f"; for a fairer look choose {listed(sorted(shared), 'or')}" if shared else "; no kind was read at all of them"
            advice.setdefault(better, []).append(group)
    return [f"The {groups_words(groups)} are not the same kinds at every position{better}." for better, groups in advice.items()]


def kinds_at_positions(plants: pd.DataFrame) -> dict[str, dict[str, set[str]]]:
    """The kinds of plant of each group at each position where it was read, from high to low ground."""
    found: dict[str, dict[str, set[str]]] = {group: {} for group in GROUPS}
    kinds = set(_columns(plants, "functional_group", "topographic_position", "scientific_name"))
    for group, position, kind in sorted(kinds, key=lambda each: POSITIONS.index(each[1]) if each[1] in POSITIONS else -1):
        if group in found and position in POSITIONS:
            found[group].setdefault(position, set()).add(kind)
    return found


def _columns(plants: pd.DataFrame, *names: str) -> Iterator[tuple[Any, ...]]:
    """The rows as plain tuples: a frame takes a hundred times as long to be looked through row by row, or mask by mask."""
    return zip(*(plants[name].tolist() for name in names), strict=True)


def counts(plants: pd.DataFrame, leaves: LeavesCounted) -> str:
    """How many plants and leaves, and how many of them are bounds."""
    n_bounds = leaves.n_below_limit
    bounds = f" {count(n_bounds, 'leaf', 'leaves')} never reached an endpoint: at least as dry as the limit." if n_bounds else ""
    return f"{count(len(plants), 'plant')}, {count(leaves.n, 'leaf', 'leaves')}.{bounds}"
