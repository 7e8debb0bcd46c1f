"""What each role may see: the tables and columns that its published file holds. What is not named here is not in the file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from ingest.contract import REGISTERS

Role = Literal["instructor", "student", "reviewer"]
ROLES: tuple[Role, ...] = get_args(Role)


@dataclass(frozen=True)
class Share:
    """One table of a role: the order of its rows ('' where the model sorts them), and its columns, None for all of them."""

    order: str
    columns: tuple[str, ...] | None = None


_RAIN = tuple(name for days in (1, 3, 7, 14, 30, 60, 90) for name in (f"rain_{days}d_mm", f"rain_{days}d_missing_days"))
_OBSERVATIONS_OF_STUDENTS = (
    *("observation_id", "program", "upload_id", "source_sheet", "source_row", "source_cell", "semester", "year", "season", "section"),
    *("date", "day_of_year", "time_cut", "time_read", "sampling_window", "site", "site_name", "topographic_position", "taxon"),
    *("scientific_name", "common_name", "functional_group", "growth_form", "plant", "plant_key", "leaf", "chamber"),
    *("reading_as_written", "unit_as_written", "balance_pressure_mpa", "water_potential_mpa", "endpoint", "below_limit"),
    *("leaf_state", "flags", "usable", "gauge", "rain_window_end", "rain_own_day", *_RAIN),
    *("days_since_rain", "days_since_rain_at_least", "antecedent_index_mm", "percent_of_normal", "spi_1", "spi_3"),
    "modelled_relative_water",
)
_FOR_CLASS = {
    "plant_values": Share(""),
    "stress_index": Share(""),
    "field_days": Share("program, semester, sampling_window, site, taxon, date"),
    "site_season": Share("program, year, semester, site, functional_group, sampling_window"),
    "taxon_season": Share("program, year, semester, site, taxon, sampling_window"),
    "fair_contrasts": Share("program, year, semester, kind, within, group_or_taxon, sampling_window, side_a, side_b"),
    "variance_components": Share("program, functional_group, sampling_window"),
    "rain_response": Share("program, functional_group, taxon, topographic_position, sampling_window, predictor"),
    "predawn_midday_pairs": Share(""),
    "hydroscape": Share("program, functional_group, taxon, topographic_position"),
    "rain_days": Share("program, gauge, date"),
    "rain_months": Share("program, gauge, month_start"),
    "rain_indices": Share("program, gauge, length_months, month_start"),
    "dry_spells": Share("program, gauge, semester"),
    "soil_days": Share("program, site, date"),
    "soil_seasons": Share("program, site, semester"),
    "semesters": Share("start_date"),
    "sites": Share("site"),
    "taxa": Share("taxon"),
    "chambers": Share("chamber"),
    "gauges": Share("gauge"),
    "sections": Share("semester, section"),
}

# The reviewer's summaries come from warehouse.reviewed and warehouse.reviewed_learning, which hide small cells.
SHARES: Mapping[Role, Mapping[str, Share]] = {
    "instructor": {
        "observations": Share(""),
        **_FOR_CLASS,
        "cohort_quality": Share("program, semester, section"),
        "observer_agreement": Share("program, year, semester, section, sampling_window"),
        "learning_gains": Share("program, year, semester, instrument"),
        "learning_outcomes": Share("program, year, semester, outcome, evidence"),
        "learning_items": Share("program, year, semester, instrument, phase DESC, item"),
        "assessment_scores": Share("upload_id, row_number"),
        "rubric_levels": Share("upload_id, row_number"),
        "outcomes": Share("outcome"),
        "set_aside": Share("upload_id, row_number"),
        "uploads": Share("sequence"),
        "problems": Share("upload_id, sheet, row"),
    },
    "student": {"observations": Share("", _OBSERVATIONS_OF_STUDENTS), **_FOR_CLASS},
    "reviewer": {
        "rain_months": _FOR_CLASS["rain_months"],
        "semesters": _FOR_CLASS["semesters"],
        "sites": Share("site", ("site", "site_name", "topographic_position")),
    },
}
# Tables that are published as the build received them, without a model.
RECEIVED = ("uploads", "problems", *REGISTERS)
