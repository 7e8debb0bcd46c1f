"""Why an estimate is null, as a code for machines and a sentence for people. A result carries both or neither."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

REASONS: Mapping[str, str] = {
    "not_computable": "The numbers do not admit this estimate.",
    "not_finite": "The estimate has no finite value.",
    # groups with bounds
    "one_plant": "One plant: no spread, no interval.",
    "identical_plants": "The plants read the same: no interval.",
    "bounds_among_plants": "{n_bounds} of {n} plants are drier than the chamber could show: the mean is a maximum-likelihood estimate.",
    "all_bounds": "All {n} plants are drier than the chamber could show: there is only a bound.",
    "few_values_with_bounds": "{n_bounds} of {n} plants are drier than the chamber could show, and a model needs {needed} values: no mean.",
    "few_values_undecided": "{n_bounds} of {n} plants are drier than the chamber could show, and a model needs {needed} values: no mean, "
    "and the rank of the median cannot be decided.",
    "side_without_plants": "One side has no plants.",
    "few_values": "Only {n} plants gave a value; {needed} are needed for a model, so the readings are shown.",
    "few_values_on_a_side": "One side has fewer than {needed} plants that gave a value, not a bound.",
    "mostly_bounds": "More than 80 % of the plants are drier than the chamber could show: no mean.",
    "no_variance_in_groups": "The plants do not differ: no model of their spread.",
    # own history
    "short_history": "There are {n} earlier values of the same kind, place, season and part of the day; {needed} are needed.",
    "history_with_bounds": "The history holds plants drier than the chamber could show: compared by rank alone.",
    "no_estimate_to_compare": "There is no value to compare.",
    "identical_history": "The earlier values are all the same: compared by rank alone.",
    "no_robust_spread": "More than half of the earlier values are the same: no robust index.",
    "ranks_do_not_differ": "The plants cannot be ranked: their values are all the same.",
    "no_spread": "All values are alike: nothing can be said of their spread.",
    "mixed_too_few": "{n} values are too few for a mixed model.",
    "mixed_no_factor": "Nothing that the values share has the {least} levels that a random effect needs.",
    "mixed_not_identifiable": "The compared columns depend on each other: their effects cannot be told apart.",
    "mixed_not_converged": "The mixed model did not converge.",
    # Observers and digits
    "not_paired": "No leaf and no plant was read by two observers.",
    "few_paired": "Only {n} leaves or plants were read by two observers; {least} are needed.",
    "no_complete_table": "No two observers read {least} of the same leaves or plants.",
    "no_plant_repeated": "No plant had two leaves read.",
    "near_zero": "The mean is within {limit} MPa of 0, where a spread relative to it means nothing.",
    "no_observers": "No observer is written down.",
    "few_observers": "Only {n} observers are known; {least} are needed to tell observers from plants.",
    "many_observers": "{n} observers in one section are more than {most}: look whether names are spelt in many ways.",
    "observers_confounded": "Observers and kinds of plants cannot be told apart: too few like plants were read by different observers.",
    "no_gauge_step": "The step of the gauge is not known.",
    "not_on_steps": "{off} of {n} readings do not lie on the gauge's steps.",
    "digits_follow_plants": "The readings lie too close together for their digits to be used alike.",
    "too_few_digits": "Too few readings: each final digit must be able to expect 5.",
    # response to rain, predawn and midday
    "no_predictor": "What stands on the other axis is not known for any of {n} plants.",
    "few_dates": "Dates with readings: {n}; needed: {least}, since all plants of a date share its weather.",
    "predictor_alike": "What stands on the other axis does not differ within a season.",
    "response_of_bounds": "{n_bounds} of {n} plants are drier than the chamber could show: too many for a line.",
    "few_pairs": "Pairs of predawn and midday on one plant: {n}; needed: {least}.",
    "not_enough_drying": "Not enough drying: predawn ranged over {reach} MPa, and {least} MPa is needed.",
    "no_closing": "There is no hydroscape, since the line and the 1:1 line do not meet below 0.",
    "area_open": "There is no hydroscape, since the slope may be 1, and then the line and the 1:1 line do not meet.",
    # contrasts
    "few_plants": "{n_a} and {n_b} plants: {needed} on each side are needed for a test, so the readings are shown.",
    "few_shared_plants": "{n} plants were read on both sides; {needed} are needed for a test, so the readings are shown.",
    "site_of_one_plant": "A site has one plant on a side: two are needed to compare within it.",
    "no_spread_within_sides": "The plants of each side are alike: a difference, but no interval.",
    "no_spread_of_differences": "All plants changed alike: a difference, but no interval.",
    "bounds_in_pairs": "Values drier than the chamber could show: {n}. How much these plants changed is not known.",
    "bounds_at_several_sites": "Plants drier than the chamber could show: {n}. No difference over several sites is taken with bounds.",
    "not_across_groups": "Functional groups are not tested against each other: a grass and a tree at the same potential are not under the "
    "same stress. Compare how unusual each is for itself.",
    # learning
    "no_matched": "No student has a whole score both before and after.",
    "few_matched": "{n} students have a score both before and after; {needed} are needed for an interval.",
    "changes_alike": "All students changed alike: no interval of the difference.",
    "no_room_to_gain": "All had every point before: nothing was left to gain.",
    "gain_without_interval": "The students' scores leave no room for an interval of the gain: they are alike, or too many had every point.",
    "no_evidence": "There is no evidence of this outcome in this semester.",
    "nobody_scored": "Nobody was scored on all that counts as evidence.",
    "no_target": "The register of outcomes states no target score or level.",
    "one_item": "The instrument has one item alone.",
    "few_whole": "{n} students have every item scored; {needed} are needed.",
    "item_alike": "All students scored alike on this item.",
    "rest_alike": "All students scored alike on the other items.",
    # Rain and soil water
    "rain_month_missing": "A day of these months is missing from the record.",
    "rain_record_short": "Fewer than 20 years of the record have these months whole: too few to say what is usual.",
    "rain_too_alike": "Fewer than 10 of the years had rain in these months, or all had the same: no distribution fits them.",
    "soil_not_described": "The register of sites states no depth of soil, or neither its texture nor its available water.",
    "soil_start_unknown": "The rain record starts here, and how full the soil was is not known until it was surely full or empty once.",
    "rain_missing": "A day has no rain data, and how full the soil is stays unknown until it is surely full or empty again.",
    "rain_of_several_days": "Rain was measured as one total of several days: how full the soil is stays unknown until that is no matter.",
    "temperature_missing": "A day has no temperatures: what evaporated is not known, nor the soil's water where that makes a difference.",
}


def reason(code: str, **numbers: object) -> dict[str, Any]:
    """The two fields of a result that say why it is null: `reason_code`, and `reason` with its numbers put in.

    Raises:
        KeyError: no such code, or a number that its sentence names is missing.
    """
    return {"reason_code": code, "reason": REASONS[code].format(**numbers)}


def reason_text(code: str | None) -> str | None:
    """The sentence of a code that needs no numbers; None for None."""
    return None if code is None else REASONS[code]
