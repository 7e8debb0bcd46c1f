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
        {{ days }} - count(*) over last_{{ days }} + sum(is_missing) over last_{{ days }}
        + coalesce(case
            when first_value(span_start) over last_{{ days }} < first_value(date) over last_{{ days }}
                then {{ days_between('first_value(date) over last_' ~ days, 'first_value(span_end) over last_' ~ days) }} + 1
        end, 0)
        + case when span_end > date then {{ days_between('span_start', 'date') }} + 1 else 0 end
    )
{%- endmacro %}
