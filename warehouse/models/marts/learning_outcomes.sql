-- One row per program, semester, outcome and evidence: how many students attained it, against the program's target.
-- An outcome without evidence in a semester that has a class has a row too: evidence 'none'.
{%- set of_attainment = [
    'share_attained', 'share_ci_low', 'share_ci_high', 'is_target_met', 'reason_code', 'reason', 'sentence',
] %}
with told as (
    select
        c.*,
        o.statement,
        o.target_share_percent / 100 as target_share,
        attainment(
            c.n_scored, c.n_unscored, c.n_attained, o.target_share_percent / 100, c.evidence, o.statement, c.semester
        ) as attained
    from {{ ref('int_outcome_counts') }} as c
    inner join {{ received('outcomes') }} as o on c.outcome = o.outcome
)

select
    t.program,
    t.semester,
    cast(split_part(t.semester, '-', 1) as bigint) as year,
    split_part(t.semester, '-', 2) as season,
    t.outcome,
    t.statement,
    t.evidence,
    t.n_scored,
    t.n_unscored,
    t.n_attained,
    t.target_share,
    {{ fields('t.attained', of_attainment) }}
from told as t
