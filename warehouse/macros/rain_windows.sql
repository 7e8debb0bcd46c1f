{#- The windows over which rain is summed, days. -#}
{% macro rain_windows() -%}
    {{ return([1, 3, 7, 14, 30, 60, 90]) }}
{%- endmacro %}

{#- The lengths over which months are summed for the precipitation index, months. -#}
{% macro index_lengths() -%}
    {{ return([1, 3, 6, 12]) }}
{%- endmacro %}

{#-
    Whether the gauge's day of a reading's own date had ended before the reading, so that the rain windows may hold it: `in`,
    `out` or `not_known`. Predawn and morning windows end the day before. A midday or afternoon reading follows the end of the
    day of a gauge that is read in the morning (07:00, say); how much of a later day's rain fell before it a daily total cannot say.
-#}
{% macro rain_own_day(sampling_window, clock, day_ends) -%}
    case
        when {{ sampling_window }} in ('predawn', 'morning') then 'out'
        when {{ sampling_window }} is null or {{ day_ends }} is null then 'not_known'
        when {{ day_ends }} <= '09:00' and {{ day_ends }} <= coalesce({{ clock }}, '12:00') then 'in'
        else 'out'
    end
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
