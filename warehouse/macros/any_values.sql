{#- Columns that are the same in every row of a group, and need not be grouped by, which would be slower. -#}
{% macro any_values(columns) -%}
    {% for column in columns %}
        any_value({{ column }}) as {{ column }}{{ ', ' if not loop.last }}
    {% endfor %}
{%- endmacro %}
