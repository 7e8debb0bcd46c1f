-- One row per program, semester and section: what became of the rows that were written down, and how far to trust them.
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
        count(case when status <> 'set_aside' and concat(';', flags, ';') like '%;leaf_recut;%' then 1 end) as n_recut,
        count(case when status <> 'set_aside' and leaf_state = 'senesced' then 1 end) as n_senesced,
        count(case when status <> 'set_aside' and concat(';', flags, ';') like '%;late_reading;%' then 1 end) as n_late,
        count(distinct observer) as n_observers
    from rows_placed
    group by program, cohort, lab_section
),

-- The window in which most was read by more than one observer.
closest as (
    select
        *,
        row_number() over (partition by program, semester, section order by -n_paired, sampling_window) as place
    from {{ ref('observer_agreement') }}
)

select
    c.*,
    cast(c.n_set_aside as double) / c.n_rows as share_set_aside,
    cast(c.n_flagged as double) / c.n_rows as share_flagged,
    cast(c.n_doubtful_endpoint as double) / nullif(c.n_accepted + c.n_flagged, 0) as share_doubtful_endpoint,
    cast(c.n_recut as double) / nullif(c.n_accepted + c.n_flagged, 0) as share_recut,
    cast(c.n_late as double) / nullif(c.n_accepted + c.n_flagged, 0) as share_late,
    {%- for name in within_plant_fields() + observer_fields()[1:] + digit_fields() %}
        t.{{ name }},
    {%- endfor %}
    a.sampling_window as paired_window,
    a.n_paired,
    a.icc_2_1,
    a.icc_2_1_low,
    a.icc_2_1_high,
    a.repeatability_mpa,
    a.reason_code as paired_reason_code,
    a.reason as paired_reason,
    coalesce(t.sentence, 'No reading of this section is in use.') as sentence
from counted as c
left join {{ ref('int_cohort_trust') }} as t
    on c.program = t.program and c.semester = t.semester and c.section = t.section
left join closest as a
    on c.program = a.program and c.semester = a.semester and c.section = a.section and a.place = 1
