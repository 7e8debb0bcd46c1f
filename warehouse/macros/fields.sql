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

{#- The spread of leaves within plants as `spread`, and the share of observers as `observed`, by group. -#}
{% macro spread_and_observers() -%}
    within_plant_spread(
        {{ listed('known_mpa', 'observation_id') }}, {{ listed('leaf_key', 'observation_id') }},
        {{ listed('plant_key', 'observation_id') }}
    ) as spread,
    observer_variance(
        {{ listed('known_mpa', 'observation_id') }}, {{ listed('plant_key', 'observation_id') }},
        {{ listed('kind', 'observation_id') }}, {{ listed('observer', 'observation_id') }}
    ) as observed
{%- endmacro %}
