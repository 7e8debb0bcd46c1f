-- One row per gauge and month of its record.
{%- set of_month = [
    'normal_mm', 'percent_of_normal', 'n_base_years', 'base_first_year', 'base_last_year', 'n_record_years',
] %}
with indices as (
    select
        program,
        gauge,
        {%- for length in index_lengths() %}
            max(case when length_months = {{ length }} then spi end) as spi_{{ length }},
            max(case when length_months = {{ length }} then spi_basis end) as spi_{{ length }}_basis,
        {%- endfor %}
        {%- for column in of_month %}
            max(case when length_months = 1 then {{ column }} end) as {{ column }},
        {%- endfor %}
        month_start
    from {{ ref('int_rain_indices') }}
    group by program, gauge, month_start
)

select
    m.program,
    m.gauge,
    cast(extract(year from m.month_start) as bigint) as year,
    cast(extract(month from m.month_start) as bigint) as month,
    m.month_start,
    m.rain_mm,
    cast(m.n_days as bigint) as n_days,
    cast(m.n_missing as bigint) as n_missing,
    i.normal_mm,
    i.n_base_years,
    i.base_first_year,
    i.base_last_year,
    i.n_record_years,
    {%- for length in index_lengths() %}
        i.spi_{{ length }},
        i.spi_{{ length }}_basis,
    {%- endfor %}
    i.percent_of_normal
from {{ ref('int_rain_sums') }} as m
inner join indices as i on m.program = i.program and m.gauge = i.gauge and m.month_start = i.month_start
where m.length_months = 1
