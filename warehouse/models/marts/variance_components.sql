-- One row per program, functional group and sampling window: how much plants differ, and the leaves of a plant.
-- Method of moments of a nested analysis of variance (Searle, Casella & McCulloch 1992, Variance Components, ch. 3;
-- from memory): leaves within plants, plants within one section, date, site and taxon: weather and place do not count.
{%- set group = 'program, functional_group, sampling_window' %}
with plants as (
    select
        {{ group }},
        concat_ws('/', semester, section, cast(date as {{ text_type() }}), site, taxon) as cell,
        plant_key,
        count(*) as n,
        avg(water_potential_mpa) as mean_mpa,
        coalesce(var_samp(water_potential_mpa) * (count(*) - 1), 0) as ss_within
    from {{ ref('observations') }}
    where usable and not below_limit and plant is not null and sampling_window is not null
    group by {{ group }}, cell, plant_key
),

centred as (
    select
        *,
        mean_mpa - sum(n * mean_mpa) over of_cell / sum(n) over of_cell as from_cell_mpa
    from plants
    window of_cell as (partition by {{ group }}, cell)
),

cells as (
    select
        {{ group }},
        cell,
        count(*) as n_plants,
        sum(n) as n_leaves,
        sum(n * n) / sum(n) as weight,
        sum(ss_within) as ss_within,
        sum(n * power(from_cell_mpa, 2)) as ss_between
    from centred
    group by {{ group }}, cell
),

sums as (
    select
        {{ group }},
        count(*) as n_sets,
        cast(sum(n_plants) as bigint) as n_plants,
        cast(sum(n_leaves) as bigint) as n_leaves,
        sum(ss_between) / nullif(sum(n_plants) - count(*), 0) as ms_between,
        sum(ss_within) / nullif(sum(n_leaves) - sum(n_plants), 0) as ms_within,
        (sum(n_leaves) - sum(weight)) / nullif(sum(n_plants) - count(*), 0) as leaves_per_plant,
        case
            when sum(n_plants) - count(*) < {{ least_df() }} then 'too_few_plants'
            when sum(n_leaves) - sum(n_plants) < {{ least_df() }} then 'one_leaf_a_plant'
        end as reason_code
    from cells
    group by {{ group }}
)

select
    {{ group }},
    n_sets,
    n_plants,
    n_leaves,
    case when reason_code is null then leaves_per_plant end as leaves_per_plant,
    case when reason_code is null then sqrt(greatest(ms_between - ms_within, 0) / leaves_per_plant) end as sd_plant_mpa,
    case when reason_code is null then sqrt(ms_within) end as sd_leaf_mpa,
    reason_code is null and ms_between <= ms_within as is_boundary,
    reason_code,
    case reason_code
        when 'too_few_plants' then 'Too few numbered plants were read side by side to tell how much plants differ.'
        when 'one_leaf_a_plant' then 'Too few plants had a second leaf read: plants and leaves cannot be told apart.'
    end as reason
from sums
