"""An invented class in the field: its ground, plants and semesters, and what it read, leaf by leaf and plant by plant."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from tests.dashboards.invented_learning import SCRIPT

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
MIDDAY = {"c4_grass": -1.6, "c3_grass": -1.7, "forb": -1.3, "shrub": -1.9, "tree": -1.8}


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
                    base = MIDDAY[group] - 0.9 * dryness(semester)
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
