"""A home with a million readings or ten: python -m tests.benchmarks.many_readings DEMO_HOME NEW_HOME MILLIONS.

The demo's ten years are laid end to end seven times back in time and each of its sections many times beside itself, in DuckDB, with the
schema, the order and the block size of what is published. So there are 133 semesters; in each, every section has its 140 readings as
in the demo, and of sections there are some 50 at one million (a class view of all of them at midday: some 4,000 leaves) and some 500 at ten
(a network of schools). Plants are moved by a hash of theirs, so that no two copies are alike; summaries are laid back in time only.
"""

from __future__ import annotations

import json
import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import duckdb

from ingest.digests import of_file
from ingest.home import Home
from warehouse.published import POINTER, open_published
from warehouse.roles import SHARES

if TYPE_CHECKING:
    from collections.abc import Iterator

DECADES = 7
DAYS_APART = 10
"""Copies of a section go out on ten days, one after the other."""

LARGE = ("observations", "plant_values", "stress_index", "predawn_midday_pairs", "cohort_quality", "observer_agreement", "sections")
"""Tables that hold rows of each section; all others with a semester, date or month are laid back in time alone."""

_NOISE = "(hash(plant_key, decade, copy) % 4001 / 10000.0 - 0.2)"
_POTENTIALS = ("water_potential_mpa", "predawn_mpa", "midday_mpa")
_FIELD_DAYS = """
create table many.field_days as
select program, semester, date, site, taxon, sampling_window, any_value(p.site_name) as site_name,
       any_value(p.topographic_position) as topographic_position, any_value(p.scientific_name) as scientific_name,
       any_value(p.functional_group) as functional_group, any_value(p.gauge) as gauge,
       any_value(p.antecedent_index_mm) as antecedent_index_mm, any_value(p.modelled_relative_water) as modelled_relative_water,
       any_value(r.days_since_rain) as days_since_rain, any_value(r.n_readings) as n_readings, count(*) as n_plants,
       avg(p.water_potential_mpa) as water_potential_mpa, bool_or(p.below_limit) as below_limit
from many.plant_values p
join (
    select program, semester, date, site, taxon, sampling_window, any_value(days_since_rain) as days_since_rain, count(*) as n_readings
    from many.observations where usable group by all
) r using (program, semester, date, site, taxon, sampling_window)
group by program, semester, date, site, taxon, sampling_window order by {order}
"""
"""As the model has it, of the copies together."""

_ORDER = {
    "observations": "program, date, site, taxon, sampling_window, observation_id",
    "plant_values": "program, semester, site, taxon, date, sampling_window, plant_key",
    "stress_index": "program, semester, site, taxon, date, sampling_window, plant_key",
    "predawn_midday_pairs": "program, date, site, taxon, plant_key",
}


def make(demo: Home, home: Home, millions: int) -> int:
    """Publish the multiplied demo for the instructor in a home; returns the readings that it holds."""
    shutil.copytree(demo.root, home.root, ignore=shutil.ignore_patterns("published", "modelled", "received", "checked"), dirs_exist_ok=True)
    home.published.mkdir(exist_ok=True)
    build = f"many{millions}"
    path = home.published / f"instructor-{build}.duckdb"
    with duckdb.connect() as connection:
        with open_published(demo, "instructor").cursor() as cursor:
            (origin,) = cursor.execute("select path from duckdb_databases() where not internal").fetchone() or ("",)
            (n_demo,) = cursor.execute("select count(*) from observations").fetchone() or (0,)
        connection.execute(f"attach '{origin}' as demo (read_only)")
        connection.execute(f"attach '{path}' as many (block_size 16384, recovery_mode no_wal_writes)")
        copies = round(millions * 1e6 / n_demo / DECADES)
        for table in (*SHARES["instructor"], "build_info", "codebook"):
            for statement in _statements(connection, table, copies):
                connection.execute(statement)
        connection.execute("update many.build_info set build_id = ?", [build])
        connection.execute("checkpoint many")
        (n_made,) = connection.execute("select count(*) from many.observations").fetchone() or (0,)
    entry = {"file": path.name, "sha256": of_file(path), "bytes": path.stat().st_size}
    pointer = {"build_id": build, "built_at": "2026-01-01T00:00:00Z", "files": {"instructor": entry}}
    (home.published / POINTER).write_text(json.dumps(pointer), "utf-8")
    return int(n_made)


def _statements(connection: duckdb.DuckDBPyConnection, table: str, copies: int) -> Iterator[str]:
    """SQL that makes one table: empty, then decade by decade from the earliest, each in the published order."""
    found = connection.execute("select column_name from duckdb_columns() where database_name = 'demo' and table_name = ?", [table])
    columns = {name for (name,) in found.fetchall()}
    if table == "field_days":
        yield _FIELD_DAYS.format(order=SHARES["instructor"][table].order)
        return
    when = columns & {"semester", "date", "month_start", "start_date"}
    yield f"create table many.{table} as from demo.{table}" + (" limit 0" if when else "")
    if not when:
        return
    is_large = table in LARGE
    changed = ", ".join(f"{value} as {name}" for name, value in _changed(is_large).items() if name in columns)
    order = _ORDER.get(table, SHARES["instructor"][table].order)
    # A gauge's record is longer than the decade of readings: what is laid back are its first ten years, so that no day is there twice.
    day = "month_start" if "month_start" in columns else "date"
    is_of_days = not is_large and day in columns and "semester" not in columns
    for decade in reversed(range(DECADES)):
        copied = f"demo.{table} t, (select {decade} as decade) d, range({copies if is_large else 1}) c (copy)"
        sorted_so = f" order by {order}" if order else ""
        once = f" where decade = 0 or {day} < (select min({day}) from demo.{table}) + to_years(10)" if is_of_days else ""  # noqa: S608  # names are our own
        yield f"insert into many.{table} select t.* replace ({changed}) from {copied}{once}{sorted_so}"  # noqa: S608  # names are our own


def _changed(is_large: bool) -> dict[str, str]:
    """The columns that differ between the copies, and how."""
    semester = "((left(semester, 4)::int - 10 * decade) || substr(semester, 5))"
    copy = "case when decade + copy > 0 then '-' || decade || '-' || copy else '' end"
    days = f"to_days((copy % {DAYS_APART})::int)" if is_large else "to_days(0)"
    texts = {name: f"{name} || {copy}" for name in ("observation_id", "upload_id")}
    moved = {name: f"least({name} + {_NOISE}, -0.05)" for name in _POTENTIALS}
    return {
        **texts,
        **(moved if is_large else {}),
        "plant_key": f"replace(plant_key, semester || '/' || section, {semester} || '/' || section || copy)",
        "section": "section || case when copy > 0 then copy::varchar else '' end",
        "semester": semester,
        "year": "year - 10 * decade",
        "date": f"(date - to_years((10 * decade)::int) + {days})::date",
        **{name: f"({name} - to_years((10 * decade)::int))::date" for name in ("month_start", "start_date", "end_date")},
    }


if __name__ == "__main__":
    print(make(Home(Path(sys.argv[1])), Home(Path(sys.argv[2])), int(sys.argv[3])), "readings")  # noqa: T201  # a tool's answer
