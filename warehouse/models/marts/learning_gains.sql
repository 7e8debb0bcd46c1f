-- One row per program, semester and instrument: what the class gained between the sitting before and the one after.
{%- set keys = ['program', 'semester', 'instrument'] %}
{%- set of_gain = [
    'n_matched', 'n_pre_only', 'n_post_only', 'pre_mean_percent', 'post_mean_percent',
    'class_gain', 'class_gain_ci_low', 'class_gain_ci_high', 'class_gain_band',
    'gain_mean_of_students', 'gain_median_of_students', 'n_gain_undefined',
    'difference_percent', 'difference_ci_low_percent', 'difference_ci_high_percent',
    'd_av', 'd_av_ci_low', 'd_av_ci_high', 'reason_code', 'reason', 'sentence',
] %}
with students as (
    select
        {{ keys | join(', ') }},
        student,
        max(case when phase = 'pre' then score_percent end) as pre_percent,
        max(case when phase = 'post' then score_percent end) as post_percent,
        count(*) - count(score_percent) as n_without_score
    from {{ ref('int_student_sittings') }}
    group by {{ keys | join(', ') }}, student
),

classes as (
    select
        {{ keys | join(', ') }},
        count(case when n_without_score > 0 then 1 end) as n_absent,
        learning_gain(
            {{ listed('pre_percent', 'student') }}, {{ listed('post_percent', 'student') }}, semester, instrument
        ) as gain
    from students
    group by {{ keys | join(', ') }}
)

select
    {{ prefixed('c', keys) }},
    cast(split_part(c.semester, '-', 1) as bigint) as year,
    split_part(c.semester, '-', 2) as season,
    c.n_absent,
    {{ fields('c.gain', of_gain) }}
from classes as c
