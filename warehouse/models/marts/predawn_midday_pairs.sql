-- One row per plant and date of which predawn and midday were read: potential of the night and of the following noon.
-- Plants are paired by their number: where none was written down, leaves stand for plants and nothing is paired.
with sides as (
    select
        plant_key,
        {%- for side in ['predawn', 'midday'] %}
            {%- set here = "sampling_window = '" ~ side ~ "'" %}
            max(case when {{ here }} then water_potential_mpa end) as {{ side }}_mpa,
            max(case when {{ here }} and below_limit then 1 when {{ here }} then 0 end) = 1 as {{ side }}_below_limit,
            cast(coalesce(sum(case when {{ here }} then n_leaves end), 0) as bigint) as n_leaves_{{ side }},
        {%- endfor %}
        {{ any_values([
            'program', 'semester', 'year', 'season', 'section', 'date', 'site', 'topographic_position', 'taxon',
            'common_name', 'functional_group',
        ]) }}
    from {{ ref('plant_values') }}
    where sampling_window in ('predawn', 'midday') and not leaf_stands_for_plant
    group by plant_key
)

select
    plant_key,
    program,
    semester,
    year,
    season,
    section,
    date,
    site,
    topographic_position,
    taxon,
    common_name,
    functional_group,
    n_leaves_predawn,
    n_leaves_midday,
    predawn_mpa,
    predawn_below_limit,
    midday_mpa,
    midday_below_limit,
    case when not predawn_below_limit then midday_mpa - predawn_mpa end as difference_mpa,
    not predawn_below_limit and midday_below_limit as difference_is_bound,
    not predawn_below_limit and not midday_below_limit and midday_mpa > predawn_mpa as is_midday_wetter,
    case
        when predawn_below_limit then 'predawn_below_limit'
        when not midday_below_limit and midday_mpa > predawn_mpa then 'midday_wetter'
    end as reason_code,
    case
        when predawn_below_limit then 'Predawn was drier than the chamber could show: the difference is not known.'
        when not midday_below_limit and midday_mpa > predawn_mpa
            then 'Midday was wetter than predawn: the two swapped, a wrong label, or rain between.'
    end as reason
from sides
where predawn_mpa is not null and midday_mpa is not null
order by program, date, site, taxon, plant_key
