"""The reviewer's two summaries: site_season and cohort_quality with small cells hidden.

A hidden row stays, with `is_suppressed` true and nothing but its key, so that nobody takes it for a gap in the data.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from warehouse.suppress import hidden_by_group, hidden_cells, is_small

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection

_SITE_KEY = ("program", "semester", "site", "functional_group", "sampling_window")
_SITE_PLACE = ("year", "season", "site_name", "topographic_position")
_SITE_SHOWN = (
    *("n_leaves", "n_plants", "n_plants_below_limit", "leaves_stand_for_plants", "method", "estimate_mpa", "estimate_is_bound"),
    *("estimate_ci_low_mpa", "estimate_ci_high_mpa", "mean_mpa", "sd_mpa", "se_mpa", "ci_low_mpa", "ci_high_mpa", "median_mpa"),
    *("median_is_bound", "q25_mpa", "q75_mpa", "mle_normal_mean_mpa", "mle_normal_sd_mpa", "mle_normal_ci_low_mpa"),
    *("mle_normal_ci_high_mpa", "mle_lognormal_mean_mpa", "mle_lognormal_ci_low_mpa", "mle_lognormal_ci_high_mpa"),
    *("mle_lognormal_median_mpa", "reason_code", "n_history_semesters", "history_semesters", "history_basis", "rain_30d_mm"),
    *("season_rain_mm", "antecedent_index_mm"),
)
# The extremes (and where a restricted mean ends) are single plants, and n_below_limit counts single readings: a reviewer gets
# none of them, nor the sentence of a summary by rank, which may list single plants. Pooled columns mix in other sites.
_AGAINST_HISTORY = ("anomaly_mpa", "percentile", "z", "robust_z", "index_is_bound", "history_mean_mpa", "history_sd_mpa")
_PARTS = ("n_accepted", "n_flagged", "n_set_aside")
# n_below_limit is left out: the plants below the limit in site_season would tell of a count that is hidden here.
_COUNTS = ("n_usable", "n_doubtful_endpoint", "n_senesced", "n_late")
_HIDDEN = "too few readings: hidden"


def site_season(connection: DuckDBPyConnection, target: str, threshold: int) -> None:
    """Create the reviewer's site_season in the catalog `target` from that of the catalog `modelled`.

    A cell counts its leaves. An anomaly or percentile is left out too where its history holds a hidden row: mean minus
    anomaly is the mean of that history.
    """
    rows = connection.execute(f"SELECT {', '.join(_SITE_KEY)}, n_leaves FROM modelled.site_season").fetchall()  # noqa: S608  # names are our own
    cells = {tuple(row[:-1]): int(row[-1]) for row in rows}
    hidden = hidden_by_group(cells, threshold)
    verdicts = [(*key, key in hidden, _follows_hidden(key, hidden)) for key in cells]
    kinds = {**dict.fromkeys(_SITE_KEY, "VARCHAR"), "is_suppressed": "BOOLEAN", "follows_hidden": "BOOLEAN"}
    keep_rows(connection, "verdicts", kinds, verdicts)
    columns = [f"s.{name}" for name in (*_SITE_KEY, *_SITE_PLACE)]
    columns.append("v.is_suppressed")
    columns += [f"CASE WHEN NOT v.is_suppressed THEN s.{name} END AS {name}" for name in _SITE_SHOWN]
    columns.append(f"CASE WHEN v.is_suppressed THEN '{_HIDDEN}' ELSE s.reason END AS reason")
    columns.append(f"CASE WHEN v.is_suppressed THEN '{_HIDDEN}' WHEN s.method = 'rank' THEN s.reason ELSE s.sentence END AS sentence")
    columns += [f"CASE WHEN NOT v.is_suppressed AND NOT v.follows_hidden THEN s.{name} END AS {name}" for name in _AGAINST_HISTORY]
    connection.execute(
        f"CREATE TABLE {target}.site_season AS SELECT {', '.join(columns)} FROM modelled.site_season s "  # noqa: S608  # names are our own
        f"JOIN verdicts v USING ({', '.join(_SITE_KEY)}) "
        "ORDER BY s.program, s.year, s.semester, s.site, s.functional_group, s.sampling_window"
    )


def _follows_hidden(key: tuple[str, ...], hidden: set[tuple[str, ...]]) -> bool:
    """Whether an earlier semester of the same season, of the same site, group and window, is hidden."""
    year, season = key[1].split("-")
    return any(
        found[0] == key[0] and found[2:] == key[2:] and found[1].split("-")[1] == season and int(found[1].split("-")[0]) < int(year)
        for found in hidden
    )


def cohort_quality(connection: DuckDBPyConnection, target: str, threshold: int) -> None:
    """Create the reviewer's cohort_quality, one row per program and semester, in the catalog `target`.

    All counts of a semester are hidden where fewer observers than the threshold, but some, took part, or fewer rows were
    written. Accepted, flagged and set aside add up to the rows, so a small one takes another with it, and the usable readings,
    which bound the sum of the first two. Any other small count is hidden by itself. What tells how observers read (agreement, their
    share of variance, digits) is of few persons and stays with the instructor.
    """
    sums = ", ".join(f"SUM({name})::BIGINT AS {name}" for name in ("n_rows", *_PARTS, *_COUNTS))
    connection.execute(
        f"CREATE OR REPLACE TEMP TABLE cohorts AS SELECT program, semester, {sums}, "  # noqa: S608  # names are our own
        "(SELECT COUNT(DISTINCT o.observer) FROM modelled.observations o "
        "WHERE o.program = c.program AND o.semester = c.semester) AS n_observers "
        "FROM modelled.cohort_quality c GROUP BY program, semester"
    )
    names = ("n_rows", *_PARTS, *_COUNTS, "n_observers")
    shown = []
    counted = connection.execute(f"SELECT program, semester, {', '.join(names)} FROM cohorts")  # noqa: S608  # names are our own
    for program, semester, *values in counted.fetchall():
        counts = dict(zip(names, values, strict=True))
        shown.append((program, semester, *_shown_counts(counts, threshold)))
    kinds = {"program": "VARCHAR", "semester": "VARCHAR", "is_suppressed": "BOOLEAN", **dict.fromkeys(names, "BIGINT")}
    keep_rows(connection, "shown", kinds, shown)
    connection.execute(
        f"CREATE TABLE {target}.cohort_quality AS SELECT *, n_set_aside / n_rows AS share_set_aside, "  # noqa: S608  # names are our own
        "n_flagged / n_rows AS share_flagged, n_doubtful_endpoint / nullif(n_accepted + n_flagged, 0) AS share_doubtful_endpoint, "
        "n_late / nullif(n_accepted + n_flagged, 0) AS share_late "
        "FROM shown ORDER BY program, semester"
    )


def _shown_counts(counts: dict[str, int], threshold: int) -> tuple[bool | int | None, ...]:
    """Whether anything is hidden, then each count or None, in the order of `counts`."""
    observers, rows = counts["n_observers"], counts["n_rows"]
    kept: dict[str, int | None] = dict.fromkeys(counts)
    if not is_small(observers, threshold) and not is_small(rows, threshold):
        hidden = hidden_cells({name: counts[name] for name in _PARTS}, threshold)
        if hidden:
            hidden = hidden | {"n_usable"}
        kept = {name: None if name in hidden or is_small(value, threshold) else value for name, value in counts.items()}
    return (any(value is None for value in kept.values()), *kept.values())


def keep_rows(connection: DuckDBPyConnection, table: str, kinds: Mapping[str, str], rows: Sequence[tuple[object, ...]]) -> None:
    """Make a temporary table of these rows, in one statement."""
    lists = [[row[place] for row in rows] for place in range(len(kinds))]
    columns = ", ".join(f"unnest(${place}::{kind}[]) AS {name}" for place, (name, kind) in enumerate(kinds.items(), start=1))
    connection.execute(f"CREATE OR REPLACE TEMP TABLE {table} AS SELECT {columns}", lists)
