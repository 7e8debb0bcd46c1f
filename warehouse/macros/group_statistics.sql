{#-
    A summary of the plants of each site, group, window and semester, with its own history and the season's rain: the whole of
    `site_season` and `taxon_season`. The plant is the unit; its leaves are subsamples (Hurlbert 1984). `group` is the key
    beside site and window, `of_group` what goes with the keys, `who` the group's name in sentences. How bounds are taken:
    warehouse/statistics/censored.py.
-#}
{% macro season_summary(group, keys, of_group, who) %}
with summaries as (
    select
        {{ (keys + of_group) | join(', ') }},
        max(date) as last_date,
        case when count(rain_30d_mm) = count(*) then avg(rain_30d_mm) end as rain_30d_mm,
        case when count(antecedent_index_mm) = count(*) then avg(antecedent_index_mm) end as antecedent_index_mm,
        cast(sum(n_leaves) as bigint) as n_leaves,
        count(*) as n_plants,
        cast(sum(n_below_limit) as bigint) as n_below_limit,
        count(case when below_limit then 1 end) as n_plants_below_limit,
        max(case when leaf_stands_for_plant then 1 else 0 end) = 1 as leaves_stand_for_plants,
        group_summary(
            {{ listed('water_potential_mpa', 'plant_key') }},
            {{ listed('below_limit', 'plant_key') }},
            cast(sum(n_leaves) as bigint),
            max(case when leaf_stands_for_plant then 1 else 0 end) = 1,
            semester, sampling_window, {{ who }}, site_name
        ) as summary
    from {{ ref('plant_values') }}
    group by {{ (keys + of_group) | join(', ') }}
),

history as ({{ season_history('summaries', group, who) }}),

seasons as (
    select distinct
        program,
        semester,
        gauge,
        last_date
    from summaries
),

rain as ({{ season_rain('seasons', ['program', 'semester', 'gauge', 'last_date']) }})

select
    {{ prefixed('g', keys + of_group + counts_of_group()) }},
    {{ fields('g.summary', estimates_of_group()) }},
    {{ prefixed('h', columns_of_history().values()) }},
    r.season_rain_mm
from summaries as g
inner join history as h
    on {{ same(keys, 'g', 'h') }}
left join rain as r
    on g.program = r.program and g.semester = r.semester and g.gauge = r.gauge and g.last_date = r.last_date
{% endmacro %}

{#- Columns of one relation. -#}
{% macro prefixed(relation, columns) -%}
    {%- for column in columns -%}
        {{ relation }}.{{ column }}{{ ', ' if not loop.last }}
    {%- endfor -%}
{%- endmacro %}

{#- These columns are the same in both. -#}
{% macro same(columns, one, other) -%}
    {%- for column in columns -%}
        {{ one }}.{{ column }} = {{ other }}.{{ column }}{{ ' and ' if not loop.last }}
    {%- endfor -%}
{%- endmacro %}

{% macro counts_of_group() -%}
    {{ return([
        'last_date', 'rain_30d_mm', 'antecedent_index_mm', 'n_leaves', 'n_plants', 'n_below_limit', 'n_plants_below_limit',
        'leaves_stand_for_plants',
    ]) }}
{%- endmacro %}

{#- The fields of GroupEstimate in warehouse/statistics/censored.py. -#}
{% macro estimates_of_group() -%}
    {{ return([
        'method', 'estimate_mpa', 'estimate_is_bound', 'estimate_ci_low_mpa', 'estimate_ci_high_mpa',
        'mean_mpa', 'sd_mpa', 'se_mpa', 'ci_low_mpa', 'ci_high_mpa',
        'median_mpa', 'median_is_bound', 'q25_mpa', 'q75_mpa', 'driest_mpa', 'wettest_mpa',
        'restricted_mean_mpa', 'restricted_at_mpa',
        'mle_normal_mean_mpa', 'mle_normal_sd_mpa', 'mle_normal_ci_low_mpa', 'mle_normal_ci_high_mpa',
        'mle_lognormal_mean_mpa', 'mle_lognormal_ci_low_mpa', 'mle_lognormal_ci_high_mpa', 'mle_lognormal_median_mpa',
        'reason_code', 'reason', 'sentence',
    ]) }}
{%- endmacro %}
