{#- Readings in use with their site's gauge, and the last day of its record before the reading. -#}
{% macro dated_readings() %}
    select
        *,
        case when rain_own_day = 'in' then date else {{ add_days('date', '-1') }} end as rain_window_end
    from (
        select
            r.*,
            s.site_name,
            s.topographic_position,
            s.gauge,
            {{ rain_own_day('r.sampling_window', 'coalesce(r.time_cut, r.time_read)', 'g.day_ends') }} as rain_own_day
        from {{ ref('stg_readings') }} as r
        left join {{ received('sites') }} as s on r.site = s.site
        left join {{ received('gauges') }} as g on s.gauge = g.gauge
        where r.status in ('accepted', 'flagged')
    ) as in_use
{% endmacro %}
