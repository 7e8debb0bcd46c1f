{#-
    Statistics of the plants of each group: one row per `keys`. The plant is the unit; its leaves are subsamples (Hurlbert 1984).

    No bound is averaged: mean, sd, se and interval (Student's t, 95 %) are null where a plant is a bound. Quantiles go by rank.
    A plant below its limit may lie anywhere below it, so each quantile is taken twice: with such plants at their limit, the
    wettest they can be, and far below everything (-1000 MPa), the driest. Where both agree, the quantile is known. Where the
    second is far below, the quantile is itself a bound and the first says below what. Otherwise the rank cannot be decided.
-#}
{% macro group_statistics(keys) %}
    select
        {{ keys | join(', ') }},
        cast(sum(n_leaves) as bigint) as n_leaves,
        count(*) as n_plants,
        cast(sum(n_below_limit) as bigint) as n_below_limit,
        count(case when below_limit then 1 end) as n_plants_below_limit,
        max(case when leaf_stands_for_plant then 1 else 0 end) = 1 as leaves_stand_for_plants,
        case when count(case when below_limit then 1 end) = 0 then avg(water_potential_mpa) end as mean_mpa,
        case when count(case when below_limit then 1 end) = 0 then stddev_samp(water_potential_mpa) end as sd_mpa,
        {{ both_ranks('median', 0.5) }},
        {{ both_ranks('q25', 0.25) }},
        {{ both_ranks('q75', 0.75) }},
        min(water_potential_mpa) as driest_mpa,
        max(water_potential_mpa) as wettest_or_limit_mpa,
        max(case when below_limit then null else water_potential_mpa end) as wettest_value_mpa,
        max(date) as last_date,
        case when count(rain_30d_mm) = count(*) then avg(rain_30d_mm) end as rain_30d_mm,
        case when count(antecedent_index_mm) = count(*) then avg(antecedent_index_mm) end as antecedent_index_mm
    from {{ ref('plant_values') }}
    group by {{ keys | join(', ') }}
{% endmacro %}

{#- A quantile with bounds at their limit, and with bounds below everything. -#}
{% macro both_ranks(name, share) -%}
    {{ quantile('water_potential_mpa', share) }} as {{ name }}_wettest,
    {{ quantile('case when below_limit then -1000.0 else water_potential_mpa end', share) }} as {{ name }}_driest
{%- endmacro %}

{#- The columns that follow from `group_statistics`, with the reason why a value is null. `g` is its alias. -#}
{% macro group_columns() %}
    g.n_leaves,
    g.n_plants,
    g.n_below_limit,
    g.n_plants_below_limit,
    g.leaves_stand_for_plants,
    g.mean_mpa,
    g.sd_mpa,
    g.sd_mpa / sqrt(g.n_plants) as se_mpa,
    g.mean_mpa - {{ t_quantile('0.975', 'cast(g.n_plants - 1 as double)') }} * g.sd_mpa / sqrt(g.n_plants) as ci_low_mpa,
    g.mean_mpa + {{ t_quantile('0.975', 'cast(g.n_plants - 1 as double)') }} * g.sd_mpa / sqrt(g.n_plants) as ci_high_mpa,
    {{ ranked('median', or_bound=true) }} as median_mpa,
    g.median_driest < -500 as median_is_bound,
    {{ ranked('q25') }} as q25_mpa,
    {{ ranked('q75') }} as q75_mpa,
    g.driest_mpa,
    case when g.wettest_value_mpa >= g.wettest_or_limit_mpa then g.wettest_value_mpa end as wettest_mpa,
    case
        when g.n_plants_below_limit > 0 then 'rank'
        when g.n_plants = 1 then 'single_plant'
        else 't_interval'
    end as method,
    case
        when g.n_plants_below_limit > 0
            then concat(
                g.n_plants_below_limit, ' of ', g.n_plants, ' plants are drier than the chamber could show: no mean',
                case when {{ ranked('median', or_bound=true) }} is null
                    then ', and the rank of the median cannot be decided' else '' end
            )
        when g.n_plants = 1 then 'one plant: no spread'
    end as reason
{% endmacro %}

{% macro ranked(name, or_bound=false) -%}
    case when abs(g.{{ name }}_wettest - g.{{ name }}_driest) < 1e-9{% if or_bound %} or g.{{ name }}_driest < -500{% endif %} then g.{{ name }}_wettest end
{%- endmacro %}
