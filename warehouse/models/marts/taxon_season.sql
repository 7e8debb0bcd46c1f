-- One row per program, semester, site, taxon and sampling window.
{%- set keys = ['program', 'semester', 'site', 'taxon', 'sampling_window'] %}
{%- set place = ['year', 'season', 'site_name', 'topographic_position', 'gauge'] %}
{%- set plant = ['scientific_name', 'common_name', 'functional_group'] %}
with statistics as ({{ group_statistics(keys + place + plant) }}),

summaries as (
    select
        g.program,
        g.semester,
        g.site,
        g.taxon,
        g.scientific_name,
        g.common_name,
        g.functional_group,
        g.sampling_window,
        g.year,
        g.season,
        g.site_name,
        g.topographic_position,
        g.gauge,
        g.last_date,
        g.rain_30d_mm,
        g.antecedent_index_mm,
        {{ group_columns() }}
    from statistics as g
),

history as ({{ own_history('summaries', ['program', 'site', 'taxon', 'sampling_window']) }}),

seasons as (
    select distinct
        program,
        semester,
        gauge,
        last_date
    from summaries
),

rain as ({{ season_rain('seasons', ['program', 'semester', 'gauge', 'last_date']) }})

select
    g.*,
    {{ history_columns() }},
    r.season_rain_mm
from summaries as g
inner join history as h
    on
        g.program = h.program
        and g.semester = h.semester
        and g.site = h.site
        and g.taxon = h.taxon
        and g.sampling_window = h.sampling_window
left join rain as r
    on g.program = r.program and g.semester = r.semester and g.gauge = r.gauge and g.last_date = r.last_date
