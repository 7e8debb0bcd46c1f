{#- What differs between engines: reading files, day arithmetic, series of days, lists, the type of text. -#}

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

{% macro text_type() -%}
    {{ return(adapter.dispatch('text_type')()) }}
{%- endmacro %}

{% macro default__text_type() -%}
    varchar
{%- endmacro %}

{% macro spark__text_type() -%}
    string
{%- endmacro %}
