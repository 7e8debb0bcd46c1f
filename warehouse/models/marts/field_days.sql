-- One row per program, semester, date, site, taxon and sampling window: what was read, and the rain before it.
-- Small however many sections go out: what is asked over all years is asked of this table.
{%- set of_day = [
    'site_name', 'topographic_position', 'scientific_name', 'functional_group', 'gauge', 'antecedent_index_mm',
    'modelled_relative_water'
] %}
with readings as (
    select
        program,
        semester,
        date,
        site,
        taxon,
        sampling_window,
        any_value(days_since_rain) as days_since_rain,
        count(*) as n_readings
    from {{ ref('observations') }}
    where usable and sampling_window is not null
    group by program, semester, date, site, taxon, sampling_window
),

plants as (
    select
        program,
        semester,
        date,
        site,
        taxon,
        sampling_window,
        count(*) as n_plants,
        avg(water_potential_mpa) as water_potential_mpa,
        count(case when below_limit then 1 end) > 0 as below_limit,
        {{ any_values(of_day) }}
    from {{ ref('plant_values') }}
    group by program, semester, date, site, taxon, sampling_window
)

select
    p.program,
    p.semester,
    p.date,
    p.site,
    p.taxon,
    p.sampling_window,
    {%- for column in of_day %}
        p.{{ column }},
    {%- endfor %}
    r.days_since_rain,
    r.n_readings,
    p.n_plants,
    p.water_potential_mpa,
    p.below_limit
from plants as p
inner join readings as r
    on
        p.program = r.program
        and p.semester = r.semester
        and p.date = r.date
        and p.site = r.site
        and p.taxon = r.taxon
        and p.sampling_window = r.sampling_window
