-- One row per gauge and day: what counts towards a sum on that day, and which total of several days covers it.
-- A total of several days counts where its whole span lies inside the sum, so it is put on its last day. It is not
-- used where a day inside it has rain of its own or belongs to another total: nobody can say what is counted twice.
with spans as (
    select
        program,
        gauge,
        date as span_end,
        {{ add_days('date', '1 - several_days') }} as span_start,
        several_days_mm
    from {{ ref('int_gauge_days') }}
    where several_days_mm is not null and several_days >= 2
),

covered as (
    select
        d.program,
        d.gauge,
        d.date,
        s.span_start,
        s.span_end,
        s.several_days_mm,
        count(*) over (partition by d.program, d.gauge, d.date) as n_spans,
        d.prcp_mm
    from spans as s
    inner join {{ ref('int_gauge_days') }} as d
        on s.program = d.program and s.gauge = d.gauge and d.date between s.span_start and s.span_end
),

usable as (
    select
        program,
        gauge,
        span_start,
        span_end,
        max(several_days_mm) as several_days_mm
    from covered
    group by program, gauge, span_start, span_end
    having count(prcp_mm) = 0 and max(n_spans) = 1 and count(*) = {{ days_between('span_start', 'span_end') }} + 1
)

select
    d.program,
    d.gauge,
    d.date,
    u.span_start,
    u.span_end,
    u.several_days_mm as span_mm,
    case
        when d.date = u.span_end then u.several_days_mm
        when u.span_end is not null then 0.0
        else d.prcp_mm
    end as counted_mm,
    case when u.span_end is null and d.prcp_mm is null then 1 else 0 end as is_missing,
    case when d.date > u.span_start then {{ days_between('d.date', 'u.span_end') }} + 1 else 0 end as n_left_of_span,
    case when d.date < u.span_end then {{ days_between('u.span_start', 'd.date') }} + 1 else 0 end as n_begun_of_span
from {{ ref('int_gauge_days') }} as d
left join usable as u
    on d.program = u.program and d.gauge = u.gauge and d.date between u.span_start and u.span_end
