-- One row per student, semester, outcome and evidence: whether the student was scored, and attained it.
-- By assessment: the score after the unit, on the items that the register names (each of them), else on the whole.
-- By rubric: the level. Attained is null where the register states no target.
with of_items as (
    select
        s.program,
        s.semester,
        o.outcome,
        s.student,
        100 * sum(case when s.is_scored then s.score end)
        / sum(case when s.is_scored then s.max_score end) as score_percent,
        count(distinct case when s.is_scored then s.item end) as n_items
    from {{ ref('assessment_scores') }} as s
    inner join {{ received('outcomes') }} as o
        on
            s.instrument = o.instrument
            and instr(concat('; ', lower(o.items), '; '), concat('; ', lower(s.item), '; ')) > 0
    where s.phase = 'post' and s.item is not null and coalesce(o.items, '') <> ''
    group by s.program, s.semester, o.outcome, s.student
),

assessed as (
    select
        i.program,
        i.semester,
        i.outcome,
        i.student,
        o.target_score_percent,
        case
            when i.n_items = length(o.items) - length(replace(o.items, ';', '')) + 1 then i.score_percent
        end as score_percent
    from of_items as i
    inner join {{ received('outcomes') }} as o on i.outcome = o.outcome
    union all
    select
        w.program,
        w.semester,
        o.outcome,
        w.student,
        o.target_score_percent,
        w.score_percent
    from {{ ref('int_student_sittings') }} as w
    inner join {{ received('outcomes') }} as o on w.instrument = o.instrument
    where w.phase = 'post' and coalesce(o.items, '') = ''
),

judged as (
    select
        r.program,
        r.semester,
        r.outcome,
        r.student,
        o.target_level,
        avg(case when r.is_scored then r.level end) as mean_level
    from {{ ref('rubric_levels') }} as r
    inner join {{ received('outcomes') }} as o on r.outcome = o.outcome
    group by r.program, r.semester, r.outcome, r.student, o.target_level
)

select
    program,
    semester,
    outcome,
    'assessment' as evidence,
    student,
    score_percent is not null as is_scored,
    score_percent >= target_score_percent - 1e-9 as is_attained
from assessed
union all
select
    program,
    semester,
    outcome,
    'rubric' as evidence,
    student,
    mean_level is not null as is_scored,
    mean_level >= target_level as is_attained
from judged
