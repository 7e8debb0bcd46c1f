"""The sentence of a fair contrast: what was compared, by how much, how sure, and what to mind. Never a cause, never a p-value alone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from warehouse.statistics.reasons import reason
from warehouse.statistics.wording import DECIMALS, GROUPS, at_start, counted, interval, mpa, semester_words, sentence, when

_AT = {"predawn": "before dawn", "midday": "at midday"}


@dataclass(frozen=True)
class OwnHistoryWords:
    """Why functional groups are not tested against each other, and how unusual one was for itself instead."""

    reason_code: str
    reason: str
    sentence: str


def contrast_sentence(
    kind: str,
    named: str,
    semester: str,
    sampling_window: str,
    side_a: str,
    side_b: str,
    n_plants_a: int,
    n_plants_b: int,
    n_leaves: int,
    n_bounds: int,
    n_sites_a: int,
    n_sites_b: int,
    kinds_are_alike: bool,
    leaves_stand_for_plants: bool,
    method: str,
    difference_mpa: float | None,
    ci_low_mpa: float | None,
    ci_high_mpa: float | None,
    p_value: float | None,
    p_holm: float | None,
    n_tests: int,
    readings_a: str | None,
    readings_b: str | None,
    why: str | None,
) -> str:
    """One row of `fair_contrasts` in words.

    Args:
        kind: which kind of contrast.
        named: code of the functional group, or name of the kind of plant.
        semester: its code, of both sides but between seasons.
        sampling_window: its code.
        side_a: the first side: its position, the site's name, the semester's code, the date or the window.
        side_b: the second side.
        n_plants_a: plants of the first side.
        n_plants_b: plants of the second side.
        n_leaves: leaves of both.
        n_bounds: plants of both that are bounds.
        n_sites_a: sites of the first side.
        n_sites_b: sites of the second side.
        kinds_are_alike: whether the same kinds of plant stand on both sides.
        leaves_stand_for_plants: whether some plants were not numbered.
        method: see `PlantContrast`.
        difference_mpa: first minus second, MPa.
        ci_low_mpa: lower end of its 95 % interval, MPa.
        ci_high_mpa: upper end, MPa.
        p_value: of the difference.
        p_holm: the same after Holm's correction.
        n_tests: tests in its family.
        readings_a: values of the first side, where they are too few to be tested.
        readings_b: values of the second side.
        why: the reason why something is missing.
    """
    start = {"between_seasons": at_start(sampling_window), "predawn_minus_midday": f"In {semester_words(semester)}"}
    who = f"{start.get(kind, when(semester, sampling_window))}, in {GROUPS.get(named, named)}"
    names = _name(kind, side_a), _name(kind, side_b)
    if difference_mpa is None:
        read = f" {sentence(names[0])}: {readings_a}; {names[1]}: {readings_b}." if readings_a and readings_b else ""
        return f"{who}, {names[0]} and {names[1]} are not compared. {why}{read}"
    leaves = counted(n_leaves, "leaf", "leaves")
    drier = _drier(kind, (n_plants_a, n_plants_b), names, difference_mpa)
    if ci_low_mpa is None or ci_high_mpa is None:
        found = f"{drier} ({leaves}). {why}"
    elif ci_low_mpa <= 0 <= ci_high_mpa:
        open_still = f"it is open {_either(kind, (n_plants_a, n_plants_b), names)}: {names[0]} minus {names[1]} is"
        found = f"{open_still} {mpa(difference_mpa)} {interval(ci_low_mpa, ci_high_mpa)[:-1]}; {leaves}{_p(p_value, p_holm, n_tests)})."
    else:
        low, high = sorted((abs(ci_low_mpa), abs(ci_high_mpa)))
        found = f"{drier} {interval(low, high)[:-1]}; {leaves}{_p(p_value, p_holm, n_tests)})."
    caveats = _caveats(kind, method, n_bounds, (n_sites_a, n_sites_b), (side_a, side_b))
    if p_value is not None and p_holm is not None and p_value < 0.05 <= p_holm:
        caveats.append(f"Among {n_tests} such comparisons one so clear may come by chance.")
    if not kinds_are_alike:
        caveats.append("The kinds of plant are not the same on both sides.")
    if leaves_stand_for_plants:
        caveats.append("Not all plants were numbered: leaves stand for plants, and the interval may be too narrow.")
    return " ".join([f"{who}, {found}", *caveats])


def own_history_words(
    group: str,
    semester: str,
    sampling_window: str,
    site_name: str,
    percentile: float | None,
    anomaly_mpa: float | None,
    n_history: int,
    history_basis: str,
) -> OwnHistoryWords:
    """What stands in the place of a test across functional groups: how unusual a group was for itself, at one site.

    Args:
        group: code of the functional group.
        semester: its code.
        sampling_window: its code.
        site_name: the site as shown.
        percentile: share of its earlier semesters of this season that were wetter, %.
        anomaly_mpa: its mean minus the mean of these, MPa.
        n_history: how many they are.
        history_basis: too_few, provisional or firm.
    """
    why = reason("not_across_groups")
    who = f"{when(semester, sampling_window)} at {site_name}, {GROUPS.get(group, group)}"
    earlier = counted(n_history, f"earlier {semester.partition('-')[2] or 'semester'}")
    if percentile is None:
        return OwnHistoryWords(**why, sentence=f"{who} cannot be set against their own history yet ({earlier}). {why['reason']}")
    off = "" if anomaly_mpa is None else f", {_from_mean(anomaly_mpa)}"
    provisional = " (provisional)" if history_basis == "provisional" else ""
    told = f"{who} were drier than in {percentile:.0f} % of their {earlier}{off}{provisional}. {why['reason']}"
    return OwnHistoryWords(**why, sentence=told)


def _name(kind: str, side: str) -> str:
    """A side alone: "lowland", "Long brow", "Fall 2024", "19 September", "predawn"."""
    if kind == "between_seasons":
        return semester_words(side)
    if kind == "after_minus_before_rain":
        return _day(side)
    return side


def _plants(kind: str, n: int, name: str, *, is_first: bool) -> str:
    """A side with its plants: "8 upland plants"."""
    plants = "plant" if n == 1 else "plants"
    if kind == "lowland_minus_upland":
        return f"{n} {name} {plants}"
    if kind == "after_minus_before_rain":
        return f"{n} {plants} read on {name} {'after' if is_first else 'before'} the rain"
    return f"{n} {plants} {'of' if kind == 'between_seasons' else 'at'} {name}"


def _drier(kind: str, n: tuple[int, int], names: tuple[str, str], difference_mpa: float) -> str:
    """Which side was drier by how much."""
    first, second = (1, 0) if difference_mpa >= 0 else (0, 1)
    if abs(difference_mpa) < 0.005:
        return f"{names[0]} and {names[1]} read alike on average"
    by = f"by {mpa(abs(difference_mpa))} on average"
    if kind == "predawn_minus_midday":
        return f"the {counted(n[0], 'plant')} were drier {_AT[names[first]]} than {_AT[names[second]]} {by}"
    drier, wetter = (_plants(kind, n[side], names[side], is_first=side == 0) for side in (first, second))
    return f"the {drier} {'was' if n[first] == 1 else 'were'} drier than the {wetter} {by}"


def _either(kind: str, n: tuple[int, int], names: tuple[str, str]) -> str:
    """What an interval over 0 leaves open."""
    if kind == "predawn_minus_midday":
        return f"whether the {counted(n[0], 'plant')} were drier {_AT[names[0]]} or {_AT[names[1]]}"
    first, second = (_plants(kind, n[side], names[side], is_first=side == 0) for side in (0, 1))
    return f"whether the {first} or the {second} were drier"


def _p(p_value: float | None, p_holm: float | None, n_tests: int) -> str:
    """The p-value behind the interval, with Holm's where there are several tests."""
    if p_value is None:
        return ""
    several = f", {_small(p_holm)} after Holm's correction for {n_tests} tests" if p_holm is not None and n_tests > 1 else ""
    return f"; p {_small(p_value)}{several}"


