"""Every question that the dashboard asks of a published file, in one place: constant SQL, bound parameters, read only."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Protocol

from dashboards.choices import Choices
from dashboards.words import is_missing

if TYPE_CHECKING:
    import pandas as pd
    from duckdb import DuckDBPyConnection

    from warehouse.asking import Found


class Published(Protocol):
    """One published file: what it was built as, and how to ask it."""

    @property
    def build_id(self) -> str:
        """Name of the build."""
        ...

    def query(self, sql: str, params: Sequence[object] = ()) -> pd.DataFrame:
        """Rows of a read-only query with its parameters bound."""
        ...

    def cursor(self) -> DuckDBPyConnection:
        """A cursor for one query of a reader's own."""
        ...


_HOLDINGS = """
select semester, section, sampling_window, functional_group, taxon, scientific_name, site, site_name, topographic_position,
       count(*) as n
from observations where usable group by all
"""
_HOLDINGS_OF_SUMMARIES = """
select semester, '' as section, sampling_window, functional_group, '' as taxon, '' as scientific_name, site, site_name,
       topographic_position, coalesce(sum(n_leaves), 0)::bigint as n
from site_season group by all
"""
_TABLES = "select table_name from information_schema.tables where table_schema = 'main'"
_LEAVES = """
select plant_key, date, time_read, site_name, topographic_position, functional_group, taxon, scientific_name, plant, leaf,
       chamber, water_potential_mpa, below_limit
from observations
where usable and semester = $1 and sampling_window = $2 and ($3 = '' or section = $3) and list_contains($4, functional_group)
  and ($5 = '' or taxon = $5) and ($6 = '' or site = $6)
order by functional_group, topographic_position, plant_key, leaf
"""
_PLANTS = """
select plant_key, date, section, site, site_name, topographic_position, functional_group, taxon, scientific_name, n_leaves,
       n_below_limit, water_potential_mpa, below_limit, leaf_stands_for_plant
from plant_values
where semester = $1 and sampling_window = $2 and ($3 = '' or section = $3) and list_contains($4, functional_group)
  and ($5 = '' or taxon = $5) and ($6 = '' or site = $6)
order by functional_group, topographic_position, site, plant_key
"""
_CONTRASTS = """
select semester, year, season, group_or_taxon as functional_group, n_plants_b as n_plants_high, n_leaves_b as n_leaves_high,
       mean_b_mpa as mean_high_mpa, n_plants_a as n_plants_low, n_leaves_a as n_leaves_low, mean_a_mpa as mean_low_mpa,
       difference_mpa, ci_low_mpa, ci_high_mpa, reason, sentence
from fair_contrasts
where kind = 'lowland_minus_upland' and within = 'functional_group' and sampling_window = $1
  and list_contains($2, group_or_taxon) and ($3 = '' or semester = $3)
"""
_SEASONS = """
select s.semester, s.year, s.season, s.site, s.site_name, s.topographic_position, s.functional_group,
       s.n_plants::bigint as n_plants, s.n_leaves::bigint as n_leaves, {limits},
       s.mean_mpa, s.ci_low_mpa, s.ci_high_mpa, s.median_mpa, s.median_is_bound, s.rain_30d_mm,
       r.start_date + ((r.end_date - r.start_date) // 2)::integer as date
from {table} s left join semesters r on r.semester = s.semester
where s.sampling_window = $1 and list_contains($2, s.functional_group) and ($3 = '' or s.site = $3)
"""
_LIMITS = "s.n_plants_below_limit, s.reason"
_LIMITS_OF_SUMMARIES = "null::bigint as n_plants_below_limit, case when s.is_suppressed then 'hidden, to point at nobody' end as reason"
_SEASONS_OF_SITES = _SEASONS.format(table="site_season", limits=_LIMITS)
_SEASONS_OF_TAXON = _SEASONS.format(table="taxon_season", limits=_LIMITS) + " and s.taxon = $4"
_SEASONS_OF_SUMMARIES = _SEASONS.format(table="site_season", limits=_LIMITS_OF_SUMMARIES)
_DATES = """
select semester, site, functional_group, quantile_disc(date, 0.5) as date_read
from plant_values where sampling_window = $1 group by all
"""
_RAIN_MONTHS = """
select m.gauge, m.year, m.month, m.month_start, m.rain_mm, m.n_missing, m.percent_of_normal, m.spi_3
from rain_months m where ($1 = '' or m.gauge = $1) order by m.month_start
"""
_GAUGE_OF_SITE = "select gauge from sites where $1 = '' or site = $1 group by gauge order by count(*) desc, gauge limit 1"
_RESOLUTION = """
select max(resolution * case gauge_unit when 'MPa' then 1 when 'bar' then 0.1 when 'psi' then 0.006894757293 when 'kPa' then 0.001
           when 'atm' then 0.101325 when 'kgf/cm2' then 0.0980665 end) as mpa
from chambers where list_contains($1, chamber)
"""
_CODEBOOK = """
select table_name, column_name, description from codebook
where table_name = $1 or ($1 = '' and column_name = '') order by table_name, column_name <> '', rowid
"""
_BUILD = "select * from build_info limit 1"
_UPLOADS = """
select upload_id, kind, file_name, received_at, status, semesters, rows_in_file, rows_accepted, rows_flagged, rows_set_aside
from uploads where ($1 = '' or list_contains(string_split(semesters, ';'), $1)) order by sequence desc
"""
_PROBLEMS = """
select p.upload_id, u.file_name, p.sheet, p.row, p."column", p.value, p.code, p.severity, p.message, p.suggestion, p.count
from problems p join uploads u on u.upload_id = p.upload_id
where ($1 = '' or list_contains(string_split(u.semesters, ';'), $1)) and ($2 = '' or p.upload_id = $2)
order by u.sequence desc, p.sheet, p.row
"""
_SET_ASIDE = """
select s.upload_id, u.file_name, s.source_sheet, s.source_row, s.reasons, s.section, s.date, s.site, s.taxon, s.reading_as_written,
       s.unit_as_written, s.remark
from set_aside s join uploads u on u.upload_id = s.upload_id
where ($1 = '' or list_contains(string_split(u.semesters, ';'), $1)) and ($2 = '' or s.upload_id = $2)
order by u.sequence desc, s.source_sheet, s.source_row
"""


