-- One row per program, functional group, taxon (or all of it) and position (or all): midday on predawn potential.
with spread_out as (
    {%- for taxon in ["'all'", 'taxon'] %}
        {%- for position in ["'all'", 'topographic_position'] %}
            select
                program,
                functional_group,
                {{ taxon }} as taxon,
                {{ 'common_name' if taxon == 'taxon' else 'null' }} as taxon_name,
                {{ position }} as topographic_position,
                plant_key,
                predawn_mpa,
                predawn_below_limit,
                midday_mpa,
                midday_below_limit,
                cast(date as {{ text_type() }}) as on_date
            from {{ ref('predawn_midday_pairs') }}
            where functional_group is not null and topographic_position is not null
            {{ '' if loop.last and taxon == 'taxon' else 'union all' }}
        {%- endfor %}
    {%- endfor %}
),

fitted as (
    select
        program,
        functional_group,
        taxon,
        topographic_position,
        hydroscape(
            {{ listed('predawn_mpa', 'plant_key') }}, {{ listed('predawn_below_limit', 'plant_key') }},
            {{ listed('midday_mpa', 'plant_key') }}, {{ listed('midday_below_limit', 'plant_key') }},
            {{ listed('on_date', 'plant_key') }},
            functional_group, coalesce(max(taxon_name), nullif(taxon, 'all')), topographic_position
        ) as h
    from spread_out
    group by program, functional_group, taxon, topographic_position
)

select
    f.program,
    f.functional_group,
    f.taxon,
    f.topographic_position,
    {{ fields('f.h', [
        'n_pairs', 'n_dates', 'n_midday_below_limit', 'n_predawn_below_limit', 'n_midday_wetter', 'predawn_range_mpa',
        'slope', 'slope_ci_low', 'slope_ci_high', 'intercept_mpa', 'intercept_ci_low_mpa', 'intercept_ci_high_mpa',
        'isohydry', 'closing_mpa', 'hydroscape_mpa2', 'hydroscape_ci_low_mpa2', 'hydroscape_ci_high_mpa2', 'method',
        'reason_code', 'reason', 'area_reason_code', 'area_reason', 'sentence',
    ]) }}
from fitted as f
