{#-
    How unusual each season is against the earlier seasons of its kind (same group, site, window and season of the year): one row
    per program, semester, site, `group` and window of `summaries`. One call for all seasons that may be pooled with each other.
-#}
{% macro season_history(summaries, group, who) %}
    {%- set order = ['site', group, 'year', 'semester'] | join(', ') %}
    {%- set kind = "concat(site, '/', " ~ group ~ ")" %}
    {%- set columns = {'semester': 'semesters', 'site': 'sites', group: 'kinds'} -%}
    {%- for field, column in columns_of_history().items() -%}
        {%- do columns.update({column: 'history.' ~ field}) -%}
    {%- endfor -%}
    select
        program,
        sampling_window,
        {{ rows_of_lists(columns) }}
    from (
        select
            program,
            sampling_window,
            {{ listed('semester', order) }} as semesters,
            {{ listed('site', order) }} as sites,
            {{ listed(group, order) }} as kinds,
            own_history(
                {{ listed(kind, order) }},
                {{ listed(kind, order) }},
                {{ listed('year', order) }},
                {{ listed('semester', order) }},
                {{ listed('summary.estimate_mpa', order) }},
                {{ listed('summary.estimate_is_bound', order) }},
                {{ listed(who, order) }},
                {{ listed('site_name', order) }},
                {{ listed('cast(null as ' ~ text_type() ~ ')', order) }},
                sampling_window
            ) as history
        from {{ summaries }}
        group by program, functional_group, season, sampling_window
    ) as pools
{% endmacro %}

{#- The fields of OwnHistory in warehouse/statistics/history.py that a season has, and the columns that they become. -#}
{% macro columns_of_history() -%}
    {{ return({
        'anomaly_mpa': 'anomaly_mpa', 'percentile': 'percentile', 'z': 'z', 'robust_z': 'robust_z',
        'pooled_mean_mpa': 'pooled_mean_mpa', 'pooled_z': 'pooled_z', 'index_is_bound': 'index_is_bound',
        'history_mean_mpa': 'history_mean_mpa', 'history_sd_mpa': 'history_sd_mpa',
        'n_history': 'n_history_semesters', 'history_semesters': 'history_semesters', 'history_basis': 'history_basis',
        'reason_code': 'history_reason_code', 'reason': 'history_reason', 'sentence': 'history_sentence',
    }) }}
{%- endmacro %}
