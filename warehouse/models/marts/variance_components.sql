-- One row per program, functional group and sampling window: how much plants differ, and the leaves of a plant.
-- Method of moments of a nested analysis of variance (Searle, Casella & McCulloch 1992, Variance Components, ch. 3;
-- from memory): leaves within plants, plants within one section, date, site and taxon: weather and place do not count.
with leaves as (
    select
        *,
        concat_ws('/', semester, section, cast(date as {{ text_type() }}), site, taxon) as place_and_day
    from {{ ref('observations') }}
    where usable and not below_limit and plant is not null and sampling_window is not null
),

plants as (
    select
        program,
        functional_group,
        sampling_window,
        place_and_day,
        plant_key,
        count(*) as n,
        avg(water_potential_mpa) as mean_mpa,
        coalesce(var_samp(water_potential_mpa) * (count(*) - 1), 0) as ss_within
    from leaves
    group by program, functional_group, sampling_window, place_and_day, plant_key
),

centred as (
    select
        *,
        sum(n * mean_mpa) over (partition by program, functional_group, sampling_window, place_and_day)
        / sum(n) over (partition by program, functional_group, sampling_window, place_and_day) as cell_mean_mpa
    from plants
),

cells as (
    select
        program,
        functional_group,
        sampling_window,
        place_and_day,
        count(*) as n_plants,
        sum(n) as n_leaves,
        sum(n * n) / sum(n) as weight,
        sum(ss_within) as ss_within,
        sum(n * power(mean_mpa - cell_mean_mpa, 2)) as ss_between
    from centred
    group by program, functional_group, sampling_window, place_and_day
),

sums as (
    select
        program,
        functional_group,
        sampling_window,
        count(*) as n_places_and_days,
        cast(sum(n_plants) as bigint) as n_plants,
        cast(sum(n_leaves) as bigint) as n_leaves,
        sum(n_plants) - count(*) as df_between,
        sum(n_leaves) - sum(n_plants) as df_within,
        sum(ss_between) / nullif(sum(n_plants) - count(*), 0) as ms_between,
        sum(ss_within) / nullif(sum(n_leaves) - sum(n_plants), 0) as ms_within,
        (sum(n_leaves) - sum(weight)) / nullif(sum(n_plants) - count(*), 0) as leaves_per_plant
    from cells
    group by program, functional_group, sampling_window
),

estimates as (
    select
        *,
        case
            when df_between < {{ least_df() }} then 'too_few_plants'
            when df_within < {{ least_df() }} then 'one_leaf_a_plant'
        end as reason_code
    from sums
)

select
    program,
    functional_group,
    sampling_window,
    n_places_and_days,
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
from estimates
