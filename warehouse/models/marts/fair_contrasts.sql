-- One row per program, semester, functional group, sampling window and contrast: lowland minus upland, like with like.
-- Welch's interval on plant values (Welch 1947, Biometrika 34:28), 95 %; null with a reason where it would not be fair.
with sides as (
    select
        program,
        semester,
        year,
        season,
        functional_group,
        sampling_window,
        topographic_position,
        count(*) as n_plants,
        sum(n_leaves) as n_leaves,
        count(case when below_limit then 1 end) as n_bounds,
        case when count(case when below_limit then 1 end) = 0 then avg(water_potential_mpa) end as mean_mpa,
        power(stddev_samp(water_potential_mpa), 2) / count(*) as error_variance
    from {{ ref('plant_values') }}
    where topographic_position in ('upland', 'lowland')
    group by program, semester, year, season, functional_group, sampling_window, topographic_position
),

pairs as (
    select
        coalesce(h.program, l.program) as program,
        coalesce(h.semester, l.semester) as semester,
        coalesce(h.year, l.year) as year,
        coalesce(h.season, l.season) as season,
        coalesce(h.functional_group, l.functional_group) as functional_group,
        coalesce(h.sampling_window, l.sampling_window) as sampling_window,
        coalesce(h.n_plants, 0) as n_plants_high,
        coalesce(h.n_leaves, 0) as n_leaves_high,
        h.mean_mpa as mean_high_mpa,
        coalesce(l.n_plants, 0) as n_plants_low,
        coalesce(l.n_leaves, 0) as n_leaves_low,
        l.mean_mpa as mean_low_mpa,
        case
            when h.n_plants is null then 'nothing was read on the upland'
            when l.n_plants is null then 'nothing was read on the lowland'
            when h.n_bounds + l.n_bounds > 0
                then concat(h.n_bounds + l.n_bounds, ' plants are drier than the chamber could show: no difference of means')
            when least(h.n_plants, l.n_plants) < 2 then 'two plants on each side are needed'
            when h.error_variance + l.error_variance = 0 then 'the plants do not differ within the sides: no interval'
        end as reason,
        h.error_variance as v_high,
        l.error_variance as v_low
    from (select * from sides where topographic_position = 'upland') as h
    full outer join (select * from sides where topographic_position = 'lowland') as l
        on h.program = l.program and h.semester = l.semester and h.functional_group = l.functional_group
        and h.sampling_window = l.sampling_window
),

tested as (
    select
        *,
        'lowland_minus_upland' as contrast,
        mean_low_mpa - mean_high_mpa as difference_mpa,
        case when reason is null then sqrt(v_high + v_low) end as se_mpa,
        case when reason is null then
            power(v_high + v_low, 2) / (power(v_high, 2) / (n_plants_high - 1) + power(v_low, 2) / (n_plants_low - 1))
        end as df
    from pairs
)

select
    *,
    difference_mpa - {{ t_quantile('0.975', 'df') }} * se_mpa as ci_low_mpa,
    difference_mpa + {{ t_quantile('0.975', 'df') }} * se_mpa as ci_high_mpa
from tested
