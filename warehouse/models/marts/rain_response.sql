-- One row per program, functional group, taxon (or all of it), position, sampling window and predictor: the slope of
-- water potential on rain. All plants of a date have had the same rain, so that dates are the units of replication.
{%- set keys = ['program', 'functional_group', 'taxon', 'topographic_position', 'sampling_window', 'predictor'] %}
{%- set predictors = ['days_since_rain', 'antecedent_index_mm', 'modelled_relative_water'] %}
with days as (
    select
        program,
        date,
        site,
        {{ any_values(predictors) }}
    from {{ ref('observations') }}
    group by program, date, site
),

spread_out as (
    {%- for taxon in ["'all'", 'taxon'] %}
        {%- for predictor in predictors %}
            select
                p.program,
                p.functional_group,
                {{ taxon if taxon == "'all'" else 'p.taxon' }} as taxon,
                {{ 'p.common_name' if taxon == 'taxon' else 'null' }} as taxon_name,
                p.topographic_position,
                p.sampling_window,
                '{{ predictor }}' as predictor,
                cast(d.{{ predictor }} as double) as x,
                p.plant_key,
                p.water_potential_mpa,
                p.below_limit,
                p.n_leaves,
                cast(p.date as {{ text_type() }}) as on_date,
                p.semester,
                concat(p.site, '/', p.taxon) as kind
            from {{ ref('plant_values') }} as p
            inner join days as d on p.program = d.program and p.date = d.date and p.site = d.site
            where p.functional_group is not null and p.topographic_position is not null and p.semester is not null
            {{ '' if loop.last and taxon == 'taxon' else 'union all' }}
        {%- endfor %}
    {%- endfor %}
),

fitted as (
    select
        {{ keys | join(', ') }},
        rain_response(
            {{ listed('water_potential_mpa', 'plant_key') }}, {{ listed('below_limit', 'plant_key') }},
            {{ listed('n_leaves', 'plant_key') }}, {{ listed('x', 'plant_key') }}, {{ listed('on_date', 'plant_key') }},
            {{ listed('semester', 'plant_key') }}, {{ listed('kind', 'plant_key') }}, predictor,
            functional_group, coalesce(max(taxon_name), nullif(taxon, 'all')), topographic_position, sampling_window
        ) as r
    from spread_out
    group by {{ keys | join(', ') }}
)

select
    {%- for key in keys %}
        f.{{ key }},
    {%- endfor %}
    {{ fields('f.r', [
        'n_plants', 'n_leaves', 'n_dates', 'n_semesters', 'n_plants_below_limit', 'n_without_predictor',
        'predictor_low', 'predictor_high', 'predictor_middle', 'middle_mpa', 'slope', 'slope_se', 'slope_df',
        'slope_ci_low', 'slope_ci_high', 'method', 'reason_code', 'reason', 'sentence',
    ]) }}
from fitted as f
