-- One row per gauge and day: the antecedent precipitation index at the end of it, mm; null unless 90 days are known.
-- A(t) = P(t) + k A(t - 1) (Kohler and Linsley 1951, Weather Bureau Research Paper 34), cut off after 90 days so that a
-- missing day is forgotten again: left out is k^90 times the index of 90 days before (0.008 % of it at k = 0.9).
-- Sums over 2n days are made of two sums over n days: S(2n, t) = S(n, t) + k^n S(n, t - n); and 90 = 64 + 16 + 8 + 2.
with sums_1 as (
    select
        d.program,
        d.gauge,
        d.date,
        s.antecedent_k as k,
        d.prcp_mm as sum_1
    from {{ ref('int_gauge_days') }} as d
    inner join {{ received('settings') }} as s on d.program = s.program
),
{% for n in [1, 2, 4, 8, 16, 32] %}
    sums_{{ 2 * n }} as (
        select
            *,
            sum_{{ n }} + power(k, {{ n }}) * lag(sum_{{ n }}, {{ n }}) over by_day as sum_{{ 2 * n }}
        from sums_{{ n }}
        window by_day as (partition by program, gauge order by date)
    ){{ ',' if not loop.last }}
{% endfor %}

select
    program,
    gauge,
    date,
    sum_64
    + power(k, 64) * lag(sum_16, 64) over by_day
    + power(k, 80) * lag(sum_8, 80) over by_day
    + power(k, 88) * lag(sum_2, 88) over by_day as antecedent_index_mm
from sums_64
window by_day as (partition by program, gauge order by date)
