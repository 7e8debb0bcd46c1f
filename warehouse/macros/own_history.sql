{#-
    How unusual each group is against its own earlier semesters of the same season: one row per `keys` (with semester).

    `statistics` names the relation of `group_columns` with year and season; `group` are the keys without semester.
    The anomaly is mean - mean of the earlier means. The percentile is the share of the history that was wetter, ties half,
    by medians; bounds take part by rank alone, and where a rank cannot be decided there is no percentile. Fewer than 5
    earlier semesters: neither; 5 to 9: provisional.
-#}
{% macro own_history(statistics, group) %}
    select
        c.semester,
        {% for key in group %}
            c.{{ key }},
        {% endfor %}
        count(h.semester) as n_history,
        count(h.mean_mpa) as n_means,
        avg(h.mean_mpa) as history_mean_mpa,
        count({{ was_wetter() }}) as n_decided,
        cast(sum({{ was_wetter() }}) as double) as n_wetter
    from {{ statistics }} as c
    left join {{ statistics }} as h
        on
        {% for key in group %}
            c.{{ key }} = h.{{ key }} and
        {% endfor %}
            c.season = h.season and h.year < c.year
    group by c.semester, c.{{ group | join(', c.') }}
{% endmacro %}

{#- 1 where the earlier semester `h` was wetter than `c`, 0.5 where alike, 0 where drier, null where it is open. -#}
{% macro was_wetter() -%}
    case
        when h.median_is_bound and not c.median_is_bound and h.median_mpa <= c.median_mpa then 0.0
        when h.median_is_bound then null
        when c.median_is_bound and h.median_mpa >= c.median_mpa then 1.0
        when c.median_is_bound then null
        when h.median_mpa > c.median_mpa then 1.0
        when h.median_mpa = c.median_mpa then 0.5
        when h.median_mpa < c.median_mpa then 0.0
    end
{%- endmacro %}

{#- The columns that follow from `own_history`; `g` is the statistics' alias, `h` the history's. -#}
{% macro history_columns() %}
    case when h.n_history >= 5 and h.n_means = h.n_history then g.mean_mpa - h.history_mean_mpa end as anomaly_mpa,
    case when h.n_history >= 5 and h.n_decided = h.n_history then 100 * h.n_wetter / h.n_history end as percentile,
    h.n_history as n_history_semesters,
    case when h.n_history < 5 then 'too_few' when h.n_history < 10 then 'provisional' else 'firm' end as history_basis,
    case
        when h.n_history < 5 then concat(h.n_history, ' earlier semesters of this season; 5 are needed')
        when g.mean_mpa is null then 'no mean this semester: compared by rank alone'
        when h.n_means < h.n_history then 'earlier semesters hold bounds: compared by rank alone'
    end as history_reason
{% endmacro %}
