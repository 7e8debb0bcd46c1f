"""What the dashboard asks of a published file, but for the Rain view: constant SQL, bound parameters, read only."""

_HELD = """
select semester, coalesce(sampling_window, '') as sampling_window, coalesce(functional_group, '') as functional_group,
       {taxon} as taxon, {scientific_name} as scientific_name, coalesce(site, '') as site, coalesce(site_name, site, '') as site_name,
       coalesce(sum({n}), 0)::bigint as n
from {table} group by all
"""
_KIND = {"taxon": "coalesce(taxon, '')", "scientific_name": "coalesce(scientific_name, taxon, '')"}
_READINGS = "(select *, 1 as n from observations where usable and {which})"
HOLDINGS = (
    _HELD.format(**_KIND, n="n_readings", table="field_days")
    + "union all"
    + _HELD.format(**_KIND, n="n", table=_READINGS.format(which="sampling_window is null"))
)
HOLDINGS_OF_SECTION = _HELD.format(**_KIND, n="n", table=_READINGS.format(which="semester = $1 and section = $2"))
HOLDINGS_OF_SUMMARIES = _HELD.format(taxon="''", scientific_name="''", n="n_leaves", table="site_season")
SECTIONS_OF_SEMESTER = "select distinct section from observations where usable and semester = $1 and section is not null order by section"
TABLES = "select table_name from information_schema.tables where table_schema = 'main'"
LEAVES = """
select plant_key, date, time_read, site_name, topographic_position, functional_group, taxon, scientific_name, plant, leaf,
       chamber, water_potential_mpa, below_limit
from observations
where usable and semester = $1 and sampling_window = $2 and ($3 = '' or section = $3) and list_contains($4, functional_group)
  and ($5 = '' or taxon = $5) and ($6 = '' or site = $6)
order by functional_group, topographic_position, plant_key, leaf
"""
LEAVES_COUNTED = """
select count(*) as n, count(*) filter (where below_limit) as n_below_limit, min(water_potential_mpa) as driest_mpa,
       coalesce(list(distinct chamber) filter (where chamber is not null), []) as chambers
from observations
where usable and semester = $1 and sampling_window = $2 and ($3 = '' or section = $3) and list_contains($4, functional_group)
  and ($5 = '' or taxon = $5) and ($6 = '' or site = $6)
"""
PLANTS = """
select plant_key, date, section, site, site_name, topographic_position, functional_group, taxon, scientific_name, n_leaves,
       n_below_limit, water_potential_mpa, below_limit, leaf_stands_for_plant
from plant_values
where semester = $1 and sampling_window = $2 and ($3 = '' or section = $3) and list_contains($4, functional_group)
  and ($5 = '' or taxon = $5) and ($6 = '' or site = $6)
order by functional_group, topographic_position, site, plant_key
"""
CONTRASTS = """
select semester, year, season, group_or_taxon as functional_group, n_plants_b as n_plants_high, n_leaves_b as n_leaves_high,
       mean_b_mpa as mean_high_mpa, n_plants_a as n_plants_low, n_leaves_a as n_leaves_low, mean_a_mpa as mean_low_mpa,
       difference_mpa, ci_low_mpa, ci_high_mpa, reason, sentence
from fair_contrasts
where kind = 'lowland_minus_upland' and within = 'functional_group' and sampling_window = $1
  and list_contains($2, group_or_taxon) and ($3 = '' or semester = $3)
"""
CONDITIONS = """
select semester, functional_group,
       sum(n_plants * antecedent_index_mm) / sum(n_plants) filter (where antecedent_index_mm is not null) as antecedent_index_mm,
       sum(n_plants * modelled_relative_water) filter (where topographic_position = 'upland')
           / sum(n_plants) filter (where topographic_position = 'upland' and modelled_relative_water is not null) as upland_relative_water
from field_days
where sampling_window = $1 and list_contains($2, functional_group) and topographic_position in ('upland', 'lowland')
group by all
"""
HILL = """
select s.site, s.site_name, s.topographic_position, s.elevation_m, s.soil_depth_m, s.soil_texture, q.relative_water_at_field, q.reason
from sites s left join soil_seasons q on q.site = s.site and q.semester = $1
order by s.elevation_m desc nulls last, s.site
"""
SOIL_DAYS = """
select d.site, s.site_name, s.topographic_position, d.date, d.relative_extractable_water as relative_water, d.reason
from soil_days d
join semesters t on t.semester = $1 and d.date between t.start_date and t.end_date
left join sites s on s.site = d.site
where $2 = '' or d.site = $2
order by d.site, d.date
"""
SAMPLED = """
select distinct site, date from field_days
where semester = $1 and sampling_window = $2 and list_contains($3, functional_group) and ($4 = '' or taxon = $4)
"""
SEASONS = """
select s.semester, s.year, s.season, s.site, s.site_name, s.topographic_position, s.functional_group, s.n_plants::bigint as n_plants,
       s.n_leaves::bigint as n_leaves, s.n_plants_below_limit::bigint as n_plants_below_limit, s.method, s.estimate_mpa,
       s.estimate_is_bound, s.estimate_ci_low_mpa as ci_low_mpa, s.estimate_ci_high_mpa as ci_high_mpa, s.percentile,
       s.index_is_bound, s.n_history_semesters, s.rain_30d_mm, s.reason, s.sentence,
       r.start_date + ((r.end_date - r.start_date) // 2)::integer as date
from {table} s left join semesters r on r.semester = s.semester
where s.sampling_window = $1 and list_contains($2, s.functional_group) and ($3 = '' or s.site = $3)
"""
SEASONS_OF_SITES = SEASONS.format(table="site_season")
SEASONS_OF_TAXON = SEASONS.format(table="taxon_season") + " and s.taxon = $4"
DATES = """
with days as (
    select semester, site, functional_group, date, sum(n_plants) as n
    from field_days where sampling_window = $1 group by semester, site, functional_group, date
),
counted as (
    select *, sum(n) over (partition by semester, site, functional_group order by date) as n_up_to,
           sum(n) over (partition by semester, site, functional_group) as n_all
    from days
)
select semester, site, functional_group, min(date) as date_read from counted where 2 * n_up_to >= n_all group by all
"""
"""The day on which the middle plant was read."""
PICKED = """
select o.upload_id, o.site_name, o.source_sheet, o.source_row, o.source_cell, o.date, o.time_read, o.scientific_name, o.plant, o.leaf,
       o.reading_as_written, o.unit_as_written, o.water_potential_mpa, o.below_limit, o.flags, o.usable{observer},
       count(*) over () as n_all, sum(o.usable::integer) over ()::bigint as n_usable
from observations o
where o.semester = $1 and o.sampling_window = $2 and o.functional_group = $3 and o.site = $4 and ($5 = '' or o.taxon = $5)
order by o.upload_id, o.source_sheet, o.source_row, o.source_cell limit {most}
"""
RECEIPTS_OF = """
select u.upload_id, u.file_name, u.received_at, u.status, u.rows_in_file, u.rows_accepted, u.rows_flagged, u.rows_set_aside
from uploads u
where u.upload_id in (
    select o.upload_id from observations o
    where o.semester = $1 and o.sampling_window = $2 and o.functional_group = $3 and o.site = $4 and ($5 = '' or o.taxon = $5)
)
order by u.upload_id
"""
OBSERVER_IS_HELD = """
select count(*) > 0 as is_held from information_schema.columns where table_name = 'observations' and column_name = 'observer'
"""
RAIN_MONTHS = """
select m.gauge, m.year, m.month, m.month_start, m.rain_mm, m.n_missing, m.normal_mm, m.percent_of_normal, m.spi_3, m.spi_3_basis
from rain_months m where ($1 = '' or m.gauge = $1) order by m.month_start
"""
GAUGE_OF_SITE = "select gauge from sites where $1 = '' or site = $1 group by gauge order by count(*) desc, gauge limit 1"
RESOLUTIONS = """
select chamber, resolution * case gauge_unit when 'MPa' then 1 when 'bar' then 0.1 when 'psi' then 0.006894757293 when 'kPa' then 0.001
           when 'atm' then 0.101325 when 'kgf/cm2' then 0.0980665 end as mpa
from chambers where mpa is not null
"""
COMPARISONS = """
select c.*, coalesce(t.functional_group, c.group_or_taxon) as "group", t.scientific_name, s.topographic_position
from fair_contrasts c
left join taxa t on c.within = 'taxon' and t.taxon = c.group_or_taxon
left join sites s on s.site = c.side_a
where c.semester = $1 and c.kind = $2 and c.sampling_window = $3
  and case when $5 = '' then c.within = 'functional_group' and list_contains($4, c.group_or_taxon)
      else c.within = 'taxon' and c.group_or_taxon = $5 end
order by c.group_or_taxon, c.side_a, c.side_b
"""
SITE_NAMES = "select site, site_name from sites"
COHORTS = "select * from cohort_quality where semester like '%-%'"
_SHARES = """
with sections as (
    select *, n_usable / n_rows as share_usable, digit_preferred_share - digit_even_share as digit_excess
    from cohort_quality where semester like '%-%'
)
select semester, count(*) as n_sections, sum(n_rows)::bigint as n_rows, sum(n_usable)::bigint as n_usable,
       sum(n_doubtful_endpoint)::bigint as n_doubtful_endpoint, sum(n_late)::bigint as n_late,
       sum(n_plants_repeated)::bigint as n_plants_repeated,
       sqrt(sum(n_plants_repeated * within_plant_sd_mpa ** 2) / sum(n_plants_repeated) filter (where within_plant_sd_mpa is not null))
           as pooled_sd_mpa,
       {measures}
from sections group by semester
"""
_MIDDLE = "median({name}) as {name}, quantile_cont({name}, 0.25) as {name}_low_quarter, quantile_cont({name}, 0.75) as {name}_high_quarter"
MEASURED = (
    *("share_usable", "share_set_aside", "share_flagged", "share_doubtful_endpoint", "share_recut", "share_late"),
    *("within_plant_sd_mpa", "observer_share", "digit_excess"),
)
COHORTS_OF_SEMESTERS = _SHARES.format(measures=", ".join(_MIDDLE.format(name=name) for name in MEASURED))
"""Each measure of the middle one of a semester's sections, and between what the middle half of them lie."""
METHOD = """
select semester, sum(n_rows)::bigint as n_rows, sum(n_usable)::bigint as n_usable, sum(n_flagged)::bigint as n_flagged,
       sum(n_set_aside)::bigint as n_set_aside, sum(n_accepted)::bigint as n_accepted,
       sum(n_doubtful_endpoint)::bigint as n_doubtful_endpoint, sum(n_late)::bigint as n_late
from cohort_quality where semester like '%-%' group by semester
"""
LEARNING = {
    "learning_gains": "select * from learning_gains order by rowid",
    "learning_outcomes": "select * from learning_outcomes order by rowid",
    "learning_items": "select * from learning_items order by rowid",
}
"""In the order in which they were published, in which items stand as their instrument has them."""
PROBLEM_KINDS = """
select p.code, sum(p.count)::bigint as n
from problems p join uploads u on u.upload_id = p.upload_id
where u.status = 'active' and list_contains(string_split(u.semesters, ';'), $1)
group by p.code order by n desc, p.code
"""
CODEBOOK = """
select table_name, column_name, description from codebook
where table_name = $1 or ($1 = '' and column_name = '') order by table_name, column_name <> '', rowid
"""
BUILD = "select * from build_info limit 1"
UPLOADS = """
select upload_id, kind, file_name, received_at, status, semesters, rows_in_file, rows_accepted, rows_flagged, rows_set_aside
from uploads where ($1 = '' or list_contains(string_split(semesters, ';'), $1)) order by sequence desc
"""
PROBLEMS = """
select p.upload_id, u.file_name, p.sheet, p.row, p."column", p.value, p.code, p.severity, p.message, p.suggestion, p.count
from problems p join uploads u on u.upload_id = p.upload_id
where ($1 = '' or list_contains(string_split(u.semesters, ';'), $1)) and ($2 = '' or p.upload_id = $2)
order by u.sequence desc, p.sheet, p.row
"""
SET_ASIDE = """
select s.upload_id, u.file_name, s.source_sheet, s.source_row, s.reasons, s.section, s.date, s.site, s.taxon, s.reading_as_written,
       s.unit_as_written, s.remark
from set_aside s join uploads u on u.upload_id = s.upload_id
where ($1 = '' or list_contains(string_split(u.semesters, ';'), $1)) and ($2 = '' or s.upload_id = $2)
order by u.sequence desc, s.source_sheet, s.source_row
"""
