-- One row per reading in use: accepted or flagged, of an upload in use, with plant, site, and what fell before it.
with dated as ({{ dated_readings() }})

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
    r.site_name,
    r.topographic_position,
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
    r.gauge,
    r.rain_window_end,
    r.rain_own_day,
    {%- for days in rain_windows() %}
        d.rain_{{ days }}d_mm,
        coalesce(d.rain_{{ days }}d_missing_days, {{ days }}) as rain_{{ days }}d_missing_days,
    {%- endfor %}
    d.days_since_rain + {{ days_between('r.rain_window_end', 'r.date') }} as days_since_rain,
    d.days_since_rain_at_least + {{ days_between('r.rain_window_end', 'r.date') }} as days_since_rain_at_least,
    d.antecedent_index_mm,
    m.percent_of_normal,
    m.spi_1,
    m.spi_3,
    w.relative_extractable_water as modelled_relative_water
from dated as r
left join {{ received('taxa') }} as t on r.taxon = t.taxon
left join {{ ref('rain_days') }} as d on r.program = d.program and r.gauge = d.gauge and r.rain_window_end = d.date
left join {{ ref('rain_months') }} as m
    on
        r.program = m.program
        and r.gauge = m.gauge
        and cast(date_trunc('month', r.date) - interval '1' month as date) = m.month_start
left join {{ ref('soil_days') }} as w on r.program = w.program and r.site = w.site and r.rain_window_end = w.date
-- Sorted once, for every role's file: what a figure asks for lies together.
order by r.program, r.date, r.site, r.taxon, r.sampling_window, r.observation_id
