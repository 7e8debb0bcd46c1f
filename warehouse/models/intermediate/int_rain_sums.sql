-- One row per gauge, month and length of 1 or 3 months: rain of the months up to it, mm; null if a day is missing.
with days as (
    select
        program,
        gauge,
        date,
        cast(date_trunc('month', date) as date) as month_start,
        cast(date_trunc('month', span_start) as date) as span_first,
        cast(date_trunc('month', span_end) as date) as span_last,
        counted_mm,
        is_missing
    from {{ ref('int_rain_spans') }}
),

months as (
    select
        program,
        gauge,
        month_start,
        {{ days_between('month_start', "cast(month_start + interval '1' month as date)") }} as n_days,
        sum(case when is_missing = 1 or span_first <> span_last then 0 else 1 end) as n_known,
        sum(counted_mm) as counted_mm
    from days
    group by program, gauge, month_start
),

known as (
    select
        program,
        gauge,
        month_start,
        n_days,
        n_days - n_known as n_missing,
        case when n_days = n_known then counted_mm end as rain_mm
    from months
)

select
    program,
    gauge,
    month_start,
    n_days,
    n_missing,
    rain_mm,
    1 as length_months,
    rain_mm as sum_mm
from known
union all
select
    program,
    gauge,
    month_start,
    n_days,
    n_missing,
    rain_mm,
    3 as length_months,
    rain_mm
    + lag(rain_mm, 1) over (partition by program, gauge order by month_start)
    + lag(rain_mm, 2) over (partition by program, gauge order by month_start) as sum_mm
from known
