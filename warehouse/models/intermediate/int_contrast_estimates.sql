-- One row per contrast: what was read on each side, and the difference by the method that the data allow.
{%- set keys = contrast_keys() %}
{%- set by_mixed = [
    'difference_mpa', 'se_mpa', 'df', 'ci_low_mpa', 'ci_high_mpa', 'p_value', 'sd_plant_mpa', 'sd_leaf_mpa',
] %}
with compared as (
    select
        {{ keys | join(', ') }},
        any_value(named) as named,
        {%- for side, here in [('a', 'is_first'), ('b', 'not is_first')] %}
            count(case when {{ here }} then 1 end) as n_plants_{{ side }},
            cast(coalesce(sum(case when {{ here }} then n_leaves end), 0) as bigint) as n_leaves_{{ side }},
            count(case when {{ here }} and below_limit then 1 end) as n_bounds_{{ side }},
            count(distinct case when {{ here }} then site end) as n_sites_{{ side }},
            count(distinct case when {{ here }} then taxon end) as n_taxa_{{ side }},
        {%- endfor %}
        count(distinct taxon) as n_taxa,
        max(case when leaf_stands_for_plant then 1 else 0 end) = 1 as leaves_stand_for_plants,
        plant_contrast(
            {%- for column in [
                'water_potential_mpa', 'below_limit', 'is_first', "case when is_by_site then site else '' end", 'same_plant',
            ] %}
                {{ listed(column, 'plant_key, plant_window') }}{{ ', ' if not loop.last }}
            {%- endfor %}
        ) as plants
    from {{ ref('int_contrast_plants') }}
    group by {{ keys | join(', ') }}
)

select
    c.{{ keys | join(', c.') }},
    c.named,
    {%- for side in ['a', 'b'] %}
        c.n_plants_{{ side }},
        c.n_leaves_{{ side }},
        c.n_bounds_{{ side }},
        c.n_sites_{{ side }},
        c.plants.mean_{{ side }}_mpa,
        c.plants.readings_{{ side }},
    {%- endfor %}
    c.n_taxa = c.n_taxa_a and c.n_taxa = c.n_taxa_b as kinds_are_alike,
    c.leaves_stand_for_plants,
    case when m.is_fitted then 'mixed' else c.plants.method end as method,
    {%- for column in by_mixed %}
        case when m.is_fitted then m.{{ column }} else c.plants.{{ column }} end as {{ column }},
    {%- endfor %}
    {%- for column in ['hedges_g', 'g_low', 'g_high', 'bca_low_mpa', 'bca_high_mpa', 'logrank_p_value'] %}
        c.plants.{{ column }},
    {%- endfor %}
    m.sd_section_mpa,
    m.sd_observer_mpa,
    m.at_boundary,
    m.left_out,
    m.reason_code as mixed_reason_code,
    c.plants.reason_code,
    c.plants.reason
from compared as c
left join {{ ref('int_contrast_mixed') }} as m on {{ alike('c', 'm', keys) }}
