-- One row per program, semester, date, site, taxon and sampling window: what was read, and the rain before it.
-- Small however many sections go out: what is asked over all years is asked of this table.
{%- set keys = ['program', 'semester', 'date', 'site', 'taxon', 'sampling_window'] %}
{%- set of_day = [
    'site_name', 'topographic_position', 'scientific_name', 'functional_group', 'gauge', 'antecedent_index_mm',
    'modelled_relative_water'
] %}
with readings as (
    select
        {{ keys | join(', ') }},
        any_value(days_since_rain) as days_since_rain,
        count(*) as n_readings
    from {{ ref('observations') }}
    where usable and sampling_window is not null
    group by {{ keys | join(', ') }}
),

plants as (
    select
        {{ keys | join(', ') }},
        count(*) as n_plants,
        avg(water_potential_mpa) as water_potential_mpa,
        count(case when below_limit then 1 end) > 0 as below_limit,
        {{ any_values(of_day) }}
    from {{ ref('plant_values') }}
    group by {{ keys | join(', ') }}
)

select
    {%- for column in keys + of_day %}
        p.{{ column }},
    {%- endfor %}
    r.days_since_rain,
    r.n_readings,
    p.n_plants,
    p.water_potential_mpa,
    p.below_limit
from plants as p
inner join readings as r on {{ alike('p', 'r', keys) }}
