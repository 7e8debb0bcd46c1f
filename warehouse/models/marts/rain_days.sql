-- One row per gauge and day from the first day of its record to the last day on which a reading needs it.
with counted as (
    select
        *,
        row_number() over by_day as n_so_far,
        sum(is_missing) over (
            partition by program, gauge order by date rows between unbounded preceding and current row
        ) as n_missing_so_far
    from {{ ref('int_rain_spans') }}
    window by_day as (partition by program, gauge order by date)
),

sums as (
    select
        program,
        gauge,
        {%- for days in rain_windows() %}
            cast({{ missing_days(days) }} as bigint) as rain_{{ days }}d_missing_days,
            sum(counted_mm) over (
                partition by program, gauge order by date rows between {{ days - 1 }} preceding and current row
            ) as sum_{{ days }},
        {%- endfor %}
        date
    from counted
    window by_day as (partition by program, gauge order by date)
),

marks as (
    select
        d.*,
        min(d.date) over (partition by d.program, d.gauge) as first_date,
        max(case when d.prcp_mm >= s.effective_rain_mm then d.date end) over so_far as last_rain,
        max(case when d.prcp_mm is null then d.date end) over so_far as last_missing
    from {{ ref('int_gauge_days') }} as d
    inner join {{ received('settings') }} as s on d.program = s.program
    window so_far as (
        partition by d.program, d.gauge order by d.date rows between unbounded preceding and current row
    )
),

since as (
    select
        *,
        last_rain is not null and (last_missing is null or last_missing < last_rain) as is_known,
        coalesce(last_missing, {{ add_days('first_date', '-1') }}) as last_unknown
    from marks
)

select
    m.program,
    m.gauge,
    m.date,
    m.prcp_mm,
    m.is_trace,
    m.tmax_c,
    m.tmin_c,
    {%- for days in rain_windows() %}
        case when s.rain_{{ days }}d_missing_days = 0 then s.sum_{{ days }} end as rain_{{ days }}d_mm,
        s.rain_{{ days }}d_missing_days,
    {%- endfor %}
    cast(case when m.is_known then {{ days_between('m.last_rain', 'm.date') }} end as bigint) as days_since_rain,
    cast(case
        when m.is_known then {{ days_between('m.last_rain', 'm.date') }}
        else {{ days_between('m.last_unknown', 'm.date') }}
    end as bigint) as days_since_rain_at_least,
    a.antecedent_index_mm
from since as m
inner join sums as s on m.program = s.program and m.gauge = s.gauge and m.date = s.date
inner join {{ ref('int_antecedent') }} as a on m.program = a.program and m.gauge = a.gauge and m.date = a.date
