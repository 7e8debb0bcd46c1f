{#- A table in a file that is new: one statement, nothing to drop, to rename or to keep. -#}
{% materialization fresh_table, adapter='duckdb' %}
    {%- set target_relation = this.incorporate(type='table') -%}
    {% call statement('main', auto_begin=False) -%}
        create table {{ target_relation }} as ({{ sql }}
        )
    {%- endcall %}
    {{ return({'relations': [target_relation]}) }}
{% endmaterialization %}
