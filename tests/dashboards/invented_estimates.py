"""What a build would estimate of the invented class: seasons, contrasts, lines over rain and over predawn."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import pandas as pd

from tests.dashboards.invented_class import LIMIT_MPA, MIDDAY, dryness
from tests.dashboards.invented_learning import SCRIPT
from warehouse.statistics.contrast_words import contrast_sentence


def summaries(plants: pd.DataFrame, taxon: bool) -> pd.DataFrame:
    """One row per semester, site, group (and taxon) and window."""
    keys = ["program", "semester", "year", "season", "site", "site_name", "topographic_position", "functional_group", "sampling_window"]
    rows = []
    for key, part in plants.groupby(keys + (["taxon", "scientific_name"] if taxon else [])):
        values, n = part["water_potential_mpa"], len(part)
        has_bound = bool(part["below_limit"].any())
        half = 2.2 * float(values.std()) / math.sqrt(n) if n > 1 else math.nan
        mean = math.nan if has_bound else float(values.mean())
        rows.append(
            dict(zip(keys + (["taxon", "scientific_name"] if taxon else []), key, strict=True))
            | {"n_leaves": int(part["n_leaves"].sum()), "n_plants": n, "n_plants_below_limit": int(part["below_limit"].sum())}
            | {"mean_mpa": mean, "ci_low_mpa": mean - half, "ci_high_mpa": mean + half, "median_mpa": float(values.median())}
            | {"median_is_bound": bool(has_bound and values.median() <= LIMIT_MPA), "rain_30d_mm": 120.0 * (1 - dryness(key[1]))}
            | estimate(values, half, has_bound=has_bound)
            | {"percentile": 100 * dryness(key[1]), "index_is_bound": False, "n_history_semesters": 9, "sentence": f"{key[1]} {SCRIPT}"}
            | {"reason": "bounds among the plants" if has_bound else None}
        )
    return pd.DataFrame(rows)


def estimate(values: pd.Series, half: float, *, has_bound: bool) -> dict[str, Any]:
    """The estimate of plants: their mean; with bounds the middle one, itself a bound where it lies at the limit."""
    names = ("method", "estimate_mpa", "estimate_is_bound", "estimate_ci_low_mpa", "estimate_ci_high_mpa")
    if has_bound:
        return dict(zip(names, ("rank", float(values.median()), bool(values.median() <= LIMIT_MPA), math.nan, math.nan), strict=True))
    mean = float(values.mean())
    return dict(zip(names, ("t_interval", mean, False, mean - half, mean + half), strict=True))


def told(key: tuple[str, ...], n: tuple[int, int], n_leaves: int, gap: float, half: float) -> str:
    """The sentence of a contrast as the warehouse makes it."""
    numbers: list[Any] = [None] * 5 if math.isnan(gap) else [gap, gap - half, gap + half, 0.01, 0.04]
    side = {"n_sites_a": 1, "n_sites_b": 1, "readings_a": None, "readings_b": None}
    names = dict(zip(("difference_mpa", "ci_low_mpa", "ci_high_mpa", "p_value", "p_holm"), numbers, strict=True))
    known: dict[str, Any] = {"n_plants_a": n[0], "n_plants_b": n[1], "n_leaves": n_leaves, "n_bounds": 0, "n_tests": 5, **side, **names}
    known |= {"kinds_are_alike": True, "leaves_stand_for_plants": False, "method": "welch", "why": "Fewer than three plants, or bounds."}
    return contrast_sentence("lowland_minus_upland", key[4], key[1], key[5], "lowland", "upland", **known)


def contrasts(plants: pd.DataFrame) -> pd.DataFrame:
    """Lowland minus upland per semester, group and window; trees of one semester have none."""
    rows = []
    for key, part in plants.groupby(["program", "semester", "year", "season", "functional_group", "sampling_window"]):
        high, low = part[part["topographic_position"] == "upland"], part[part["topographic_position"] == "lowland"]
        known = len(high) > 2 and len(low) > 2 and not part["below_limit"].any()
        gap = float(low["water_potential_mpa"].mean() - high["water_potential_mpa"].mean()) if known else math.nan
        half = (
            2.1 * math.sqrt(high["water_potential_mpa"].var() / len(high) + low["water_potential_mpa"].var() / len(low))
            if known
            else math.nan
        )
        rows.append(
            dict(zip(["program", "semester", "year", "season", "group_or_taxon", "sampling_window"], key, strict=True))
            | {"kind": "lowland_minus_upland", "within": "functional_group", "side_a": "lowland", "side_b": "upland"}
            | {"n_plants_a": len(low), "n_leaves_a": int(low["n_leaves"].sum()), "mean_a_mpa": float(low["water_potential_mpa"].mean())}
            | {"n_plants_b": len(high), "n_leaves_b": int(high["n_leaves"].sum()), "mean_b_mpa": float(high["water_potential_mpa"].mean())}
            | {"difference_mpa": gap, "ci_low_mpa": gap - half, "ci_high_mpa": gap + half}
            | {"reason": None if known else "Fewer than three plants on one side, or bounds."}
            | {"sentence": told(key, (len(low), len(high)), int(part["n_leaves"].sum()), gap, half)}
        )
    return pd.DataFrame(rows)


def more_contrasts(plants: pd.DataFrame) -> pd.DataFrame:
    """Site against site within a group, and groups against their own history, beside lowland minus upland."""
    own = contrasts(plants).assign(n_bounds_a=0, n_bounds_b=0, n_tests=5, hedges_g=1.2, p_holm=0.04)
    sites = own.assign(kind="between_sites", side_a="swale", side_b="crest", n_tests=12)
    across = own.assign(kind="across_groups", side_a="crest", side_b="own history", difference_mpa=math.nan, n_tests=None)
    across = across.assign(ci_low_mpa=math.nan, ci_high_mpa=math.nan, own_history_percentile=75.0, n_history_semesters=6)
    return pd.concat([own, sites, across], ignore_index=True)


def rain_lines() -> pd.DataFrame:
    """A straight line of each group and position over each predictor; trees have none."""
    rows = []
    for predictor, high, slope in (
        ("days_since_rain", 20.0, -0.03),
        ("antecedent_index_mm", 60.0, 0.02),
        ("modelled_relative_water", 1.0, 0.8),
    ):
        for group in MIDDAY:
            for position in ("upland", "slope", "lowland"):
                known = group != "tree"
                said = f"{group} {position}: a line on {predictor}." if known else "Dates with readings: 2; needed: 5."
                line = {"predictor_low": 0.0, "predictor_high": high, "predictor_middle": high / 2, "middle_mpa": -1.2, "slope": slope}
                rows.append(
                    {"functional_group": group, "topographic_position": position, "predictor": predictor, "sampling_window": "midday"}
                    | {"taxon": "all", "n_dates": 8, "slope_ci_low": slope - 0.01, "slope_ci_high": slope + 0.01, "sentence": said}
                    | (line if known else dict.fromkeys(line))
                )
    return pd.DataFrame(rows)


def pairs_and_lines() -> tuple[pd.DataFrame, pd.DataFrame]:
    """Predawn and midday of shrubs, ten plants on the crest, and their line."""
    pairs = [
        {"functional_group": "shrub", "topographic_position": "upland", "site": "crest", "taxon": "rhugla", "common_name": "sumac"}
        | {"semester": "2022-fall", "date": dt.date(2022, 9, 20 + n % 2), "predawn_mpa": -0.1 - 0.15 * n, "predawn_below_limit": False}
        | {"midday_mpa": -0.9 - 0.08 * n, "midday_below_limit": n == 9}
        for n in range(10)
    ]
    line = {"functional_group": "shrub", "topographic_position": "upland", "taxon": "all", "n_dates": 2, "slope": 0.5, "slope_ci_low": 0.3}
    line |= {"slope_ci_high": 0.7, "intercept_mpa": -0.85, "sentence": "Shrubs on the upland: midday follows half of predawn."}
    return pd.DataFrame(pairs), pd.DataFrame([line])
