-- One row per gauge, calendar month and length of 1, 3, 6 or 12 months: the years that say what is usual, their law.
-- The base is 1991-2020 where all 30 years have the sum, else every year that has it. Thom's approximation of a gamma
-- law of two parameters (location zero) over the base's sums above zero: A = ln(mean) - mean(ln),
-- shape = (1 + sqrt(1 + 4A/3)) / (4A), scale = mean / shape. No law for fewer than 20 years, or fewer than 10 of them
-- with rain, or where all had the same.
with sums as (
    select
        *,
        extract(year from month_start) as year,
        extract(month from month_start) as month
    from {{ ref('int_rain_sums') }}
),

years as (
    select
        *,
        count(case when year between 1991 and 2020 then sum_mm end) over same_month as n_standard,
        count(sum_mm) over same_month as n_record_years
    from sums
    window same_month as (partition by program, gauge, length_months, month)
),

base as (
    select
        program,
        gauge,
        length_months,
        month,
        max(n_record_years) as n_record_years,
        count(sum_mm) as n_base_years,
        min(case when sum_mm is not null then year end) as base_first_year,
        max(case when sum_mm is not null then year end) as base_last_year,
        avg(sum_mm) as mean_mm,
        count(case when sum_mm > 0 then 1 end) as n_wet,
        avg(case when sum_mm > 0 then sum_mm end) as wet_mean_mm,
        ln(avg(case when sum_mm > 0 then sum_mm end)) - avg(case when sum_mm > 0 then ln(sum_mm) end) as a
    from years
    where n_standard < 30 or year between 1991 and 2020
    group by program, gauge, length_months, month
)

select
    program,
    gauge,
    length_months,
    cast(month as bigint) as month,
    n_record_years,
    n_base_years,
    cast(base_first_year as bigint) as base_first_year,
    cast(base_last_year as bigint) as base_last_year,
    mean_mm,
    case when n_base_years > 0 then 1.0 - cast(n_wet as double) / n_base_years end as share_of_zeros,
    case when n_base_years >= 20 and n_wet >= 10 and a > 1e-12 then (1 + sqrt(1 + 4 * a / 3)) / (4 * a) end as shape,
    wet_mean_mm
from base
