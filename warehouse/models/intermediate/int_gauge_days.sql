-- One row per gauge and day, from the first day of the record to its last or to the last reading that needs it.
with entries as (
    select
        w.*,
        row_number() over (
            partition by w.program, w.gauge, w.date, w.element order by u.sequence desc, w.row_number desc
        ) as place
    from {{ received('weather') }} as w
    inner join {{ received('uploads') }} as u on w.upload_id = u.upload_id
    where w.status in ('accepted', 'flagged')
),

days as (
    select
        program,
        gauge,
        date,
        max(case when element = 'PRCP' then amount_mm end) as prcp_mm,
        max(case when element = 'PRCP' and is_trace then 1 else 0 end) = 1 as is_trace,
        max(case when element = 'TMAX' then temperature_c end) as tmax_c,
        max(case when element = 'TMIN' then temperature_c end) as tmin_c,
        max(case when element = 'MDPR' then amount_mm end) as several_days_mm,
        max(case when element in ('MDPR', 'DAPR') then days end) as several_days
    from entries
    where place = 1
    group by program, gauge, date
),

readings as (
    select
        r.program,
        s.gauge,
        max(r.date) as last_date
    from {{ ref('stg_readings') }} as r
    inner join {{ received('sites') }} as s on r.site = s.site
    where r.status in ('accepted', 'flagged')
    group by r.program, s.gauge
),

records as (
    select
        d.program,
        d.gauge,
        min(d.date) as first_date,
        greatest(max(d.date), max(coalesce(r.last_date, d.date))) as last_date
    from days as d
    left join readings as r on d.program = r.program and d.gauge = r.gauge
    group by d.program, d.gauge
),

calendar as (
    select
        program,
        gauge,
        {{ day_series('first_date', 'last_date') }} as date
    from records
)

select
    c.program,
    c.gauge,
    c.date,
    d.prcp_mm,
    coalesce(d.is_trace, false) as is_trace,
    d.tmax_c,
    d.tmin_c,
    d.several_days_mm,
    d.several_days
from calendar as c
left join days as d on c.program = d.program and c.gauge = d.gauge and c.date = d.date
