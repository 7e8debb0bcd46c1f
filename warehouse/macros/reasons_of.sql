{#- Each reason code of a relation with its sentence: one row per code, so that a sentence is looked up once. -#}
{% macro reasons_of(relation) %}
    select
        reason_code,
        reason_text(reason_code) as reason
    from {{ relation }}
    where reason_code is not null
    group by reason_code
{% endmacro %}
