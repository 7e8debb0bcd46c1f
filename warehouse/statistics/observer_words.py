"""Sentences on the trust in readings, for `observer_agreement` and `cohort_quality`."""

from __future__ import annotations

from warehouse.statistics.wording import counted, interval, mpa, number

_TOGETHER = "A leaf can be pressed only once or twice, so this tells of leaf and observer together."


def agreement_sentence(
    paired_by: str | None,
    n_pairs: int | None,
    bias_mpa: float | None,
    limit_low_mpa: float | None,
    limit_high_mpa: float | None,
    icc_2_1: float | None,
    icc_2_1_low: float | None,
    icc_2_1_high: float | None,
    trend_low: float | None,
    trend_high: float | None,
    reason: str | None,
) -> str:
    """How far two observers agree, in words, or why it cannot be said."""
    if n_pairs is None or bias_mpa is None or limit_low_mpa is None or limit_high_mpa is None:
        return f"Agreement of observers is not known: {lowered(reason)}"
    what = "read the same " + counted(n_pairs, "leaf", "leaves")
    if paired_by == "plant":
        what = "read different leaves of the same " + counted(n_pairs, "plant")
    words = [
        f"Two observers {what}: one read {compared(bias_mpa)} than the other on average, and single differences are expected"
        f" between {number(limit_low_mpa)} and {mpa(limit_high_mpa)} (95 % limits of agreement)."
    ]
    if icc_2_1 is not None:
        known = icc_2_1_low is not None and icc_2_1_high is not None
        ends = f" {interval(icc_2_1_low or 0.0, icc_2_1_high or 0.0)}" if known else ""
        words.append(f"The intraclass correlation is {number(icc_2_1)}{ends}; it is higher where the plants differ more.")
    if trend_low is not None and trend_high is not None and trend_low * trend_high > 0:
        words.append("Their differences change with how dry the leaves are, so that these limits do not hold at both ends.")
    return " ".join([*words, _TOGETHER])


def spread_sentence(n_plants_repeated: int | None, within_plant_sd_mpa: float | None, within_plant_cv: float | None) -> str:
    """How far leaves of one plant differ, in words, or why it cannot be said."""
    if within_plant_sd_mpa is None or not n_plants_repeated:
        return "How far leaves of one plant differ is not known: no plant had two leaves read."
    share = "" if within_plant_cv is None else f", {round(100 * within_plant_cv)} % of their mean potential"
    return (
        f"Leaves of one plant differed by {mpa(within_plant_sd_mpa)}{share}"
        f" (standard deviation within {counted(n_plants_repeated, 'plant')})."
    )


def share_sentence(n_observers: int, share: float | None, share_low: float | None, share_high: float | None, reason: str | None) -> str:
    """How much of the variance goes with who read, in words, or why it cannot be said."""
    if share is None:
        return f"How much goes with who read is not known: {lowered(reason)}"
    read = counted(n_observers, "observer")
    if share == 0:
        most = "" if share_high is None else f", though up to {100 * share_high:.0f} % may (95 % interval)"
        return f"Among plants alike in kind and place, no variance was found to go with who read them ({read}){most}."
    ends = "" if share_low is None or share_high is None else f"; 95 % interval {100 * share_low:.0f} to {100 * share_high:.0f} %"
    return f"Among plants alike in kind and place, about {100 * share:.0f} % of the variance goes with who read them ({read}{ends})."


def digit_sentence(
    n_digits: int | None, preferred: int | None, share: float | None, even_share: float | None, p: float | None, reason: str | None
) -> str:
    """How evenly final digits are used, in words, or why it cannot be said."""
    if preferred is None or share is None or even_share is None or p is None:
        return f"Whether digits were preferred is not known: {lowered(reason)}"
    judged = "chance alone seldom gives so uneven a use" if p < 0.05 else "chance alone often gives such a use"
    return (
        f"Of {counted(n_digits or 0, 'reading')}, {100 * share:.0f} % have a {preferred} as the last digit that the gauge's step moves,"
        f" {100 * even_share:.0f} % in even use: {judged} (chi-square, p {probability(p)})."
    )


def compared(difference_mpa: float) -> str:
    """A difference of potentials as "0.12 MPa drier" or "0.12 MPa wetter"."""
    return f"{mpa(abs(difference_mpa))} {'drier' if difference_mpa < 0 else 'wetter'}"


def probability(p: float) -> str:
    """A p-value as "0.004" or "below 0.001"."""
    return "below 0.001" if p < 0.001 else f"{p:.3f}" if p < 0.1 else f"{p:.2f}"


def lowered(reason: str | None) -> str:
    """A reason as it goes on after a colon."""
    return "the numbers do not admit it." if not reason else reason[0].lower() + reason[1:]
