{#- Degrees of freedom under which no variance component is given: the interval of such a variance is tenfold wide. -#}
{% macro least_df() -%}
    {{ return(8) }}
{%- endmacro %}
