-- One row per plant, date and sampling window: the mean of its usable leaves, or the bound that they leave.
-- A leaf whose endpoint was never reached is drier than its limit. The plant's mean is then drier than the mean of its
-- leaves with the limit in the place of that leaf, and this is given as a bound, never as a value. Readings of one leaf
-- are averaged first: a leaf that was read twice weighs no more than another.
{%- set of_plant = [
    'program', 'semester', 'year', 'season', 'section', 'date', 'site', 'site_name', 'topographic_position', 'taxon',
    'scientific_name', 'common_name', 'functional_group', 'growth_form', 'gauge', 'rain_30d_mm', 'antecedent_index_mm',
    'modelled_relative_water'
] %}
with leaves as (
    select
        plant_key,
        sampling_window,
        avg(water_potential_mpa) as water_potential_mpa,
        count(case when below_limit then 1 end) > 0 as below_limit,
        count(plant) = 0 as leaf_stands_for_plant,
        {{ any_values(of_plant) }}
    from {{ ref('observations') }}
    where usable and sampling_window is not null
    group by plant_key, sampling_window, coalesce(leaf, observation_id)
)

select
    plant_key,
    sampling_window,
    count(*) as n_leaves,
    count(case when below_limit then 1 end) as n_below_limit,
    avg(water_potential_mpa) as water_potential_mpa,
    count(case when below_limit then 1 end) > 0 as below_limit,
    count(case when leaf_stands_for_plant then 1 end) > 0 as leaf_stands_for_plant,
    {{ any_values(of_plant) }}
from leaves
group by plant_key, sampling_window
-- Sorted once, for every role's file.
order by program, semester, site, taxon, date, sampling_window, plant_key
