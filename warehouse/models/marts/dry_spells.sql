-- One row per gauge and semester: its longest dry spell, a run of days below 1 mm, and what the record covers.
-- Consecutive dry days (ETCCDI; Zhang et al. 2011, WIREs Climate Change 2:851); a missing day ends a run, and a spell
-- is counted within its semester. The function `longest_dry_spell` of warehouse/statistics/rain.py is the same.
with days as (
    select
        d.program,
        d.gauge,
        s.semester,
        s.start_date,
        d.date,
        d.prcp_mm,
        coalesce(d.prcp_mm < 1.0, false) as is_dry,
        sum(case when d.prcp_mm < 1.0 then 0 else 1 end) over (
            partition by d.program, d.gauge, s.semester order by d.date rows between unbounded preceding and current row
        ) as n_ends_before
    from {{ ref('int_gauge_days') }} as d
    inner join {{ received('semesters') }} as s on d.date between s.start_date and s.end_date
),

runs as (
    select
        program,
        gauge,
        semester,
        n_ends_before,
        count(*) as n_days,
        min(date) as first_date,
        max(date) as last_date
    from days
    where is_dry
    group by program, gauge, semester, n_ends_before
),

longest as (
    select
        *,
        row_number() over (partition by program, gauge, semester order by n_days desc, first_date asc) as place
    from runs
),

semesters as (
    select
        program,
        gauge,
        semester,
        cast({{ days_between('min(start_date)', 'max(date)') }} + 1 as bigint) as n_days,
        count(case when prcp_mm >= 1.0 then 1 end) as n_wet_days,
        count(case when is_dry then 1 end) as n_dry_days
    from days
    group by program, gauge, semester
),

spells as (
    select
        s.*,
        s.n_days - s.n_wet_days - s.n_dry_days as n_missing_days,
        coalesce(l.n_days, 0) as longest_days,
        l.first_date as spell_first_date,
        l.last_date as spell_last_date
    from semesters as s
    left join longest as l
        on s.program = l.program and s.gauge = l.gauge and s.semester = l.semester and l.place = 1
)

select
    s.*,
    dry_spell_sentence(
        g.gauge_name, s.semester, s.longest_days, cast(s.spell_first_date as {{ text_type() }}),
        cast(s.spell_last_date as {{ text_type() }}), s.n_days, s.n_wet_days, s.n_missing_days
    ) as sentence
from spells as s
left join {{ received('gauges') }} as g on s.gauge = g.gauge
