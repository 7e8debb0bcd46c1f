"""The sentence that says what a group of plants read, for `site_season` and `taxon_season`."""

from __future__ import annotations

from dataclasses import replace

from warehouse.statistics.censored import FEWEST_VALUES, GroupEstimate, group_estimate
from warehouse.statistics.wording import GROUPS, interval, listed, mpa, number, plants_and_leaves, when


def group_summary(
    water_potential_mpa: list[float],
    below_limit: list[bool],
    n_leaves: int,
    leaves_stand_for_plants: bool,
    semester: str,
    sampling_window: str,
    who: str,
    site_name: str,
) -> GroupEstimate:
    """`group_estimate` of one group of plants, with its sentence.

    Args:
        water_potential_mpa: one per plant, MPa; where a bound, the plant lies below.
        below_limit: True where the plant is a bound.
        n_leaves: leaves behind the plants.
        leaves_stand_for_plants: whether some plants were not numbered, so that leaves stand for them.
        semester: its code.
        sampling_window: its code.
        who: name of the kind of plant, or code of the functional group.
        site_name: the site as shown.
    """
    found = group_estimate(water_potential_mpa, below_limit)
    n, n_bounds = len(below_limit), sum(below_limit)
    plants = f"{plants_and_leaves(n, n_leaves, leaves_stand_for_plants)} of {GROUPS.get(who, who)} at {site_name}"
    if n_bounds == 0:
        told = f"{plants} {_mean(found)}"
    elif found.method == "censored_normal":
        told = f"{plants} {_likely_mean(found, n_bounds)}"
    else:
        values = [value for value, is_bound in zip(water_potential_mpa, below_limit, strict=True) if not is_bound]
        told = f"{f'{n_bounds} of ' if n > 1 else ''}{plants} {_bounds(found, n_bounds, sorted(values, reverse=True))}"
    return replace(found, sentence=f"{when(semester, sampling_window)}, {told}")


def _mean(found: GroupEstimate) -> str:
    value = mpa(found.mean_mpa or 0.0)
    if found.method == "single_plant":
        return f"had a water potential of {value}; one plant shows no spread, so there is no interval."
    if found.ci_low_mpa is None:
        return f"all had a water potential of {value}, so there is no interval."
    return f"had a mean water potential of {value}{_interval(found)}."


def _likely_mean(found: GroupEstimate, n_bounds: int) -> str:
    middle = "" if found.median_mpa is None or found.median_is_bound else f"; the median is {mpa(found.median_mpa)}"
    return (
        f"had a mean water potential of about {mpa(found.estimate_mpa or 0.0)}{_interval(found)}: {n_bounds} of them {_dry(n_bounds)} and "
        f"{'counts' if n_bounds == 1 else 'count'} as such, on the assumption that plants vary normally about their mean{middle}."
    )


def _bounds(found: GroupEstimate, n_bounds: int, values: list[float]) -> str:
    rest = f" and the other{'s' if len(values) > 1 else ''} read {listed([number(value) for value in values])} MPa"
    few = rest if 0 < len(values) < FEWEST_VALUES else ""
    if found.median_mpa is None:
        middle = "there is no mean, and the median cannot be told"
    else:
        middle = f"there is no mean; the median {'lies below' if found.median_is_bound else 'is'} {mpa(found.median_mpa)}"
    return f"{_dry(n_bounds)}{few}: {middle}."


def _dry(n_bounds: int) -> str:
    return f"{'was' if n_bounds == 1 else 'were'} drier than the chamber could show"


def _interval(found: GroupEstimate) -> str:
    low, high = found.estimate_ci_low_mpa, found.estimate_ci_high_mpa
    return "" if low is None or high is None else f" {interval(low, high)}"
