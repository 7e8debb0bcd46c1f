{#- The windows over which rain is summed, days. -#}
{% macro rain_windows() -%}
    {{ return([1, 3, 7, 14, 30, 60, 90]) }}
{%- endmacro %}

{#-
    Days without a known amount among the `days` days that end on the row's day. Days before the record count as missing. The
    days of a total of several days count as missing where its span reaches out of the window, at either end.
-#}
{% macro missing_days(days) -%}
    least(
        {{ days }},
        greatest({{ days }} - n_so_far, 0)
        + n_missing_so_far - coalesce(lag(n_missing_so_far, {{ days }}) over by_day, 0)
        + coalesce(lag(n_left_of_span, {{ days - 1 }}) over by_day, 0)
        + n_begun_of_span
    )
{%- endmacro %}
