-- One row per student, semester, instrument and phase: the whole score, percent of the points, or none.
-- The whole is the total where the file has one, else the sum of the items, if the student has each of the section's.
with asked as (
    select
        program,
        semester,
        coalesce(section, '') as section,
        instrument,
        phase,
        count(distinct item) as n_items
    from {{ ref('assessment_scores') }}
    where is_scored
    group by program, semester, coalesce(section, ''), instrument, phase
),

summed as (
    select
        program,
        semester,
        instrument,
        phase,
        student,
        max(coalesce(section, '')) as section,
        sum(case when is_scored and item is null then score end) as total,
        sum(case when is_scored and item is null then max_score end) as most_of_total,
        sum(case when is_scored and item is not null then score end) as items,
        sum(case when is_scored and item is not null then max_score end) as most_of_items,
        count(distinct case when is_scored then item end) as n_items
    from {{ ref('assessment_scores') }}
    group by program, semester, instrument, phase, student
)

select
    s.program,
    s.semester,
    s.instrument,
    s.phase,
    s.student,
    case
        when s.total is not null then 100 * s.total / s.most_of_total
        when s.n_items > 0 and s.n_items = a.n_items then 100 * s.items / s.most_of_items
    end as score_percent
from summed as s
left join asked as a
    on
        s.program = a.program and s.semester = a.semester and s.section = a.section
        and s.instrument = a.instrument and s.phase = a.phase
