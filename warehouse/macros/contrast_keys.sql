{#- What tells one contrast from another. -#}
{% macro contrast_keys() -%}
    {{ return([
        'program', 'semester', 'kind', 'within', 'group_or_taxon', 'sampling_window', 'side_a', 'side_b',
    ]) }}
{%- endmacro %}

{#-
    Holm's adjusted p-values (Holm 1979, Scand. J. Stat. 6:65) in two steps: the rank of each p-value in its family with the
    family's size, then the running maximum of p times the number of tests not yet rejected. A null is no test.
-#}
{% macro holm_ranks(p_value, family, name='') -%}
    count({{ p_value }}) over (partition by {{ family }}) as n_tests{{ name }},
    row_number() over (partition by {{ family }} order by {{ p_value }} nulls last) as holm_rank{{ name }}
{%- endmacro %}

{% macro holm(p_value, family, name='') -%}
    case when {{ p_value }} is not null then least(1.0, max({{ p_value }} * (n_tests{{ name }} - holm_rank{{ name }} + 1)) over (
        partition by {{ family }} order by holm_rank{{ name }} rows between unbounded preceding and current row
    )) end
{%- endmacro %}

{% macro year_and_season(semester) -%}
    cast(split_part({{ semester }}, '-', 1) as bigint) as year,
    split_part({{ semester }}, '-', 2) as season
{%- endmacro %}

{#- Nulls in the place of columns, which are given as type to names. -#}
{% macro nulls_for(columns) -%}
    {% for type, names in columns.items() %}
        {%- for name in names %}cast(null as {{ type }}) as {{ name }}{{ ', ' if not loop.last }}{% endfor %}{{ ', ' if not loop.last }}
    {% endfor %}
{%- endmacro %}

{#- Whether two relations have the same keys. -#}
{% macro alike(first, second, keys) -%}
    {% for key in keys %}{{ first }}.{{ key }} = {{ second }}.{{ key }}{{ ' and ' if not loop.last }}{% endfor %}
{%- endmacro %}

{#- The columns of a contrast that was measured, and their types. -#}
{% macro contrast_columns() -%}
    {{ return({
        'bigint': [
            'n_plants_a', 'n_plants_b', 'n_leaves_a', 'n_leaves_b', 'n_bounds_a', 'n_bounds_b', 'n_sites_a', 'n_sites_b',
            'n_tests', 'n_tests_over_years',
        ],
        'boolean': ['kinds_are_alike', 'leaves_stand_for_plants'],
        'double': [
            'mean_a_mpa', 'mean_b_mpa', 'difference_mpa', 'se_mpa', 'df', 'ci_low_mpa', 'ci_high_mpa', 'p_value', 'p_holm',
            'p_holm_over_years', 'hedges_g', 'g_low', 'g_high', 'bca_low_mpa', 'bca_high_mpa', 'logrank_p_value',
            'sd_plant_mpa', 'sd_section_mpa', 'sd_observer_mpa', 'sd_leaf_mpa',
        ],
        text_type(): ['family_of_tests', 'at_boundary', 'left_out', 'readings_a', 'readings_b'],
    }) }}
{%- endmacro %}
