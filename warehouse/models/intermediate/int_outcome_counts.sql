-- One row per program, semester, outcome and evidence: students scored, not scored, and attaining it.
-- Evidence 'none' is a gap: nothing speaks of the outcome in a semester that has a class, from the first one on in
-- which it is to be assessed.
with classes as (
    select
        program,
        semester
    from {{ ref('observations') }}
    union
    select
        program,
        semester
    from {{ ref('assessment_scores') }}
    union
    select
        program,
        semester
    from {{ ref('rubric_levels') }}
),

counted as (
    select
        program,
        semester,
        outcome,
        evidence,
        count(case when is_scored then 1 end) as n_scored,
        count(case when not is_scored then 1 end) as n_unscored,
        -- Null where the register states no target.
        cast(
            case
                when count(is_attained) = count(case when is_scored then 1 end)
                    then count(case when is_attained then 1 end)
            end as bigint
        ) as n_attained
    from {{ ref('int_student_outcomes') }}
    group by program, semester, outcome, evidence
),

gaps as (
    select
        c.program,
        c.semester,
        o.outcome
    from classes as c
    inner join {{ received('semesters') }} as s on c.semester = s.semester
    cross join {{ received('outcomes') }} as o
    left join {{ received('semesters') }} as f on o.from_semester = f.semester
    where f.start_date is null or f.start_date <= s.start_date
)

select
    program,
    semester,
    outcome,
    evidence,
    n_scored,
    n_unscored,
    n_attained
from counted
union all
select
    g.program,
    g.semester,
    g.outcome,
    'none' as evidence,
    0 as n_scored,
    0 as n_unscored,
    0 as n_attained
from gaps as g
left join counted as c on g.program = c.program and g.semester = c.semester and g.outcome = c.outcome
where c.outcome is null
