-- One row per gauge, month and length of 1 or 3 months: normal and standardized precipitation index (SPI).
-- McKee, Doesken and Kleist 1993; WMO-No. 1090 (2012). The base is 1991-2020 where all 30 years have the sum, else
-- every year that has it, at least 30. A two-parameter gamma (Thom's approximation) is fitted to the base's sums above
-- zero of the same calendar month: A = ln(mean) - mean(ln), shape = (1 + sqrt(1 + 4A/3)) / (4A), scale = mean / shape;
-- H = q + (1 - q) G(x), q the share of zeros; SPI = normal quantile of H, clipped at +-3.09.
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
        count(sum_mm) over same_month as n_all
    from sums
    window same_month as (partition by program, gauge, length_months, month)
),

base as (
    select
        program,
        gauge,
        length_months,
        month,
        count(*) as n_base_years,
        avg(sum_mm) as normal_mm,
        count(case when sum_mm > 0 then 1 end) as n_wet,
        avg(case when sum_mm > 0 then sum_mm end) as wet_mean_mm,
        ln(avg(case when sum_mm > 0 then sum_mm end)) - avg(case when sum_mm > 0 then ln(sum_mm) end) as a
    from years
    where sum_mm is not null and n_all >= 30 and (n_standard < 30 or year between 1991 and 2020)
    group by program, gauge, length_months, month
),

fitted as (
    select
        *,
        1.0 - cast(n_wet as double) / n_base_years as q,
        case when n_wet >= 10 and a > 1e-12 then (1 + sqrt(1 + 4 * a / 3)) / (4 * a) end as shape
    from base
)

select
    s.program,
    s.gauge,
    s.month_start,
    s.length_months,
    f.normal_mm,
    f.n_base_years,
    case
        when f.shape is null or s.sum_mm is null then null
        when f.q + (1 - f.q) * {{ gamma_p('f.shape', 's.sum_mm * f.shape / f.wet_mean_mm') }} < 0.001 then -3.09
        when f.q + (1 - f.q) * {{ gamma_p('f.shape', 's.sum_mm * f.shape / f.wet_mean_mm') }} > 0.999 then 3.09
        else {{ normal_quantile('f.q + (1 - f.q) * ' ~ gamma_p('f.shape', 's.sum_mm * f.shape / f.wet_mean_mm')) }}
    end as spi
from sums as s
left join fitted as f
    on s.program = f.program and s.gauge = f.gauge and s.length_months = f.length_months and s.month = f.month
