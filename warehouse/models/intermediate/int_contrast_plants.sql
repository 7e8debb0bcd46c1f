-- One row per contrast, side and plant: whose values each contrast compares.
-- Over seasons and rain a site takes part where each side has two plants; predawn and midday take plants with both.
{%- set of_plant = [
    'plant_key', 'section', 'date', 'site', 'topographic_position', 'taxon', 'n_leaves', 'n_below_limit',
    'water_potential_mpa', 'below_limit', 'leaf_stands_for_plant',
] %}
with plants as ({{ plants_within() }}),

sides as (
    {% for side in ['a', 'b'] %}
        select
            c.kind,
            c.program,
            c.within,
            c.group_or_taxon,
            c.named,
            c.semester,
            c.sampling_window,
            c.side_a,
            c.side_b,
            c.is_by_site,
            {{ 'true' if side == 'a' else 'false' }} as is_first,
            p.sampling_window as plant_window,
            p.{{ of_plant | join(', p.') }}
        from {{ ref('int_contrasts') }} as c
        inner join plants as p
            on
                c.program = p.program
                and c.within = p.within
                and c.group_or_taxon = p.group_or_taxon
                and c.{{ side }}_semester = p.semester
                and c.{{ side }}_sampling_window = p.sampling_window
                and coalesce(c.{{ side }}_topographic_position, p.topographic_position) = p.topographic_position
                and coalesce(c.{{ side }}_site, p.site) = p.site
                and coalesce(c.{{ side }}_date, p.date) = p.date
        {{ 'union all' if not loop.last }}
    {% endfor %}
),

-- A plant on two days goes by its number in its section, site and taxon. Where a class numbered other plants alike, the
-- pairs are of strangers: their differences still have the right mean and spread, and only degrees of freedom are lost.
named as (
    select
        *,
        case
            when kind = 'predawn_minus_midday' then plant_key
            when kind = 'after_minus_before_rain' and not leaf_stands_for_plant
                then replace(plant_key, concat('/', cast(date as {{ text_type() }}), '/'), '/')
        end as same_plant
    from sides
),

counted as (
    select
        *,
        count(case when is_first then 1 end) over by_site as n_first,
        count(case when not is_first then 1 end) over by_site as n_second,
        count(*) over by_plant as n_of_plant
    from named
    window
        by_site as (
            partition by {{ contrast_keys() | join(', ') }}, site
        ),
        by_plant as (
            partition by {{ contrast_keys() | join(', ') }}, coalesce(same_plant, plant_key)
        )
)

select *
from counted
where
    (not is_by_site or (n_first >= 2 and n_second >= 2))
    and (kind <> 'predawn_minus_midday' or n_of_plant = 2)