class Store:
    """The questions, asked of one published file; it may be shared, for it keeps nothing that a reader chose."""

    def __init__(self, published: Published) -> None:
        self._published = published

    @property
    def build_id(self) -> str:
        """Name of the build that is asked."""
        return self._published.build_id

    @cached_property
    def tables(self) -> frozenset[str]:
        """Names of the tables that this role's file holds."""
        return frozenset(self._published.query(_TABLES, [])["table_name"])

    @cached_property
    def holdings(self) -> pd.DataFrame:
        """How many usable readings there are of each semester, section, window, group, taxon and site."""
        return self._published.query(_HOLDINGS if "observations" in self.tables else _HOLDINGS_OF_SUMMARIES, [])

    @cached_property
    def chambers_used(self) -> list[str]:
        """Codes of the chambers that readings came from; none where the file holds no single readings."""
        if "observations" not in self.tables:
            return []
        found = self._published.query("select distinct chamber from observations where chamber is not null", [])
        return [str(code) for code in found["chamber"]]

    @cached_property
    def build_info(self) -> dict[str, object]:
        """What was built, when, for whom."""
        return {str(name): value for name, value in self._published.query(_BUILD, []).iloc[0].items()}

    def leaves(self, choices: Choices) -> pd.DataFrame:
        """Usable readings of one semester and window, one row per leaf."""
        return self._published.query(_LEAVES, _class_parameters(choices))

    def plants(self, choices: Choices) -> pd.DataFrame:
        """Plant values of one semester and window, one row per plant."""
        return self._published.query(_PLANTS, _class_parameters(choices))

    def contrasts(self, choices: Choices, *, every_semester: bool = False) -> pd.DataFrame:
        """Lowland minus upland per semester and group, MPa, with its interval or the reason why there is none."""
        return self._published.query(_CONTRASTS, [choices.window, list(choices.groups), "" if every_semester else choices.semester])

    def seasons(self, choices: Choices) -> pd.DataFrame:
        """Summaries of every semester, one row per semester, site and group, at the middle date of their readings.

        Where the file holds no single readings the date is the middle of the semester.
        """
        parameters: list[object] = [choices.window, list(choices.groups), choices.site]
        if "plant_values" not in self.tables:
            seasons = self._published.query(_SEASONS_OF_SUMMARIES, parameters)
        elif choices.taxon:
            seasons = self._published.query(_SEASONS_OF_TAXON, [*parameters, choices.taxon])
        else:
            seasons = self._published.query(_SEASONS_OF_SITES, parameters)
        if "plant_values" in self.tables:
            dates = self._published.query(_DATES, [choices.window])
            seasons = seasons.merge(dates, on=["semester", "site", "functional_group"], how="left")
            seasons["date"] = seasons["date_read"].fillna(seasons["date"])
        return seasons.sort_values(["date", "site"], ignore_index=True)

    def rain_months(self, choices: Choices) -> pd.DataFrame:
        """Monthly rain, mm, of the gauge that stands for the chosen site, or for most sites."""
        gauge = ""
        if "gauges" in self.tables:
            found = self._published.query(_GAUGE_OF_SITE, [choices.site])
            gauge = "" if found.empty else str(found["gauge"].iloc[0])
        return self._published.query(_RAIN_MONTHS, [gauge])

    def resolution_mpa(self, chambers: Sequence[str]) -> float | None:
        """The coarsest resolution of these chambers, MPa; None where none is registered."""
        if "chambers" not in self.tables:
            return None
        found = self._published.query(_RESOLUTION, [list(chambers)])["mpa"].iloc[0]
        return None if is_missing(found) else float(found)

    def codebook(self, table: str) -> pd.DataFrame:
        """What the columns of a table hold; without a table, what each table holds."""
        return self._published.query(_CODEBOOK, [table])

    def ask(self, question: str) -> Found:
        """Answer a reader's own question in SQL.

        Raises:
            QuestionRefused: it cannot be answered; the message says why.
        """
        from warehouse.asking import ask

        return ask(self._published, question)

    def uploads(self, choices: Choices) -> pd.DataFrame:
        """Receipts, the latest first."""
        return self._published.query(_UPLOADS, [choices.semester])

    def problems(self, choices: Choices) -> pd.DataFrame:
        """Problems that the receipts list."""
        return self._published.query(_PROBLEMS, [choices.semester, choices.upload])

    def set_aside(self, choices: Choices) -> pd.DataFrame:
        """Rows that are kept but not used, with their reasons."""
        return self._published.query(_SET_ASIDE, [choices.semester, choices.upload])


def _class_parameters(choices: Choices) -> list[object]:
    return [choices.semester, choices.window, choices.section, list(choices.groups), choices.taxon, choices.site]
