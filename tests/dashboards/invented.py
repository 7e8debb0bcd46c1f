"""A home with an invented class, published as the warehouse publishes: a small file per role and build."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Sequence
from pathlib import Path

import duckdb
import pandas as pd

from tests.dashboards.invented_class import SEMESTERS, SITES, TAXA, day_of, field_days, plant_values, readings
from tests.dashboards.invented_estimates import more_contrasts, pairs_and_lines, rain_lines, summaries
from tests.dashboards.invented_learning import learning
from tests.dashboards.invented_records import codebook, cohorts, rain_months, receipts, soil


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
        counts = ["n_rows", "n_accepted", "n_flagged", "n_set_aside", "n_usable", "n_doubtful_endpoint", "n_late", "n_observers"]
        quality = cohorts(semesters).groupby(["program", "semester"], as_index=False)[counts].sum().assign(is_suppressed=False)
        return shared | {
            "site_season": reviewed(shared["site_season"]),
            "cohort_quality": quality,
            "sites": registers.drop(columns="gauge"),
        }
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


def reviewed(seasons: pd.DataFrame) -> pd.DataFrame:
    """Summaries as a reviewer gets them: those of fewer than eight plants without their numbers."""
    numbers = ["n_plants", "n_leaves", "n_plants_below_limit", "mean_mpa", "ci_low_mpa", "ci_high_mpa", "median_mpa", "median_is_bound"]
    numbers += ["method", "estimate_mpa", "estimate_is_bound", "estimate_ci_low_mpa", "estimate_ci_high_mpa"]
    numbers += ["percentile", "index_is_bound"]
    hidden = seasons.assign(is_suppressed=seasons["n_plants"] < 8)
    hidden[numbers] = hidden[numbers].astype(object).where(~hidden["is_suppressed"])
    return hidden.convert_dtypes()


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
