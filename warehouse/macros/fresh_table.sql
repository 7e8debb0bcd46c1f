{#- A table or view in a file that is new: one statement, nothing to drop, to rename or to keep. -#}
{% materialization fresh_table, adapter='duckdb' %}
    {{ return(create_fresh('table', sql)) }}
{% endmaterialization %}

{% materialization fresh_view, adapter='duckdb' %}
    {{ return(create_fresh('view', sql)) }}
{% endmaterialization %}

{% macro create_fresh(kind, sql) %}
    {%- set target_relation = this.incorporate(type=kind) -%}
    {% call statement('main', auto_begin=False) -%}
        create {{ kind }} {{ target_relation }} as ({{ sql }}
        )
    {%- endcall %}
    {{ return({'relations': [target_relation]}) }}
{% endmacro %}
