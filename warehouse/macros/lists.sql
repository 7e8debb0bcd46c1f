{#- Lists, in which engines differ too: made of a group's rows, and taken apart into rows. -#}

{#- The values of a group as a list in a stated order, as a statistic takes them: nulls stay in their places. -#}
{% macro listed(value, order) -%}
    {{ return(adapter.dispatch('listed')(value, order)) }}
{%- endmacro %}

{% macro default__listed(value, order) -%}
    list({{ value }} order by {{ order }})
{%- endmacro %}

{% macro spark__listed(value, order) -%}
    transform(array_sort(collect_list(struct({{ order }}, {{ value }} as listed_value))), entry -> entry.listed_value)
{%- endmacro %}

{#- Lists of one length as columns, one row per place. `lists` maps each column's name to its list. -#}
{% macro rows_of_lists(lists) -%}
    {{ return(adapter.dispatch('rows_of_lists')(lists)) }}
{%- endmacro %}

{% macro default__rows_of_lists(lists) -%}
    {%- for name, list in lists.items() %}
        unnest({{ list }}) as {{ name }}{{ ',' if not loop.last }}
    {%- endfor %}
{%- endmacro %}

{% macro spark__rows_of_lists(lists) -%}
    inline(arrays_zip({{ lists.values() | join(', ') }})) as ({{ lists.keys() | join(', ') }})
{%- endmacro %}

{#- One row per place of a list of structs, with a column per field: all columns of the select that it ends. -#}
{% macro rows_of_structs(list) -%}
    {{ return(adapter.dispatch('rows_of_structs')(list)) }}
{%- endmacro %}

{% macro default__rows_of_structs(list) -%}
    unnest({{ list }}, recursive := true)
{%- endmacro %}

{% macro spark__rows_of_structs(list) -%}
    inline({{ list }})
{%- endmacro %}
