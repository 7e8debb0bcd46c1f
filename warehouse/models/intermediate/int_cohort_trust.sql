-- One row per program, semester and section: spread within plants, observers' share and digits, over all windows.
-- Like is compared with like: a plant in one window is one plant, and kinds are alike in site, taxon and window.
-- Digits are those of every reading that reached an endpoint, usable or not. A gauge's step is that of the chamber;
-- where no chamber is written down, that of the register's chambers with a gauge of the written unit, if they agree.
{%- set keys = ['program', 'semester', 'section'] %}
with gauge_steps as (
    select
        gauge_unit,
        max(resolution) as step
    from {{ received('chambers') }}
    group by gauge_unit
    having min(resolution) = max(resolution)
),

gauged as (
    select
        o.program,
        o.semester,
        o.section,
        o.observation_id,
        o.sampling_window,
        concat(o.plant_key, '/', o.sampling_window) as plant_key,
        concat(o.plant_key, '/', o.sampling_window, '/', coalesce(o.leaf, o.observation_id)) as leaf_key,
        concat(o.site, '/', o.taxon, '/', o.sampling_window) as kind,
        o.observer,
        case
            when o.usable and o.sampling_window is not null and not o.below_limit then o.water_potential_mpa
        end as known_mpa,
        case when not o.below_limit then o.balance_pressure_mpa end as pressure_mpa,
        case when o.chamber is not null then c.gauge_unit else s.gauge_unit end as gauge_unit,
        case when o.chamber is not null then c.resolution else s.step end as step
    from {{ ref('observations') }} as o
    left join {{ received('chambers') }} as c on o.chamber = c.chamber
    left join gauge_steps as s on o.unit_as_written = s.gauge_unit
    where o.section is not null
),

judged as (
    select
        {{ keys | join(', ') }},
        {{ spread_and_observers() }},
        digit_preference(
            {{ listed('pressure_mpa', 'observation_id') }}, {{ listed('gauge_unit', 'observation_id') }},
            {{ listed('step', 'observation_id') }}, {{ listed('sampling_window', 'observation_id') }}
        ) as digits
    from gauged
    group by {{ keys | join(', ') }}
)

select
    {%- for key in keys %}
        j.{{ key }},
    {%- endfor %}
    {{ fields('j.spread', within_plant_fields()) }},
    {{ fields('j.observed', observer_fields()) }},
    {{ fields('j.digits', digit_fields()) }},
    concat_ws(
        ' ',
        spread_sentence(j.spread.n_plants_repeated, j.spread.within_plant_sd_mpa, j.spread.within_plant_cv),
        share_sentence(
            j.observed.n_observers, j.observed.observer_share,
            j.observed.observer_share_low, j.observed.observer_share_high, j.observed.observer_reason
        ),
        digit_sentence(
            j.digits.n_digits, j.digits.digit_preferred, j.digits.digit_preferred_share, j.digits.digit_even_share,
            j.digits.digit_p, j.digits.digit_reason
        )
    ) as sentence
from judged as j
