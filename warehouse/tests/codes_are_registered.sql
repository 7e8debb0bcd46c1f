-- Every code that an observation or a site names is in its register, and every key of a register is there once.
{%- set section = "concat(semester, '/', section)" %}
{%- set uses = [
    ('sites', 'site', ref('observations')),
    ('taxa', 'taxon', ref('observations')),
    ('semesters', 'semester', ref('observations')),
    ('sections', section, ref('observations')),
    ('gauges', 'gauge', received('sites')),
    ('gauges', 'gauge', ref('rain_months')),
    ('semesters', 'semester', ref('learning_outcomes')),
    ('outcomes', 'outcome', ref('rubric_levels')),
] %}
{%- set keys = {
    'sites': 'site', 'taxa': 'taxon', 'semesters': 'semester', 'sections': section, 'gauges': 'gauge', 'chambers': 'chamber',
    'outcomes': 'outcome',
} %}
with named as (
    {%- for register, code, relation in uses %}
        select
            '{{ register }}' as register,
            {{ code }} as code,
            count(*) as n_rows
        from {{ relation }}
        group by {{ code }}
        {{ 'union all' if not loop.last }}
    {%- endfor %}
),

registered as (
    {%- for register, code in keys.items() %}
        select
            '{{ register }}' as register,
            {{ code }} as code
        from {{ received(register) }}
        {{ 'union all' if not loop.last }}
    {%- endfor %}
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
