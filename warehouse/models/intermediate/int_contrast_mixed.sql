-- One row per contrast whose leaves bear a mixed model: plants, sections and observers as random effects.
-- Plant means cannot take out what the plants that one person read have in common. To tell that from the plants takes
-- 8 plants on each side, plants with several leaves, 5 known observers or sections, and no bound. Above 300 leaves or
-- 40 observers, more than a class has, Welch serves. Between seasons nobody reads on both sides.
{%- set fitted = [
    'difference_mpa', 'se_mpa', 'df', 'ci_low_mpa', 'ci_high_mpa', 'p_value', 'sd_plant_mpa', 'sd_section_mpa',
    'sd_observer_mpa', 'sd_leaf_mpa', 'at_boundary', 'left_out', 'reason_code', 'reason',
] %}
{%- set keys = contrast_keys() %}
with bearing as (
    select {{ keys | join(', ') }}
    from {{ ref('int_contrast_plants') }}
    where kind in ('lowland_minus_upland', 'between_sites')
    group by {{ keys | join(', ') }}
    having
        least(count(case when is_first then 1 end), count(case when not is_first then 1 end)) >= 8
        and count(case when below_limit then 1 end) = 0
        and sum(n_leaves) > count(*)
        and sum(n_leaves) <= 300
),

leaves as (
    select
        p.{{ keys | join(', p.') }},
        p.is_first,
        case when p.is_by_site then p.site else '' end as site,
        p.plant_key,
        concat(o.semester, '/', o.section) as section,
        o.observer,
        coalesce(o.leaf, o.observation_id) as leaf,
        avg(o.water_potential_mpa) as water_potential_mpa
    from bearing as b
    inner join {{ ref('int_contrast_plants') }} as p on {{ alike('b', 'p', keys) }}
    inner join {{ ref('observations') }} as o
        on p.plant_key = o.plant_key and p.plant_window = o.sampling_window and o.usable
    group by {{ range(1, keys | length + 7) | join(', ') }}
),

fitted as (
    select
        {{ keys | join(', ') }},
        mixed_contrast(
            {%- for column in ['water_potential_mpa', 'is_first', 'site', 'plant_key', 'section', 'observer'] %}
                {{ listed(column, 'plant_key, leaf, observer') }}{{ ', ' if not loop.last }}
            {%- endfor %}
        ) as fit
    from leaves
    group by {{ keys | join(', ') }}
    having greatest(count(distinct observer), count(distinct section)) between 5 and 40
)

select
    {{ keys | join(', ') }},
    fit.{{ fitted | join(', fit.') }},
    fit.difference_mpa is not null as is_fitted
from fitted