def _small(p: float) -> str:
    return "< 0.001" if p < 0.001 else f"{p:.2f}" if p >= 0.1 else f"{p:.3f}"


def _caveats(kind: str, method: str, n_bounds: int, n_sites: tuple[int, int], sides: tuple[str, str]) -> list[str]:
    """What the method and the design leave open."""
    told = []
    if method == "mixed":
        told.append("The model allows for what leaves of one plant and readings of one person or section share.")
    if method == "by_site" and n_sites[0] > 1:
        told.append(f"Compared within each of the {n_sites[0]} sites that have both.")
    if n_bounds:
        are = ("was", "a bound") if n_bounds == 1 else ("were", "bounds")
        told.append(f"{counted(n_bounds, 'plant')} {are[0]} drier than the chamber could show and so {are[1]}.")
    if kind == "lowland_minus_upland":
        alone = [side for side, n in zip(sides, n_sites, strict=True) if n == 1]
        if alone:
            told.append(f"There is one {' and one '.join(alone)} site: what is its own cannot be told from its position.")
    if kind == "after_minus_before_rain":
        told.append("What else changed between the days is not known.")
    return told


def _day(iso: str) -> str:
    """A date in words: "19 September"."""
    day = date.fromisoformat(iso)
    return f"{day.day} {day:%B}"


def _from_mean(anomaly_mpa: float) -> str:
    """How far from the mean of the history; what rounds to nothing is neither wetter nor drier."""
    if float(f"{anomaly_mpa:.{DECIMALS}f}") == 0:
        return "at their mean"
    return f"{mpa(abs(anomaly_mpa))} {'wetter' if anomaly_mpa > 0 else 'drier'} than their mean"
