-- One row per gauge, month and length of 1, 3, 6 or 12 months: how unusual the rain is, and against which years.
-- The standardized precipitation index (McKee, Doesken and Kleist 1993; WMO-No. 1090, 2012): H = q + (1 - q) G(x), q
-- the share of zeros and G the base's gamma law; SPI = normal quantile of H, clipped at +-3.09. The function `spi` of
-- warehouse/statistics/rain.py is the same.
with held_against as (
    select
        s.program,
        s.gauge,
        s.month_start,
        s.length_months,
        s.sum_mm,
        b.mean_mm,
        b.n_record_years,
        b.n_base_years,
        b.base_first_year,
        b.base_last_year,
        case
            when b.shape is null then 'refused'
            when b.n_base_years < 30 then 'provisional'
            else 'firm'
        end as spi_basis,
        case
            when b.n_base_years < 20 then 'rain_record_short'
            when b.shape is null then 'rain_too_alike'
            when s.sum_mm is null then 'rain_month_missing'
        end as reason_code,
        b.share_of_zeros
        + (1 - b.share_of_zeros) * {{ gamma_p('b.shape', 's.sum_mm * b.shape / b.wet_mean_mm') }} as share_below
    from {{ ref('int_rain_sums') }} as s
    inner join {{ ref('int_rain_bases') }} as b
        on
            s.program = b.program
            and s.gauge = b.gauge
            and s.length_months = b.length_months
            and extract(month from s.month_start) = b.month
)

select
    program,
    gauge,
    month_start,
    length_months,
    sum_mm as rain_mm,
    case when n_base_years >= 24 then mean_mm end as normal_mm,
    case when n_base_years >= 24 then 100 * sum_mm / nullif(mean_mm, 0) end as percent_of_normal,
    case
        when share_below < 0.001 then -3.09
        when share_below > 0.999 then 3.09
        else {{ normal_quantile('share_below') }}
    end as spi,
    spi_basis,
    n_base_years,
    base_first_year,
    base_last_year,
    n_record_years,
    reason_code
from held_against
