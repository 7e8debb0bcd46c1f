-- One row per program, semester, functional group, sampling window and contrast: lowland minus upland, like with like.
-- Welch's interval on plant values (Welch 1947, Biometrika 34:28), 95 %; null with a reason where it would not be fair.
with sides as (
    select
        program,
        semester,
        functional_group,
        sampling_window,
        {%- for side, position in [('high', 'upland'), ('low', 'lowland')] %}
            {%- set here = "topographic_position = '" ~ position ~ "'" %}
            count(case when {{ here }} then 1 end) as n_plants_{{ side }},
            cast(coalesce(sum(case when {{ here }} then n_leaves end), 0) as bigint) as n_leaves_{{ side }},
            count(case when {{ here }} and below_limit then 1 end) as n_bounds_{{ side }},
            avg(case when {{ here }} then water_potential_mpa end) as mean_{{ side }},
            power(stddev_samp(case when {{ here }} then water_potential_mpa end), 2) as variance_{{ side }},
        {%- endfor %}
        'lowland_minus_upland' as contrast
    from {{ ref('plant_values') }}
    where topographic_position in ('upland', 'lowland')
    group by program, semester, functional_group, sampling_window
),

judged as (
    select
        *,
        case when n_bounds_high = 0 then mean_high end as mean_high_mpa,
        case when n_bounds_low = 0 then mean_low end as mean_low_mpa,
        variance_high / nullif(n_plants_high, 0) as v_high,
        variance_low / nullif(n_plants_low, 0) as v_low,
        case
            when n_plants_high = 0 then 'nothing was read on the upland'
            when n_plants_low = 0 then 'nothing was read on the lowland'
            when n_bounds_high + n_bounds_low > 0
                then concat(n_bounds_high + n_bounds_low, ' plants are drier than the chamber could show: no mean')
            when least(n_plants_high, n_plants_low) < 2 then 'two plants on each side are needed'
            when variance_high + variance_low = 0 then 'the plants do not differ within the sides: no interval'
        end as reason
    from sides
),

tested as (
    select
        *,
        mean_low_mpa - mean_high_mpa as difference_mpa,
        case when reason is null then sqrt(v_high + v_low) end as se_mpa,
        power(v_high + v_low, 2)
        / nullif(power(v_high, 2) / nullif(n_plants_high - 1, 0) + power(v_low, 2) / nullif(n_plants_low - 1, 0), 0)
            as welch_df
    from judged
)

select
    program,
    semester,
    cast(split_part(semester, '-', 1) as bigint) as year,
    split_part(semester, '-', 2) as season,
    functional_group,
    sampling_window,
    contrast,
    n_plants_high,
    n_leaves_high,
    mean_high_mpa,
    n_plants_low,
    n_leaves_low,
    mean_low_mpa,
    difference_mpa,
    se_mpa,
    case when reason is null then welch_df end as df,
    difference_mpa - {{ t_quantile('0.975', 'welch_df') }} * se_mpa as ci_low_mpa,
    difference_mpa + {{ t_quantile('0.975', 'welch_df') }} * se_mpa as ci_high_mpa,
    reason
from tested
