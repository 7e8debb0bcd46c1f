{#- "3 rows have no site" where the count is above 0, else null. -#}
{% macro complaint(counted, words) -%}
    case when {{ counted }} > 0 then concat({{ counted }}, ' rows {{ words }}') end
{%- endmacro %}
