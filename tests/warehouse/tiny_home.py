"""Makes small homes for the tests: registers, checked Parquet files and a ledger that agrees with them, all invented."""

from __future__ import annotations

import csv
import datetime as dt
import hashlib
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from ingest.contract import contract
from ingest.home import Home, init_home
from ingest.received.ledger import Received
from tests.parsed import with_parse_cache
from warehouse.inputs import CHECKED, PROBLEMS
from warehouse.parquet import write_parquet

PROGRAM = "tiny"
Row = Mapping[str, Any]

REGISTERS = {
    "sites": """site,site_name,topographic_position,aliases,latitude_deg,longitude_deg,elevation_m,soil_depth_m,gauge
ridge,Ridge,upland,,39.1,-96.6,440,0.3,gauge-a
bottom,Bottom,lowland,,39.1,-96.6,340,1.5,gauge-a
""",
    "taxa": """taxon,scientific_name,common_names,aliases,functional_group
andger,Andropogon gerardii,big bluestem;turkey foot,,c4_grass
corndru,Cornus drummondii,roughleaf dogwood,,shrub
""",
    "chambers": "chamber,aliases,gauge_unit,resolution,maximum_pressure\nc1,,bar,0.5,40\n",
    "gauges": "gauge,gauge_name,aliases,latitude_deg,longitude_deg,elevation_m,day_ends\ngauge-a,Gauge A,,39.1,-96.6,400,07:00\n",
    "semesters": "semester,start_date,end_date\n"
    + "".join(f"{year}-fall,{year}-08-20,{year}-12-15\n{year}-spring,{year}-01-15,{year}-05-15\n" for year in range(2010, 2026)),
    "sections": "semester,section,aliases\n"
    + "".join(f"{year}-{season},{letter},\n" for year in range(2010, 2026) for season in ("fall", "spring") for letter in "ab"),
}

_OF_A_CLASS: Row = {
    "program": PROGRAM,
    "source_sheet": "Sheet1",
    "status": "accepted",
    "flags": "",
    "reasons": "",
    "is_structural": False,
    "semester": "2024-fall",
    "section": "a",
}

_READING: Row = {
    **_OF_A_CLASS,
    "date": dt.date(2024, 9, 10),
    "time_read": "13:05",
    "sampling_window": "midday",
    "site": "ridge",
    "taxon": "andger",
    "plant": "1",
    "leaf": "1",
    "observer": "obs_0123456789ab",
    "chamber": "c1",
    "unit_as_written": "bar",
    "quantity": "pressure",
    "endpoint": "seen",
    "below_limit": False,
    "leaf_state": "green",
    "usable": True,
    "values_as_written": "{}",
}


def reading(mpa: float | None = -1.0, **changes: Any) -> dict[str, Any]:
    """One reading with this water potential, MPa; `bound=True` makes it a reading that never reached its endpoint."""
    bound = bool(changes.pop("bound", False))
    row = {**_READING, "water_potential_mpa": mpa, "balance_pressure_mpa": None if mpa is None else -mpa}
    row["reading_as_written"] = None if mpa is None else f"{-mpa * 10:g}"
    if bound:
        row.update(below_limit=True, endpoint="not_reached", status="flagged", flags="endpoint_not_reached")
    return {**row, **changes}


def rain(amounts: Mapping[dt.date, float | None], gauge: str = "gauge-a", element: str = "PRCP", **changes: Any) -> list[dict[str, Any]]:
    """Daily entries, mm; a day that maps to None is left out, as a record leaves out a missing day."""
    base = {"program": PROGRAM, "status": "accepted", "flags": "", "reasons": "", "is_structural": False, "is_trace": False}
    rows = [{**base, "gauge": gauge, "date": day, "element": element, "amount_mm": mm} for day, mm in amounts.items() if mm is not None]
    return [{**row, **changes} for row in rows]


def tiny_home(root: Path) -> Home:
    """A home with registers and nothing received."""
    home = with_parse_cache(init_home(root, code=PROGRAM, name="Tiny lab", timezone="America/Chicago"))
    for name, text in REGISTERS.items():
        (home.registers / f"{name}.csv").write_text(text, "utf-8")
    return home


def receive(home: Home, upload_id: str, kind: str, rows: Iterable[Row], **facts: Any) -> None:
    """Write one checked file and record it in the ledger with the counts of its rows."""
    numbered = [{**row, "upload_id": upload_id, "row_number": n, "source_row": n + 1} for n, row in enumerate(rows, start=1)]
    write_parquet(home.checked / kind / f"{upload_id}.parquet", CHECKED[kind], numbered)
    write_parquet(home.checked / "problems" / f"{upload_id}.parquet", PROBLEMS, [])
    counts = {status: sum(row["status"] == status for row in numbered) for status in ("accepted", "flagged", "set_aside")}
    days = [row["date"] for row in numbered if row.get("date")]
    semesters = ";".join(sorted({row["semester"] for row in numbered if row.get("semester")}))
    sections = ";".join(sorted({f"{row['semester']}/{row['section']}" for row in numbered if row.get("semester")}))
    known = {
        "program": PROGRAM,
        "kind": kind,
        "file_name": f"{upload_id}.csv",
        "original_name": f"{upload_id}.csv",
        "sha256": hashlib.sha256(upload_id.encode()).hexdigest(),
        "rows_in_file": len(numbered),
        **{f"rows_{status}": count for status, count in counts.items()},
        "semesters": semesters,
        "sections": sections,
        "date_first": min(days, default=None),
        "date_last": max(days, default=None),
    }
    Received(home).record("accepted", upload_id, {**known, **facts})


def days_from(first: dt.date, amounts: Iterable[float | None]) -> dict[dt.date, float | None]:
    """Consecutive days and their rain, mm."""
    return {first + dt.timedelta(days=n): mm for n, mm in enumerate(amounts)}


_LEARNING: Row = {**_OF_A_CLASS, "usable": True}


def scores(phase: str, of_students: Mapping[str, Sequence[float | None]], **changes: Any) -> list[dict[str, Any]]:
    """Points of each student on items q1, q2 and so on, of one point each unless `max_score` says otherwise; None: absent there."""
    base = {**_LEARNING, "instrument": "quiz", "phase": phase, "max_score": 1.0, **changes}
    return [
        {**base, "student": student, "item": f"q{n}", "score": score, "is_absent": score is None}
        for student, points in of_students.items()
        for n, score in enumerate(points, start=1)
    ]


def levels(outcome: str, of_students: Mapping[str, float | None], **changes: Any) -> list[dict[str, Any]]:
    """The rubric level of each student on one outcome; None: not scored."""
    base = {**_LEARNING, "outcome": outcome, **changes}
    return [{**base, "student": student, "level": level, "is_unscored": level is None} for student, level in of_students.items()]


def write_outcomes(home: Home, rows: Iterable[Row]) -> None:
    """The register of outcomes, with these values and otherwise blank cells."""
    with (home.registers / "outcomes.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(contract()["outcomes"].columns))
        writer.writeheader()
        writer.writerows(rows)
