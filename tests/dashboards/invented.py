"""Invented classes, published as the warehouse publishes them, for the tests of the dashboard: a small file per role and build."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import duckdb
import numpy as np
import pandas as pd

from tests.dashboards.invented_learning import learning
from warehouse.statistics.contrast_words import contrast_sentence

SCRIPT = "<script>window.stung = 1</script>"
"""A name that would run if a page forgot to escape it."""

SITES = {"crest": ("Crest", "upland"), "bench": (f"Bench {SCRIPT}", "slope"), "swale": ("Swale", "lowland")}
TAXA = {
    "andger": ("Andropogon gerardii", "c4_grass", "herbaceous"),
    "elycan": ("Elymus canadensis", "c3_grass", "herbaceous"),
    "solcan": ("Solidago canadensis", "forb", "herbaceous"),
    "cordru": (f"Cornus drummondii {SCRIPT}", "shrub", "woody"),
    "rhugla": ("Rhus glabra", "shrub", "woody"),
    "quemac": ("Quercus macrocarpa", "tree", "woody"),
}
SEMESTERS = [f"{year}-{season}" for year in range(2019, 2025) for season in ("spring", "fall")]
LIMIT_MPA = -3.79
_TAKEN_BY_UPLAND = {"c4_grass": 0.5, "c3_grass": 0.45, "forb": 0.3, "shrub": 0.6, "tree": 0.05}
_MIDDAY = {"c4_grass": -1.6, "c3_grass": -1.7, "forb": -1.3, "shrub": -1.9, "tree": -1.8}


def day_of(semester: str) -> dt.date:
    """The field day of a semester."""
    year, _, season = semester.partition("-")
    return dt.date(int(year), 9, 24) if season == "fall" else dt.date(int(year), 4, 23)


def dryness(semester: str) -> float:
    """How dry a semester is, 0 to 1; 2022 is a drought."""
    return {"2022": 1.0, "2020": 0.1, "2023": 0.6}.get(semester[:4], 0.35) * (1.0 if semester.endswith("fall") else 0.5)


def readings(semesters: Sequence[str] = SEMESTERS, seed: int = 7) -> pd.DataFrame:
    """Single readings, one row per leaf: two sections, three positions, four plants of three leaves each, predawn for grasses only."""
    draw = np.random.default_rng(seed)
    rows: list[dict[str, Any]] = []
    for semester in semesters:
        for section in ("a", "b"):
            for site, (_, position) in SITES.items():
                for taxon, (_, group, _) in TAXA.items():
                    if (taxon == "rhugla" and position == "lowland") or (group == "tree" and semester == "2021-spring"):
                        continue
                    base = _MIDDAY[group] - 0.9 * dryness(semester)
                    base -= _TAKEN_BY_UPLAND[group] * {"upland": 1.0, "slope": 0.5, "lowland": 0.0}[position] * (0.5 + dryness(semester))
                    for plant in range(1, 4 if group == "tree" else 5):
                        mean = base + draw.normal(0, 0.18)
                        for leaf in range(1, 4):
                            value = round(min(-0.1, mean + draw.normal(0, 0.1)), 2)
                            rows.append(_reading(semester, section, site, taxon, plant, leaf, value))
    return pd.DataFrame(rows)


def _reading(semester: str, section: str, site: str, taxon: str, plant: int, leaf: int, value: float) -> dict[str, Any]:
    name, group, form = TAXA[taxon]
    is_bound = value < LIMIT_MPA
    return {
        "observation_id": f"{semester}{section}{site}{taxon}{plant}{leaf}",
        "program": "invented",
        "upload_id": f"up-{semester}",
        "semester": semester,
        "year": int(semester[:4]),
        "season": semester[5:],
        "section": section,
        "date": day_of(semester),
        "time_read": "12:30",
        "sampling_window": "predawn" if leaf == 1 and group == "c4_grass" and plant == 1 else "midday",
        "site": site,
        "site_name": SITES[site][0],
        "topographic_position": SITES[site][1],
        "taxon": taxon,
        "scientific_name": name,
        "functional_group": group,
        "growth_form": form,
        "source_sheet": "Data",
        "source_row": leaf,
        "source_cell": f"G{leaf}",
        "reading_as_written": f"{-value * 10:.1f}",
        "unit_as_written": "bar",
        "observer": "obs-7",
        "flags": "late" if leaf == 3 and plant == 1 else None,
        "plant": str(plant),
        "plant_key": f"{semester}/{section}/{site}/{taxon}/{plant}",
        "leaf": str(leaf),
        "chamber": "pms1",
        "water_potential_mpa": LIMIT_MPA if is_bound else value,
        "below_limit": is_bound,
        "usable": True,
        "gauge": "ridge",
        "days_since_rain": int(2 + 14 * dryness(semester)),
        "rain_30d_mm": 120.0 * (1 - dryness(semester)),
    }


def plant_values(leaves: pd.DataFrame) -> pd.DataFrame:
    """One row per plant and window."""
    keys = ["program", "semester", "year", "season", "section", "date", "site", "site_name", "topographic_position", "taxon"]
    keys += ["scientific_name", "functional_group", "growth_form", "sampling_window", "plant_key"]
    grouped = leaves.groupby(keys, as_index=False)
    plants = grouped.agg(
        n_leaves=("leaf", "size"), n_below_limit=("below_limit", "sum"), water_potential_mpa=("water_potential_mpa", "mean")
    )
    plants["below_limit"] = plants["n_below_limit"] > 0
    plants["leaf_stands_for_plant"] = False
    dry = plants["semester"].map(dryness)
    plants = plants.assign(gauge="ridge", antecedent_index_mm=60 * (1 - dry), modelled_relative_water=1 - dry)
    return plants


def field_days(leaves: pd.DataFrame, plants: pd.DataFrame) -> pd.DataFrame:
    """One row per date, site, taxon and window."""
    keys = ["program", "semester", "date", "site", "taxon", "sampling_window"]
    same = ["site_name", "topographic_position", "scientific_name", "functional_group", "gauge"]
    same += ["antecedent_index_mm", "modelled_relative_water"]
    days = plants.groupby(keys + same, as_index=False).agg(
        n_plants=("plant_key", "size"), water_potential_mpa=("water_potential_mpa", "mean"), below_limit=("below_limit", "any")
    )
    read = leaves.groupby(keys, as_index=False).agg(n_readings=("leaf", "size"), days_since_rain=("days_since_rain", "first"))
    return days.merge(read, on=keys)


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
        for group in _MIDDAY:
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


def cohorts(semesters: Sequence[str]) -> pd.DataFrame:
    """Two sections of each semester; their doubtful endpoints grow fewer."""
    shares = {"share_set_aside": 0.04, "share_flagged": 0.02, "share_recut": 0.0, "share_late": 0.01}
    return pd.DataFrame(
        [
            {
                "semester": s,
                "section": section,
                "n_rows": 200,
                "n_usable": 190,
                "n_observers": 8,
                "n_late": 2,
                "n_doubtful_endpoint": 20 - i,
            }
            | {"program": "invented", "n_accepted": 180, "n_flagged": 12, "n_set_aside": 8}
            | {"share_doubtful_endpoint": (20 - i) / 200, **shares, "within_plant_sd_mpa": 0.1, "n_plants_repeated": 50}
            | {"observer_share": 0.2, "observer_share_low": 0.0, "observer_share_high": 0.6}
            | {"digit_preferred_share": 0.6, "digit_even_share": 0.5, "sentence": f"Section {section} {SCRIPT}"}
            for i, s in enumerate(semesters)
            for section in "ab"
        ]
    )


def rain_months() -> pd.DataFrame:
    """Monthly rain of one gauge, with one month that lacks days and a dry 2022."""
    rows = []
    for year in range(2018, 2025):
        for month in range(1, 13):
            wet = 40 + 60 * math.sin(math.pi * (month - 1) / 11) - (45 if year == 2022 and month > 5 else 0)
            missing = year == 2021 and month == 2
            spi = -1.6 if year == 2022 and month > 7 else 0.2
            rows.append(
                {"program": "invented", "gauge": "ridge", "year": year, "month": month, "month_start": dt.date(year, month, 1)}
                | {"rain_mm": None if missing else max(wet, 3.0), "n_missing": 3 if missing else 0, "percent_of_normal": 90.0, "spi_3": spi}
                | {"spi_3_basis": "provisional" if year < 2020 else "firm", "normal_mm": 70.0}
            )
    return pd.DataFrame(rows)


def tables(role: str, semesters: Sequence[str] = SEMESTERS) -> dict[str, pd.DataFrame]:
    """Every table that the dashboard asks of a role's file."""
    leaves = readings(semesters)
    plants = plant_values(leaves)
    registers = pd.DataFrame(
        [{"site": site, "site_name": name, "topographic_position": p, "gauge": "ridge"} for site, (name, p) in SITES.items()]
    )
    registers = registers.assign(elevation_m=[52.0, 45.0, 14.0], soil_depth_m=[0.3, None, 1.2], soil_texture=["sandy_loam", None, "loam"])
    terms = pd.DataFrame(
        [{"semester": s, "start_date": day_of(s) - dt.timedelta(30), "end_date": day_of(s) + dt.timedelta(60)} for s in semesters]
    )
    build = pd.DataFrame([{"build_id": "b", "program": "invented", "program_name": "Invented field lab", "role": role}])
    build = build.assign(built_at="2024-12-01T00:00:00Z", timezone="UTC", suppression_threshold=10)
    shared = {"site_season": summaries(plants, taxon=False), "rain_months": rain_months(), "semesters": terms, "build_info": build}
    if role != "student":
        shared |= learning(role)
    if role == "reviewer":
        hidden = shared["site_season"]
        hidden["is_suppressed"] = hidden["n_plants"] < 8
        numbers = ["n_plants", "n_leaves", "n_plants_below_limit", "mean_mpa", "ci_low_mpa", "ci_high_mpa", "median_mpa", "median_is_bound"]
        numbers += [
            "method",
            "estimate_mpa",
            "estimate_is_bound",
            "estimate_ci_low_mpa",
            "estimate_ci_high_mpa",
            "percentile",
            "index_is_bound",
        ]
        hidden[numbers] = hidden[numbers].astype(object).where(~hidden["is_suppressed"])
        counts = ["n_rows", "n_accepted", "n_flagged", "n_set_aside", "n_usable", "n_doubtful_endpoint", "n_late", "n_observers"]
        quality = cohorts(semesters).groupby(["program", "semester"], as_index=False)[counts].sum().assign(is_suppressed=False)
        return shared | {"site_season": hidden.convert_dtypes(), "cohort_quality": quality, "sites": registers.drop(columns="gauge")}
    chambers = pd.DataFrame([{"chamber": "pms1", "gauge_unit": "psi", "resolution": 10.0, "maximum_pressure": 550.0}])
    shared |= {"observations": leaves, "plant_values": plants, "field_days": field_days(leaves, plants)}
    shared |= {"taxon_season": summaries(plants, taxon=True), "sites": registers}
    shared |= {"fair_contrasts": more_contrasts(plants), "chambers": chambers, "gauges": pd.DataFrame([{"gauge": "ridge"}])}
    pairs, lines = pairs_and_lines()
    shared["taxa"] = pd.DataFrame(
        [{"taxon": t, "scientific_name": name, "functional_group": group} for t, (name, group, _) in TAXA.items()]
    )
    shared |= {"rain_response": rain_lines(), "predawn_midday_pairs": pairs, "hydroscape": lines, "codebook": codebook()}
    shared |= soil(terms)
    if role == "student":
        shared["observations"] = leaves.drop(columns="observer")
    return shared | (receipts(semesters) | {"cohort_quality": cohorts(semesters)} if role == "instructor" else {})


