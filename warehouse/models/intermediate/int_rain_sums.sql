-- One row per gauge, month and length of 1, 3, 6 or 12 months: rain of these months, mm; null if a day is missing.
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

{% for length in index_lengths() %}
    select
        program,
        gauge,
        month_start,
        n_days,
        n_missing,
        rain_mm,
        {{ length }} as length_months,
        case
            when
                count(rain_mm) over (
                    partition by program, gauge
                    order by month_start rows between {{ length - 1 }} preceding and current row
                ) = {{ length }}
                then
                    sum(rain_mm) over (
                        partition by program, gauge
                        order by month_start rows between {{ length - 1 }} preceding and current row
                    )
        end as sum_mm
    from known
    {{ 'union all' if not loop.last }}
{% endfor %}
