-- One row per program, semester, kind, group or taxon, sampling window and pair of sides: first side minus second.
-- Across functional groups nothing is tested: these rows give, by site, how unusual a group was for itself instead.
{%- set keys = contrast_keys() %}
{%- set measured = contrast_columns() %}
{%- set years = 'program, kind, within, sampling_window' %}
with ranked as (
    select
        *,
        concat(kind, ' within ', within, ', ', semester) as family_of_tests,
        {{ holm_ranks('p_value', 'program, kind, within, semester') }},
        {{ holm_ranks('p_value', years, '_over_years') }}
    from {{ ref('int_contrast_estimates') }}
),

corrected as (
    select
        *,
        {{ holm('p_value', 'program, kind, within, semester') }} as p_holm,
        {{ holm('p_value', years, '_over_years') }} as p_holm_over_years
    from ranked
),

told as (
    select
        c.*,
        contrast_sentence(
            c.kind, c.named, c.semester, c.sampling_window, coalesce(a.site_name, c.side_a),
            coalesce(b.site_name, c.side_b), c.n_plants_a, c.n_plants_b, c.n_leaves_a + c.n_leaves_b,
            c.n_bounds_a + c.n_bounds_b, c.n_sites_a, c.n_sites_b, c.kinds_are_alike, c.leaves_stand_for_plants,
            c.method, c.difference_mpa, c.ci_low_mpa, c.ci_high_mpa, c.p_value, c.p_holm, c.n_tests, c.readings_a,
            c.readings_b, c.reason
        ) as sentence
    from corrected as c
    left join {{ received('sites') }} as a on c.kind = 'between_sites' and c.side_a = a.site
    left join {{ received('sites') }} as b on c.kind = 'between_sites' and c.side_b = b.site
),

across as (
    select
        *,
        own_history_words(
            functional_group, semester, sampling_window, site_name, percentile, anomaly_mpa, n_history_semesters,
            history_basis
        ) as words
    from {{ ref('site_season') }}
)

select
    {{ keys | join(', ') }},
    {{ year_and_season('semester') }},
    method,
    {{ measured.values() | sum(start=[]) | join(', ') }},
    cast(null as double) as own_history_percentile,
    cast(null as double) as own_history_anomaly_mpa,
    cast(null as bigint) as n_history_semesters,
    reason_code,
    reason,
    sentence
from told
union all
select
    program,
    semester,
    'across_groups' as kind,
    'functional_group' as within,
    functional_group as group_or_taxon,
    sampling_window,
    site as side_a,
    'own history' as side_b,
    {{ year_and_season('semester') }},
    'own_history' as method,
    {{ nulls_for(measured) }},
    percentile as own_history_percentile,
    anomaly_mpa as own_history_anomaly_mpa,
    n_history_semesters,
    words.reason_code,
    words.reason,
    words.sentence
from across
