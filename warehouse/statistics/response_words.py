"""The sentences of `rain_response` and `hydroscape`."""

from __future__ import annotations

from warehouse.statistics.wording import GROUPS, at_start, counted, interval, number

PLACES = {"upland": "on the upland", "slope": "on the slope", "lowland": "in the lowland", "all": "at all positions"}
# What is said of a predictor: its name, the step in which the slope is told, and that step in words.
STEPS = {
    "days_since_rain": ("the days since rain", 1.0, "for each further day since rain"),
    "antecedent_index_mm": ("the rain before", 10.0, "for each further 10 mm of the antecedent rain index"),
    "modelled_relative_water": ("the modelled soil water", 0.1, "for each further tenth of the soil's available water, as modelled"),
}


def plants_in_words(functional_group: str, taxon_name: str | None, topographic_position: str) -> str:
    """The plants of a row: "C4 grasses on the upland", "big bluestem at all positions"."""
    name = taxon_name or GROUPS.get(functional_group, functional_group)
    return f"{name} {PLACES.get(topographic_position, topographic_position)}"


def response_sentence(
    predictor: str,
    who: str,
    sampling_window: str,
    n_plants: int,
    n_leaves: int,
    n_dates: int,
    n_semesters: int,
    n_bounds: int,
    slope: float | None,
    ci_low: float | None,
    ci_high: float | None,
    reason: str | None,
) -> str:
    """How the potential goes with rain, in words, or why it cannot be said."""
    name, step, words = STEPS[predictor]
    start = f"{at_start(sampling_window)}, {who}"
    if slope is None or ci_low is None or ci_high is None:
        return f"{start}: no slope on {name}. {reason or 'The numbers do not admit one.'}"
    bounds = f", {n_bounds} of them drier than the chamber could show and counted as such" if n_bounds else ""
    open_ended = ci_low < 0 < ci_high
    return (
        f"{start} read {_by(slope * step)} {words} (95 % interval {_ends(ci_low * step, ci_high * step)}), on "
        f"{counted(n_dates, 'date')} in {counted(n_semesters, 'semester')} with {counted(n_plants, 'plant')} "
        f"({counted(n_leaves, 'leaf', 'leaves')}){bounds}. Plants of a date share its weather, so dates are the unit"
        f"{', and they do not tell drier from wetter' if open_ended else ''}."
    )


def _by(change_mpa: float) -> str:
    return f"{number(abs(change_mpa), 3)} MPa {'drier' if change_mpa < 0 else 'wetter'}"


def _ends(low: float, high: float) -> str:
    """The ends of an interval of changes: "0.010 to 0.052 drier", or "0.010 wetter to 0.052 drier"."""
    near, far = sorted((low, high), key=abs)
    if near * far >= 0:
        return f"{number(abs(near), 3)} to {number(abs(far), 3)} {'drier' if far < 0 else 'wetter'}"
    return f"{number(abs(low), 3)} drier to {number(abs(high), 3)} wetter"


ISOHYDRY = {
    "isohydric": "near isohydric, midday held where it was while the soil dried",
    "partly_isohydric": "partly isohydric, midday followed the soil in part",
    "anisohydric": "near anisohydric, midday followed the soil one for one",
    "extremely_anisohydric": "extremely anisohydric, midday fell faster than the soil",
    "reversed": "midday was wetter where predawn was drier, which asks for another look at the pairs",
    "undecided": "the pairs do not tell isohydric from anisohydric",
}


def hydroscape_sentence(
    who: str,
    n_pairs: int,
    n_dates: int,
    n_midday_below_limit: int,
    n_midday_wetter: int,
    slope: float | None,
    slope_ci_low: float | None,
    slope_ci_high: float | None,
    isohydry: str | None,
    hydroscape_mpa2: float | None,
    hydroscape_ci_low_mpa2: float | None,
    hydroscape_ci_high_mpa2: float | None,
    reason: str | None,
    area_reason: str | None,
) -> str:
    """How far midday follows predawn, in words, or why it cannot be said."""
    if slope is None or slope_ci_low is None or slope_ci_high is None:
        return f"{who[0].upper()}{who[1:]}: no line of midday on predawn. {reason or 'The numbers do not admit one.'}"
    pairs = f"{counted(n_pairs, 'pair')} of predawn and midday on {counted(n_dates, 'date')}"
    bounds = f", {n_midday_below_limit} of them drier at midday than the chamber could show" if n_midday_below_limit else ""
    words = [
        f"{who[0].upper()}{who[1:]}, {pairs}{bounds}: midday was {number(abs(slope))} MPa {'drier' if slope >= 0 else 'wetter'} for each "
        f"MPa by which predawn was drier "
        f"{interval(slope_ci_low, slope_ci_high)}; {ISOHYDRY[isohydry or 'undecided']}."
    ]
    if hydroscape_mpa2 is not None and hydroscape_ci_low_mpa2 is not None and hydroscape_ci_high_mpa2 is not None:
        words.append(f"The hydroscape is {number(hydroscape_mpa2)} MPa² {interval(hydroscape_ci_low_mpa2, hydroscape_ci_high_mpa2)}.")
    else:
        words.append(area_reason or "There is no hydroscape.")
    if n_midday_wetter:
        words.append(f"In {counted(n_midday_wetter, 'pair')} midday was wetter than predawn, which may be a swap, a wrong label or rain.")
    return " ".join([*words, "Predawn stands for the soil only where plant and soil had come to balance overnight."])
