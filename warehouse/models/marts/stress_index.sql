-- One row per plant, date and sampling window: how dry it was against earlier plants of its taxon, else of its
-- functional group, at the same site, in the same season of the year and window. The own day of a reading is left out.
{%- set order = 'plant_key' %}
{%- set columns = {'plant_key': 'plant_keys'} %}
{%- set fields_of_index = [
    'is_wider', 'n_history', 'n_history_semesters', 'history_semesters', 'history_mean_mpa', 'history_sd_mpa', 'anomaly_mpa', 'z',
    'robust_z', 'pooled_mean_mpa', 'pooled_z', 'percentile', 'index_is_bound', 'history_basis', 'reason_code', 'reason', 'sentence',
] %}
{%- for field in fields_of_index %}
    {%- do columns.update({field: 'history.' ~ field}) %}
{%- endfor %}
with pools as (
    select
        sampling_window,
        {{ listed('plant_key', order) }} as plant_keys,
        own_history(
            {{ listed("concat(site, '/', taxon)", order) }},
            {{ listed('site', order) }},
            {{ listed('cast(' ~ days_between("cast('2000-01-01' as date)", 'date') ~ ' as bigint)', order) }},
            {{ listed('semester', order) }},
            {{ listed('water_potential_mpa', order) }},
            {{ listed('below_limit', order) }},
            {{ listed('coalesce(common_name, scientific_name, taxon)', order) }},
            {{ listed('site_name', order) }},
            {{ listed('cast(date as ' ~ text_type() ~ ')', order) }},
            sampling_window
        ) as history
    from {{ ref('plant_values') }}
    group by program, functional_group, season, sampling_window
),

indices as (
    select
        sampling_window,
        {{ rows_of_lists(columns) }}
    from pools
)

select
    p.program,
    p.semester,
    p.year,
    p.season,
    p.section,
    p.date,
    p.site,
    p.site_name,
    p.topographic_position,
    p.taxon,
    p.scientific_name,
    p.common_name,
    p.functional_group,
    p.plant_key,
    p.sampling_window,
    p.n_leaves,
    p.water_potential_mpa,
    p.below_limit,
    case when i.is_wider then 'functional_group' else 'taxon' end as history_of,
    {{ prefixed('i', fields_of_index[1:]) }}
from {{ ref('plant_values') }} as p
inner join indices as i on p.plant_key = i.plant_key and p.sampling_window = i.sampling_window
-- Sorted once, for every role's file.
order by p.program, p.semester, p.site, p.taxon, p.date, p.sampling_window, p.plant_key
