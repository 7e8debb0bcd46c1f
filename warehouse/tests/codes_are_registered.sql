-- Every code that an observation or a site names is in its register, and every key of a register is there once.
with named as (
    select
        'sites' as register,
        site as code,
        count(*) as n_rows
    from {{ ref('observations') }}
    group by site
    union all
    select
        'taxa' as register,
        taxon as code,
        count(*) as n_rows
    from {{ ref('observations') }}
    group by taxon
    union all
    select
        'semesters' as register,
        semester as code,
        count(*) as n_rows
    from {{ ref('observations') }}
    group by semester
    union all
    select
        'sections' as register,
        concat(semester, '/', section) as code,
        count(*) as n_rows
    from {{ ref('observations') }}
    group by semester, section
    union all
    select
        'gauges' as register,
        gauge as code,
        count(*) as n_rows
    from {{ received('sites') }}
    group by gauge
    union all
    select
        'gauges' as register,
        gauge as code,
        count(*) as n_rows
    from {{ ref('rain_months') }}
    group by gauge
    union all
    select
        'semesters' as register,
        semester as code,
        count(*) as n_rows
    from {{ ref('learning_outcomes') }}
    group by semester
    union all
    select
        'outcomes' as register,
        outcome as code,
        count(*) as n_rows
    from {{ ref('rubric_levels') }}
    group by outcome
),

registered as (
    select
        'sites' as register,
        site as code
    from {{ received('sites') }}
    union all
    select
        'taxa' as register,
        taxon as code
    from {{ received('taxa') }}
    union all
    select
        'semesters' as register,
        semester as code
    from {{ received('semesters') }}
    union all
    select
        'sections' as register,
        concat(semester, '/', section) as code
    from {{ received('sections') }}
    union all
    select
        'gauges' as register,
        gauge as code
    from {{ received('gauges') }}
    union all
    select
        'chambers' as register,
        chamber as code
    from {{ received('chambers') }}
    union all
    select
        'outcomes' as register,
        outcome as code
    from {{ received('outcomes') }}
)

select
    concat(coalesce(n.code, '(blank)'), ' is used in ', n.n_rows, ' rows and is not in ', n.register, '.csv')
        as problems
from named as n
left join registered as r on n.register = r.register and n.code = r.code
where r.code is null
union all
select concat(coalesce(code, '(blank)'), ' is ', count(*), ' times in ', register, '.csv') as problems
from registered
group by register, code
having count(*) > 1
