{#-
    Rain of the season: one row per `keys` and gauge of `dated`, from the semester's first day to the day before the group's
    last reading, mm. Null where a day is missing or the record does not reach back.
-#}
{% macro season_rain(dated, keys) %}
    select
        {% for key in keys %}
            p.{{ key }},
        {% endfor %}
        case
            when count(d.counted_mm) = max({{ days_between('s.start_date', 'p.last_date') }})
                and sum(d.is_missing) = 0 then sum(d.counted_mm)
        end as season_rain_mm
    from {{ dated }} as p
    inner join {{ received('semesters') }} as s on p.semester = s.semester
    left join {{ ref('int_rain_spans') }} as d
        on p.program = d.program and p.gauge = d.gauge and d.date >= s.start_date and d.date < p.last_date
    group by p.{{ keys | join(', p.') }}
{% endmacro %}
