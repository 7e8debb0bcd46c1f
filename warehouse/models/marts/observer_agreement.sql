-- One row per program, semester, section and sampling window: how far the observers of a class agree.
-- Paired is what two or more observers read in the same section, on the same date and in the same window: a leaf (one
-- number on one plant) where five or more are, else a plant, on different leaves. Usable readings, no bounds.
{%- set keys = ['program', 'semester', 'section', 'sampling_window'] %}
{%- set agreement = [
    'paired_by', 'n_paired', 'repeatability_sd_mpa', 'repeatability_mpa', 'n_table_observers', 'n_table',
    'icc_1_1', 'icc_2_1', 'icc_3_1', 'icc_2_1_low', 'icc_2_1_high', 'observer_a', 'observer_b', 'n_pairs',
    'bias_mpa', 'bias_se_mpa', 'limit_low_mpa', 'limit_high_mpa', 'limit_se_mpa', 'trend', 'trend_low', 'trend_high',
    'reason_code', 'reason',
] %}
with usable_readings as (
    select
        program,
        semester,
        section,
        sampling_window,
        observation_id,
        plant_key,
        concat(plant_key, '/', coalesce(leaf, observation_id)) as leaf_key,
        concat(site, '/', taxon) as kind,
        observer,
        below_limit,
        case when not below_limit then water_potential_mpa end as known_mpa
    from {{ ref('observations') }}
    where usable and sampling_window is not null and section is not null
),

judged as (
    select
        {{ keys | join(', ') }},
        count(distinct leaf_key) as n_leaves,
        count(distinct plant_key) as n_plants,
        count(case when below_limit then 1 end) as n_below_limit,
        paired_readings(
            {{ listed('known_mpa', 'observation_id') }}, {{ listed('leaf_key', 'observation_id') }},
            {{ listed('plant_key', 'observation_id') }}, {{ listed('observer', 'observation_id') }}
        ) as agreement,
        {{ spread_and_observers() }}
    from usable_readings
    group by {{ keys | join(', ') }}
)

select
    {%- for key in keys %}
        j.{{ key }},
    {%- endfor %}
    cast(split_part(j.semester, '-', 1) as bigint) as year,
    split_part(j.semester, '-', 2) as season,
    j.n_leaves,
    j.n_plants,
    j.n_below_limit,
    {{ fields('j.agreement', agreement) }},
    {{ fields('j.spread', within_plant_fields()) }},
    {{ fields('j.observed', observer_fields()) }},
    concat_ws(
        ' ',
        agreement_sentence(
            j.agreement.paired_by, j.agreement.n_pairs, j.agreement.bias_mpa,
            j.agreement.limit_low_mpa, j.agreement.limit_high_mpa,
            j.agreement.icc_2_1, j.agreement.icc_2_1_low, j.agreement.icc_2_1_high,
            j.agreement.trend_low, j.agreement.trend_high, j.agreement.reason
        ),
        spread_sentence(j.spread.n_plants_repeated, j.spread.within_plant_sd_mpa, j.spread.within_plant_cv),
        share_sentence(
            j.observed.n_observers, j.observed.observer_share,
            j.observed.observer_share_low, j.observed.observer_share_high, j.observed.observer_reason
        )
    ) as sentence
from judged as j
