"""The reviewer's two summaries: site_season and cohort_quality with small cells hidden.

A hidden row stays, with `is_suppressed` true and nothing but its key, so that nobody takes it for a gap in the data.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from warehouse.suppress import hidden_by_group, hidden_cells, is_small

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection

_SITE_KEY = ("program", "semester", "site", "functional_group", "sampling_window")
_SITE_PLACE = ("year", "season", "site_name", "topographic_position")
_SITE_SHOWN = (
    *("n_leaves", "n_plants", "leaves_stand_for_plants", "mean_mpa", "sd_mpa", "se_mpa", "ci_low_mpa", "ci_high_mpa", "median_mpa"),
    *("median_is_bound", "q25_mpa", "q75_mpa", "method", "n_history_semesters", "history_basis", "rain_30d_mm", "season_rain_mm"),
    "antecedent_index_mm",
)
# The extremes are single plants, and the words of `reason` hold counts: a reviewer gets neither.
_AGAINST_HISTORY = ("anomaly_mpa", "percentile")
_PARTS = ("n_accepted", "n_flagged", "n_set_aside")
_COUNTS = ("n_usable", "n_below_limit", "n_doubtful_endpoint", "n_senesced", "n_late")


def site_season(connection: DuckDBPyConnection, target: str, threshold: int) -> None:
    """Create the reviewer's site_season in the catalog `target` from that of the catalog `modelled`.

    A cell counts its leaves. An anomaly or percentile is left out too where its history holds a hidden row: mean minus
    anomaly is the mean of that history.
    """
    rows = connection.execute(f"SELECT {', '.join(_SITE_KEY)}, n_leaves FROM modelled.site_season").fetchall()
    cells = {tuple(row[:-1]): int(row[-1]) for row in rows}
    _keep(connection, "hidden_sites", _SITE_KEY, hidden_by_group(cells, threshold))
    same = " AND ".join(f"h.{key} = s.{key}" for key in _SITE_KEY)
    history = " AND ".join(f"h.{key} = s.{key}" for key in _SITE_KEY if key != "semester")
    hidden = f"EXISTS (SELECT 1 FROM hidden_sites h WHERE {same})"
    in_history = (
        f"EXISTS (SELECT 1 FROM hidden_sites h WHERE {history} AND split_part(h.semester, '-', 2) = s.season "
        "AND CAST(split_part(h.semester, '-', 1) AS BIGINT) < s.year)"
    )
    columns = [f"s.{name}" for name in (*_SITE_KEY, *_SITE_PLACE)]
    columns.append(f"{hidden} AS is_suppressed")
    columns += [f"CASE WHEN NOT {hidden} THEN s.{name} END AS {name}" for name in _SITE_SHOWN]
    columns += [f"CASE WHEN NOT {hidden} AND NOT {in_history} THEN s.{name} END AS {name}" for name in _AGAINST_HISTORY]
    connection.execute(
        f"CREATE TABLE {target}.site_season AS SELECT {', '.join(columns)} FROM modelled.site_season s "
        f"ORDER BY {', '.join(('s.program', 's.year', *(f's.{key}' for key in _SITE_KEY[1:])))}"
    )


def cohort_quality(connection: DuckDBPyConnection, target: str, threshold: int) -> None:
    """Create the reviewer's cohort_quality, one row per program and semester, in the catalog `target`.

    All counts of a semester are hidden where fewer observers than the threshold, but some, took part, or fewer rows were
    written. Where accepted, flagged or set aside is small, only the number of rows remains. Any other small count is hidden.
    """
    sums = ", ".join(f"SUM({name})::BIGINT AS {name}" for name in ("n_rows", *_PARTS, *_COUNTS))
    connection.execute(
        f"CREATE OR REPLACE TEMP TABLE cohorts AS SELECT program, semester, {sums}, "
        "(SELECT COUNT(DISTINCT o.observer) FROM modelled.observations o "
        "WHERE o.program = c.program AND o.semester = c.semester) AS n_observers "
        "FROM modelled.cohort_quality c GROUP BY program, semester"
    )
    names = ("n_rows", *_PARTS, *_COUNTS, "n_observers")
    shown = []
    for program, semester, *values in connection.execute(f"SELECT program, semester, {', '.join(names)} FROM cohorts").fetchall():
        counts = dict(zip(names, values, strict=True))
        shown.append((program, semester, *_shown_counts(counts, threshold)))
    columns = ", ".join(f"{name} BIGINT" for name in names)
    connection.execute(f"CREATE OR REPLACE TEMP TABLE shown (program VARCHAR, semester VARCHAR, is_suppressed BOOLEAN, {columns})")
    if shown:
        connection.executemany(f"INSERT INTO shown VALUES ({', '.join('?' * (len(names) + 3))})", shown)
    connection.execute(
        f"CREATE TABLE {target}.cohort_quality AS SELECT *, n_set_aside / n_rows AS share_set_aside, "
        "n_flagged / n_rows AS share_flagged, n_doubtful_endpoint / nullif(n_accepted + n_flagged, 0) AS share_doubtful_endpoint "
        "FROM shown ORDER BY program, semester"
    )


def _shown_counts(counts: dict[str, int], threshold: int) -> tuple[bool | int | None, ...]:
    """Whether anything is hidden, then each count or None, in the order of `counts`."""
    observers, rows = counts["n_observers"], counts["n_rows"]
    kept: dict[str, int | None] = dict.fromkeys(counts)
    if not is_small(observers, threshold) and not is_small(rows, threshold):
        kept["n_rows"] = rows
        if not hidden_cells({name: counts[name] for name in _PARTS}, threshold):
            kept.update({name: value for name, value in counts.items() if not is_small(value, threshold)})
    return (any(value is None for value in kept.values()), *kept.values())


def _keep(connection: DuckDBPyConnection, table: str, key: tuple[str, ...], rows: set[tuple[str, ...]]) -> None:
    connection.execute(f"CREATE OR REPLACE TEMP TABLE {table} ({', '.join(f'{name} VARCHAR' for name in key)})")
    if rows:
        connection.executemany(f"INSERT INTO {table} VALUES ({', '.join('?' * len(key))})", sorted(rows))
