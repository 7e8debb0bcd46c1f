-- One row per plant, date and sampling window: the mean of its usable leaves, or the bound that they leave.
-- A leaf whose endpoint was never reached is drier than its limit. The plant's mean is then drier than the mean of its
-- leaves with the limit in the place of that leaf, and this is given as a bound, never as a value.
select
    program,
    semester,
    year,
    season,
    section,
    date,
    site,
    site_name,
    topographic_position,
    taxon,
    scientific_name,
    common_name,
    functional_group,
    growth_form,
    gauge,
    sampling_window,
    plant_key,
    count(distinct coalesce(leaf, observation_id)) as n_leaves,
    count(distinct case when below_limit then coalesce(leaf, observation_id) end) as n_below_limit,
    avg(water_potential_mpa) as water_potential_mpa,
    count(case when below_limit then 1 end) > 0 as below_limit,
    count(plant) = 0 as leaf_stands_for_plant,
    case when count(rain_30d_mm) = count(*) then avg(rain_30d_mm) end as rain_30d_mm,
    case when count(antecedent_index_mm) = count(*) then avg(antecedent_index_mm) end as antecedent_index_mm
from {{ ref('observations') }}
where usable and sampling_window is not null
group by
    program, semester, year, season, section, date, site, site_name, topographic_position, taxon, scientific_name,
    common_name, functional_group, growth_form, gauge, sampling_window, plant_key
