{#- What differs between engines: reading files, day arithmetic, series of days, text (lists: lists.sql). -#}

{% macro received(name) -%}
    {{ return(adapter.dispatch('received')(name, source('received', name))) }}
{%- endmacro %}

{#-
    The build lays its inputs into one folder; the path is looked up when the model runs, not when the project is parsed. A unit
    test puts rows of its own in the place of a source: dbt then names a common table expression.
-#}
{% macro default__received(name, relation) -%}
    {%- if '__dbt__cte__' in relation | string -%}{{ return(relation) }}{%- endif -%}
    {%- set files = '/*.parquet' if name in many_files() else '.parquet' -%}
    {%- set folder = env_var('TAUTLEAF_INPUTS') if execute else '' -%}
    read_parquet('{{ folder | replace("'", "''") }}/{{ name }}{{ files }}')
{%- endmacro %}

{#- What lies in a folder of a file per upload. -#}
{% macro many_files() -%}
    {{ return(['readings', 'weather', 'assessment', 'rubric', 'problems']) }}
{%- endmacro %}

{% macro spark__received(name, relation) -%}
    {%- set files = '' if name in many_files() else '.parquet' -%}
    parquet.`{{ env_var('TAUTLEAF_INPUTS') if execute else '' }}/{{ name }}{{ files }}`
{%- endmacro %}

{#- Whole days from the first date to the second. -#}
{% macro days_between(first, second) -%}
    {{ return(adapter.dispatch('days_between')(first, second)) }}
{%- endmacro %}

{% macro default__days_between(first, second) -%}
    datediff('day', {{ first }}, {{ second }})
{%- endmacro %}

{% macro spark__days_between(first, second) -%}
    datediff({{ second }}, {{ first }})
{%- endmacro %}

{% macro add_days(date, days) -%}
    {{ return(adapter.dispatch('add_days')(date, days)) }}
{%- endmacro %}

{% macro default__add_days(date, days) -%}
    ({{ date }} + cast({{ days }} as integer))
{%- endmacro %}

{% macro spark__add_days(date, days) -%}
    date_add({{ date }}, cast({{ days }} as int))
{%- endmacro %}

{#- One row per day from the first date to the last: a table-valued column. -#}
{% macro day_series(first, last) -%}
    {{ return(adapter.dispatch('day_series')(first, last)) }}
{%- endmacro %}

{% macro default__day_series(first, last) -%}
    cast(unnest(generate_series({{ first }}, {{ last }}, interval 1 day)) as date)
{%- endmacro %}

{% macro spark__day_series(first, last) -%}
    explode(sequence({{ first }}, {{ last }}, interval 1 day))
{%- endmacro %}

{% macro text_type() -%}
    {{ return(adapter.dispatch('text_type')()) }}
{%- endmacro %}

{% macro default__text_type() -%}
    varchar
{%- endmacro %}

{% macro spark__text_type() -%}
    string
{%- endmacro %}
