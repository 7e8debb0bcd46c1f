{#- Functions that SQL lacks; DuckDB gets them from warehouse/functions.py. Another engine registers its own. -#}

{% macro t_quantile(p, df) -%}
    {{ return(adapter.dispatch('t_quantile')(p, df)) }}
{%- endmacro %}

{% macro default__t_quantile(p, df) -%}
    t_quantile({{ p }}, {{ df }})
{%- endmacro %}

{% macro gamma_p(shape, x) -%}
    {{ return(adapter.dispatch('gamma_p')(shape, x)) }}
{%- endmacro %}

{% macro default__gamma_p(shape, x) -%}
    gamma_p({{ shape }}, {{ x }})
{%- endmacro %}

{% macro normal_quantile(p) -%}
    {{ return(adapter.dispatch('normal_quantile')(p)) }}
{%- endmacro %}

{% macro default__normal_quantile(p) -%}
    normal_quantile({{ p }})
{%- endmacro %}