def soil(terms: pd.DataFrame) -> dict[str, pd.DataFrame]:
    """Modelled soil water of two sites through each semester, unknown for the first ten days of it; the bench has none."""
    days, seasons = [], []
    for semester, start, end in terms.itertuples(index=False):
        for site, depth in (("crest", 0.5), ("swale", 1.0)):
            water = 1 - dryness(semester) * (1.0 if depth < 1 else 0.5)
            for n in range((end - start).days + 1):
                known = {"relative_extractable_water": water if n >= 10 else None, "reason": None if n >= 10 else "A day has no rain data."}
                days.append({"site": site, "date": start + dt.timedelta(n), **known})
            seasons.append({"site": site, "semester": semester, "relative_water_at_field": water, "reason": None})
    return {"soil_days": pd.DataFrame(days), "soil_seasons": pd.DataFrame(seasons)}


def codebook() -> pd.DataFrame:
    """The descriptions of one table and two columns, one of them hostile."""
    described = {"": "One row per reading.", "site": f"Where it was read. {SCRIPT}", "water_potential_mpa": "Water potential, MPa."}
    return pd.DataFrame([{"table_name": "observations", "column_name": name, "description": text} for name, text in described.items()])


def receipts(semesters: Sequence[str]) -> dict[str, pd.DataFrame]:
    """Uploads whose rows add up, a problem with a hostile value, and a row set aside."""
    uploads = pd.DataFrame(
        [
            {
                "upload_id": f"up-{s}",
                "kind": "readings",
                "file_name": f"{s} class.xlsx",
                "received_at": "2024-10-01T10:00:00Z",
                "status": "active",
            }
            | {
                "status": "active",
                "semesters": s,
                "rows_in_file": 430,
                "rows_accepted": 405,
                "rows_flagged": 7,
                "rows_set_aside": 18,
                "sequence": i,
            }
            for i, s in enumerate(semesters)
        ]
    )
    last = f"up-{semesters[-1]}"
    problem = {"upload_id": last, "sheet": "Data", "row": 14, "column": "Species", "value": SCRIPT, "code": "taxon_unknown"}
    problem |= {"severity": "set_aside", "message": "This name is in no register.", "suggestion": "Add it to taxa.csv.", "count": 1}
    aside = {"upload_id": last, "source_sheet": "Data", "source_row": 14, "reasons": "taxon_unknown;unit_missing", "section": "a"}
    aside |= {
        "date": day_of(semesters[-1]),
        "site": "crest",
        "taxon": None,
        "reading_as_written": "12",
        "unit_as_written": None,
        "remark": SCRIPT,
    }
    return {"uploads": uploads, "problems": pd.DataFrame([problem]), "set_aside": pd.DataFrame([aside]).assign(unit_as_written="")}


def publish(home: Path, build_id: str, roles: Sequence[str] = ("instructor",), semesters: Sequence[str] = SEMESTERS) -> None:
    """Write the files of a build and point to it with one rename, as the warehouse does."""
    folder = home / "published"
    folder.mkdir(parents=True, exist_ok=True)
    files = {}
    for role in roles:
        path = folder / f"{role}-{build_id}.duckdb"
        with duckdb.connect(str(path)) as connection:
            for name, frame in tables(role, semesters).items():
                connection.register("frame", frame)
                connection.execute(f"create table {name} as select * from frame")  # noqa: S608  (names from the lines above)
                connection.unregister("frame")
        files[role] = {"file": path.name, "sha256": hashlib.sha256(path.read_bytes()).hexdigest()}
    pointer = folder / "pointer.tmp"
    pointer.write_text(json.dumps({"build_id": build_id, "built_at": "2024-12-01T00:00:00Z", "files": files}), "utf-8")
    pointer.replace(folder / "current.json")
