-- One row per gauge and month of its record.
with indices as (
    select
        program,
        gauge,
        month_start,
        max(case when length_months = 1 then normal_mm end) as normal_mm,
        max(case when length_months = 1 then n_base_years end) as n_base_years,
        max(case when length_months = 1 then spi end) as spi_1,
        max(case when length_months = 3 then spi end) as spi_3
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
    cast(i.n_base_years as bigint) as n_base_years,
    100 * m.rain_mm / nullif(i.normal_mm, 0) as percent_of_normal,
    cast(i.spi_1 as double) as spi_1,
    cast(i.spi_3 as double) as spi_3
from {{ ref('int_rain_sums') }} as m
inner join indices as i on m.program = i.program and m.gauge = i.gauge and m.month_start = i.month_start
where m.length_months = 1
