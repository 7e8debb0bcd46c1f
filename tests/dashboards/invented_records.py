"""What an invented home keeps beside the readings: rain, soil water, uploads with their problems, the quality of cohorts, the codebook."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence

import pandas as pd

from tests.dashboards.invented_class import day_of, dryness
from tests.dashboards.invented_learning import SCRIPT


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


def codebook() -> pd.DataFrame:
    """The descriptions of one table and two columns, one of them hostile."""
    described = {"": "One row per reading.", "site": f"Where it was read. {SCRIPT}", "water_potential_mpa": "Water potential, MPa."}
    return pd.DataFrame([{"table_name": "observations", "column_name": name, "description": text} for name, text in described.items()])
