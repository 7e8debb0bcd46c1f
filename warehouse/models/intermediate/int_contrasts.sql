-- One row per program, group or taxon, window and pair of sides: what is compared, and where the sides are found.
-- Bounded on purpose: lowland with upland, each site with the next down the hill, each semester with the one before and
-- the last of its season, a day after rain with the reading day before, predawn with midday. A side's nulls mean any.
{%- set groups = ['program', 'within', 'group_or_taxon', 'named'] %}
{%- set rows_of = 'partition by program, within, group_or_taxon, sampling_window' %}
{%- set kinds = [
    ('lowland_minus_upland', 'found_positions', 'topographic_position', "'lowland'", "'upland'", 'true'),
    ('between_sites', 'found_sites', 'site', 'site', 'site_above', 'site_above is not null'),
    ('between_seasons', 'found_terms', 'semester', 'semester', 'term_before', 'term_before is not null'),
    ('between_seasons', 'found_terms', 'semester', 'semester', 'season_before', 'season_before <> term_before'),
    ('after_minus_before_rain', 'found_days', 'date', 'date', 'date_before', 'is_rain_between'),
    ('predawn_minus_midday', 'found_windows', 'sampling_window', "'predawn'", "'midday'", 'true'),
] %}
with plants as ({{ plants_within() }}),

-- Down the hill: by position, then by height; a site of unknown height comes last in its position.
found_sites as (
    select
        *,
        lag(site) over ({{ rows_of }}, semester order by place asc, elevation_m desc, site asc) as site_above
    from ({{ sites_down_the_hill('plants', groups) }}) as s
),

found_terms as (
    select
        *,
        lag(semester) over ({{ rows_of }} order by start_date) as term_before,
        lag(semester) over ({{ rows_of }}, season order by start_date) as season_before
    from ({{ terms_read('plants', groups) }}) as t
),

-- Effective rain fell between two reading days where its last day before the later one comes after the earlier one.
found_days as (
    select
        *,
        date_before is not null and days_since_rain < {{ days_between('date_before', 'date') }}
        and {{ days_between('date_before', 'date') }} <= 21 as is_rain_between
    from ({{ days_read('plants', groups) }}) as d
),

-- A group that was read on one side alone is said to lack the other; a taxon may well not grow there.
found_positions as (
    select
        {{ groups | join(', ') }},
        semester,
        sampling_window
    from plants
    where topographic_position in ('upland', 'lowland')
    group by {{ groups | join(', ') }}, semester, sampling_window
    having within = 'functional_group' or count(distinct topographic_position) = 2
),

found_windows as (
    select distinct
        {{ groups | join(', ') }},
        semester,
        'predawn_and_midday' as sampling_window
    from plants
    where sampling_window = 'predawn'
)

{% for kind, source, what, first, second, condition in kinds %}
    select
        '{{ kind }}' as kind,
        {{ groups | join(', ') }},
        semester,
        sampling_window,
        cast({{ first }} as {{ text_type() }}) as side_a,
        cast({{ second }} as {{ text_type() }}) as side_b,
        {%- for place in ['semester', 'sampling_window', 'topographic_position', 'site', 'date'] %}
            {%- set any = place if place in ('semester', 'sampling_window') else 'null' %}
            {{ first if place == what else any }} as a_{{ place }},
            {{ second if place == what else any }} as b_{{ place }},
        {%- endfor %}
        {{ 'true' if what in ('semester', 'date') else 'false' }} as is_by_site
    from {{ source }}
    where {{ condition }}
    {{ 'union all' if not loop.last }}
{% endfor %}
