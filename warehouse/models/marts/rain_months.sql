-- One row per gauge and month of its record.
select
    m.program,
    m.gauge,
    cast(extract(year from m.month_start) as bigint) as year,
    cast(extract(month from m.month_start) as bigint) as month,
    m.month_start,
    m.rain_mm,
    cast(m.n_days as bigint) as n_days,
    cast(m.n_missing as bigint) as n_missing,
    one.normal_mm,
    cast(one.n_base_years as bigint) as n_base_years,
    100 * m.rain_mm / nullif(one.normal_mm, 0) as percent_of_normal,
    cast(one.spi as double) as spi_1,
    cast(three.spi as double) as spi_3
from {{ ref('int_rain_sums') }} as m
inner join {{ ref('int_rain_indices') }} as one
    on m.program = one.program and m.gauge = one.gauge and m.month_start = one.month_start and one.length_months = 1
inner join {{ ref('int_rain_indices') }} as three
    on m.program = three.program and m.gauge = three.gauge and m.month_start = three.month_start and three.length_months = 3
where m.length_months = 1
