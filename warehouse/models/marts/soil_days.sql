-- One row per site and day of its gauge's record: a model of the water in its soil at the end of the day.
-- The bucket of FAO-56 with evapotranspiration by Hargreaves: `soil_water` of warehouse/statistics/soil_bucket.py, one
-- call per site. From three years before the first semester on: by then a deep soil, too, was surely full once.
with first_semester as (
    select min(start_date) as first_date from {{ received('semesters') }}
),

days as (
    select
        d.program,
        s.site,
        s.latitude_deg,
        s.soil_depth_m,
        s.soil_texture,
        s.available_water_mm_per_m,
        d.date,
        cast(extract(doy from d.date) as bigint) as day_of_year,
        -- A total of several days on the first of them, and on the last: between the two lies what happened.
        case
            when r.span_end is null then r.counted_mm
            when r.date = r.span_start then r.span_mm
            else 0.0
        end as rain_early_mm,
        r.counted_mm as rain_late_mm,
        d.tmax_c,
        d.tmin_c
    from {{ ref('int_gauge_days') }} as d
    inner join {{ ref('int_rain_spans') }} as r on d.program = r.program and d.gauge = r.gauge and d.date = r.date
    inner join {{ received('sites') }} as s on d.gauge = s.gauge
    inner join first_semester as f on d.date >= {{ add_days('f.first_date', '-1096') }}
),

modelled as (
    select
        program,
        site,
        {{ listed('date', 'date') }} as dates,
        soil_water(
            {% for column in ['day_of_year', 'rain_early_mm', 'rain_late_mm', 'tmax_c', 'tmin_c'] -%}
                {{ listed(column, 'date') }},
            {%- endfor %}
            latitude_deg,
            soil_depth_m,
            soil_texture,
            available_water_mm_per_m
        ) as soil
    from days
    group by program, site, latitude_deg, soil_depth_m, soil_texture, available_water_mm_per_m
),

daily as (
    {%- set lists = {'date': 'm.dates'} %}
    {%- for column in ['et0_mm', 'depletion_mm', 'relative_extractable_water', 'drainage_mm', 'ks', 'reason_code'] %}
        {%- do lists.update({column: 'm.soil.' ~ column}) %}
    {%- endfor %}
    select
        m.program,
        m.site,
        m.soil.total_available_water_mm as available_mm,
        {{ rows_of_lists(lists) }}
    from modelled as m
),

reasons as ({{ reasons_of('daily') }})

select
    d.program,
    d.site,
    d.date,
    d.et0_mm,
    d.available_mm as total_available_water_mm,
    d.depletion_mm,
    d.relative_extractable_water,
    d.drainage_mm,
    d.ks,
    d.reason_code,
    r.reason
from daily as d
left join reasons as r on d.reason_code = r.reason_code
