{#- Plant values twice over: of their functional group, and of their taxon. `named` is how a reader names these. -#}
{% macro plants_within() %}
    select
        *,
        'functional_group' as within,
        functional_group as group_or_taxon,
        functional_group as named
    from {{ ref('plant_values') }}
    union all
    select
        *,
        'taxon' as within,
        taxon as group_or_taxon,
        coalesce(common_name, scientific_name, taxon) as named
    from {{ ref('plant_values') }}
{% endmacro %}

{#- Where each group was read in each semester: 1 on the upland to 3 in the lowland, and the height, m. -#}
{% macro sites_down_the_hill(plants, groups) -%}
    select distinct
        p.{{ groups | join(', p.') }},
        p.semester,
        p.sampling_window,
        p.site,
        case p.topographic_position when 'upland' then 1 when 'slope' then 2 else 3 end as place,
        coalesce(s.elevation_m, -1000) as elevation_m
    from {{ plants }} as p
    left join {{ received('sites') }} as s on p.site = s.site
{%- endmacro %}

{#- The semesters in which each group was read, with their first day. -#}
{% macro terms_read(plants, groups) -%}
    select distinct
        p.{{ groups | join(', p.') }},
        p.sampling_window,
        p.semester,
        p.season,
        t.start_date
    from {{ plants }} as p
    inner join {{ received('semesters') }} as t on p.semester = t.semester
{%- endmacro %}

{#-
    The days on which each group was read, the day before, and the days since effective rain at the driest gauge; null where one
    of them does not know.
-#}
{% macro days_read(plants, groups) -%}
    select
        p.{{ groups | join(', p.') }},
        p.semester,
        p.sampling_window,
        p.date,
        lag(p.date) over (
            partition by p.{{ groups | join(', p.') }}, p.semester, p.sampling_window order by p.date
        ) as date_before,
        case when count(o.days_since_rain) = count(*) then max(o.days_since_rain) end as days_since_rain
    from {{ plants }} as p
    inner join {{ ref('observations') }} as o on p.plant_key = o.plant_key and p.sampling_window = o.sampling_window
    group by p.{{ groups | join(', p.') }}, p.semester, p.sampling_window, p.date
{%- endmacro %}
