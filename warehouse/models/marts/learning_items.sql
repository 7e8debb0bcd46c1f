-- One row per program, semester, instrument, phase and item: how hard it was, and how it goes along with the others.
{%- set keys = ['program', 'semester', 'instrument', 'phase'] %}
{%- set of_item = [
    'n_scored', 'difficulty', 'discrimination', 'alpha', 'n_complete', 'reason_code', 'reason', 'sentence',
] %}
with students as (
    select
        {{ keys | join(', ') }},
        item,
        student,
        avg(case when is_scored then score end) as score,
        avg(case when is_scored then max_score end) as max_score
    from {{ ref('assessment_scores') }}
    where item is not null
    group by {{ keys | join(', ') }}, item, student
),

absent as (
    select
        {{ keys | join(', ') }},
        item,
        count(*) - count(score) as n_absent
    from students
    group by {{ keys | join(', ') }}, item
),

sittings as (
    select
        {{ keys | join(', ') }},
        item_analysis(
            {{ listed('student', 'item, student') }}, {{ listed('item', 'item, student') }},
            {{ listed('score', 'item, student') }}, {{ listed('max_score', 'item, student') }},
            semester, instrument, phase
        ) as items
    from students
    group by {{ keys | join(', ') }}
),

analysed as (
    select
        {{ keys | join(', ') }},
        {{ rows_of_structs('items') }}
    from sittings
)

select
    {{ prefixed('i', keys) }},
    cast(split_part(i.semester, '-', 1) as bigint) as year,
    split_part(i.semester, '-', 2) as season,
    i.item,
    a.n_absent,
    {{ prefixed('i', of_item) }}
from analysed as i
inner join absent as a
    on {{ same(keys + ['item'], 'i', 'a') }}
