-- One row per program, semester and section: what became of the rows that were written down.
-- Rows set aside may name no semester or section: they count where their upload has only one, else under 'unknown'.
with rows_placed as (
    select
        r.*,
        coalesce(
            r.semester,
            case when u.semesters not like '%;%' then nullif(u.semesters, '') end,
            'unknown'
        ) as cohort,
        coalesce(
            r.section,
            case when u.sections not like '%;%' then nullif(split_part(u.sections, '/', 2), '') end,
            'unknown'
        ) as lab_section
    from {{ ref('stg_readings') }} as r
    inner join {{ received('uploads') }} as u on r.upload_id = u.upload_id
    where not r.is_structural
),

counted as (
    select
        program,
        cohort as semester,
        lab_section as section,
        count(*) as n_rows,
        count(case when status = 'accepted' then 1 end) as n_accepted,
        count(case when status = 'flagged' then 1 end) as n_flagged,
        count(case when status = 'set_aside' then 1 end) as n_set_aside,
        count(case when status <> 'set_aside' and usable then 1 end) as n_usable,
        count(case when status <> 'set_aside' and below_limit then 1 end) as n_below_limit,
        count(case when status <> 'set_aside' and endpoint = 'doubtful' then 1 end) as n_doubtful_endpoint,
        count(case when status <> 'set_aside' and leaf_state = 'senesced' then 1 end) as n_senesced,
        count(case when status <> 'set_aside' and concat(';', flags, ';') like '%;late_reading;%' then 1 end) as n_late,
        count(distinct observer) as n_observers
    from rows_placed
    group by program, cohort, lab_section
)

select
    *,
    cast(n_set_aside as double) / n_rows as share_set_aside,
    cast(n_flagged as double) / n_rows as share_flagged,
    cast(n_doubtful_endpoint as double) / nullif(n_accepted + n_flagged, 0) as share_doubtful_endpoint
from counted
