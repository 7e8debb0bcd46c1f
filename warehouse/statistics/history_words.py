"""The sentence that sets a value against its own history, for `stress_index`, `site_season` and `taxon_season`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from warehouse.statistics.wording import GROUPS, counted, number, when


def subject(who: str, site_name: str, semester: str, date: str | None, sampling_window: str) -> str:
    """What an index is of, a plant on a date or a season's plants, up to the verb: "At midday in Fall 2024, trees at Ridge were"."""
    start, kind = when(semester, sampling_window), GROUPS.get(who, who)
    if date is None:
        return f"{start}, {kind} at {site_name} {'were' if who in GROUPS else 'was'}"
    return f"{start}, a plant of {kind} at {site_name} ({date}) was"


def history_sentence(index: Mapping[str, Any], start: str, semester: str, *, is_season: bool, is_wider: bool) -> str:
    """One sentence on an index and the history behind it, or on why there is none.

    Args:
        index: columns of `OwnHistory` of one value.
        start: the sentence up to and with its verb, see `subject`.
        semester: code of the semester.
        is_season: whether the value is that of a season, not of a plant.
        is_wider: whether the history is that of the wider kind.
    """
    of_kind = "" if is_season else f" of its {'functional group' if is_wider else 'kind'} there"
    noun = f"earlier {_season(semester)}" if is_season else "earlier plant"
    history = (counted(index["n_history"], noun) if index["n_history"] else f"no {noun}") + of_kind
    if index["history_basis"] == "too_few":
        return f"{start} read {'before in' if is_season else 'after'} {history}: too few to compare with."
    if index["percentile"] is None:
        return f"{start} left without a value that could be compared with {history}."
    seasons = "" if is_season else f" ({counted(index['n_history_semesters'], _season(semester))})"
    caution = "; with so short a history this is provisional" if index["history_basis"] == "provisional" else ""
    return f"{start} {_ranked(index)} {history}{seasons}{_distance(index)}{caution}."


def _ranked(index: Mapping[str, Any]) -> str:
    """How many of the history it was drier or wetter than, up to the history."""
    percentile, is_bound = index["percentile"], index["index_is_bound"]
    if percentile == 100 or (percentile == 0 and not is_bound):
        return f"{'drier' if percentile else 'wetter'} than all of"
    if is_bound:
        return f"drier than at least {_percent(percentile)} of" if percentile else "at an unknown rank among"
    return f"drier than {_percent(percentile)} of" if percentile >= 50 else f"wetter than {_percent(100 - percentile)} of"


def _percent(share: float) -> str:
    return f"{min(99, round(share))} %"  # all is said of all alone


def _distance(index: Mapping[str, Any]) -> str:
    """How far from the history's mean, from the partly pooled one where there is one."""
    z = index["pooled_z"] if index["pooled_z"] is not None else index["z"]
    if z is None:
        return ""
    least = "at least " if index["index_is_bound"] else ""
    mean = "their mean, partly pooled with that of related kinds" if index["pooled_z"] is not None else "their mean"
    if index["index_is_bound"] and z < 0:
        return ""
    if not index["index_is_bound"] and number(abs(z), 1) == "0.0":
        return f" and at {mean}"
    return f" and {least}{number(abs(z), 1)} standard deviations {'drier' if z >= 0 else 'wetter'} than {mean}"


def _season(semester: str) -> str:
    return semester.partition("-")[2] or "semester"
