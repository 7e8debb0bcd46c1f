-- One row per reading in use: accepted or flagged, of an upload in use, with plant, site and the rain before it.
select
    r.observation_id,
    r.program,
    r.upload_id,
    r.source_sheet,
    r.source_row,
    r.source_cell,
    r.semester,
    cast(split_part(r.semester, '-', 1) as bigint) as year,
    split_part(r.semester, '-', 2) as season,
    r.section,
    r.date,
    cast({{ days_between("cast(date_trunc('year', r.date) as date)", 'r.date') }} + 1 as bigint) as day_of_year,
    r.time_cut,
    r.time_read,
    r.sampling_window,
    r.site,
    s.site_name,
    s.topographic_position,
    r.taxon,
    t.scientific_name,
    nullif(trim(split_part(t.common_names, ';', 1)), '') as common_name,
    t.functional_group,
    case when t.functional_group in ('shrub', 'tree') then 'woody' else 'herbaceous' end as growth_form,
    r.plant,
    concat_ws(
        '/', r.program, r.semester, r.section, cast(r.date as {{ text_type() }}), r.site, r.taxon,
        coalesce('plant ' || r.plant, 'leaf ' || r.leaf, 'row ' || r.observation_id)
    ) as plant_key,
    r.leaf,
    r.observer,
    r.chamber,
    r.reading_as_written,
    r.unit_as_written,
    r.balance_pressure_mpa,
    r.water_potential_mpa,
    r.endpoint,
    r.below_limit,
    r.leaf_state,
    r.remark,
    r.flags,
    r.usable,
    s.gauge,
    {%- for days in rain_windows() %}
        d.rain_{{ days }}d_mm,
        coalesce(d.rain_{{ days }}d_missing_days, {{ days }}) as rain_{{ days }}d_missing_days,
    {%- endfor %}
    d.days_since_rain + 1 as days_since_rain,
    d.days_since_rain_at_least + 1 as days_since_rain_at_least,
    d.antecedent_index_mm,
    m.percent_of_normal,
    m.spi_1,
    m.spi_3
from {{ ref('stg_readings') }} as r
left join {{ received('sites') }} as s on r.site = s.site
left join {{ received('taxa') }} as t on r.taxon = t.taxon
left join {{ ref('rain_days') }} as d
    on r.program = d.program and s.gauge = d.gauge and {{ add_days('r.date', '-1') }} = d.date
left join {{ ref('rain_months') }} as m
    on
        r.program = m.program
        and s.gauge = m.gauge
        and cast(date_trunc('month', r.date) - interval '1' month as date) = m.month_start
where r.status in ('accepted', 'flagged')
-- Sorted once, for every role's file: what a figure asks for lies together.
order by r.program, r.date, r.site, r.taxon, r.sampling_window, r.observation_id
