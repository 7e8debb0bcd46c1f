-- One row per gauge, month and length of 1, 3, 6 or 12 months: how unusual the rain is, and against which years.
{#- Rounded, so that the order in which an engine adds up does not make other arguments of the same rain. -#}
{%- set order = 'i.length_months, i.month_start' %}
with lists as (
    select
        i.program,
        i.gauge,
        {{ listed('i.month_start', order) }} as months,
        {{ listed('i.length_months', order) }} as lengths,
        rain_index_sentences(
            g.gauge_name,
            {{ listed('cast(i.month_start as ' ~ text_type() ~ ')', order) }},
            {{ listed('cast(i.length_months as bigint)', order) }},
            {{ listed('round(i.rain_mm, 6)', order) }},
            {{ listed('round(i.normal_mm, 6)', order) }},
            {{ listed('round(i.spi, 6)', order) }},
            {{ listed('i.n_base_years', order) }},
            {{ listed('i.base_first_year', order) }},
            {{ listed('i.base_last_year', order) }},
            {{ listed('i.reason_code', order) }}
        ) as sentences
    from {{ ref('int_rain_indices') }} as i
    left join {{ received('gauges') }} as g on i.gauge = g.gauge
    group by i.program, i.gauge, g.gauge_name
),

said as (
    select
        program,
        gauge,
        {{ rows_of_lists({'month_start': 'months', 'length_months': 'lengths', 'sentence': 'sentences'}) }}
    from lists
)

select
    i.program,
    i.gauge,
    i.month_start,
    i.length_months,
    i.rain_mm,
    i.normal_mm,
    i.percent_of_normal,
    i.spi,
    i.spi_basis,
    i.n_base_years,
    i.base_first_year,
    i.base_last_year,
    i.n_record_years,
    i.reason_code,
    s.sentence
from {{ ref('int_rain_indices') }} as i
inner join said as s
    on
        i.program = s.program
        and i.gauge = s.gauge
        and i.month_start = s.month_start
        and i.length_months = s.length_months
