{#- Columns of the fields of a struct, as a statistic returns it. -#}
{% macro fields(struct, names) -%}
    {%- for name in names %}
        {{ struct }}.{{ name }} as {{ name }}{{ ',' if not loop.last }}
    {%- endfor %}
{%- endmacro %}

{#- Fields of the statistics on readings: warehouse/statistics/observers.py and digits.py. -#}
{% macro within_plant_fields() -%}
    {{ return([
        'n_plants_repeated', 'within_plant_sd_mpa', 'within_plant_cv', 'within_plant_reason_code', 'within_plant_reason',
    ]) }}
{%- endmacro %}

{% macro observer_fields() -%}
    {{ return([
        'n_observers', 'observer_sd_mpa', 'observer_share', 'observer_share_low', 'observer_share_high',
        'observer_reason_code', 'observer_reason',
    ]) }}
{%- endmacro %}

{% macro digit_fields() -%}
    {{ return([
        'n_digits', 'n_off_step', 'digit_chi2', 'digit_df', 'digit_p', 'digit_preferred', 'digit_preferred_share',
        'digit_even_share', 'digit_reason_code', 'digit_reason',
    ]) }}
{%- endmacro %}
