-- One row per site and semester: what the soil-water model says of it, before the readings and over the semester.
with days as (
    select
        d.*,
        s.semester
    from {{ ref('soil_days') }} as d
    inner join {{ received('semesters') }} as s on d.date between s.start_date and s.end_date
),

semesters as (
    select
        program,
        site,
        semester,
        max(total_available_water_mm) as total_available_water_mm,
        count(*) as n_days,
        count(relative_extractable_water) as n_known_days,
        count(case when relative_extractable_water < 0.3 then 1 end) as n_days_below_30_percent,
        avg(relative_extractable_water) as mean_relative_water,
        min(relative_extractable_water) as lowest_relative_water,
        min_by(date, relative_extractable_water) as lowest_date,
        case when count(relative_extractable_water) = 0 then min_by(reason_code, date) end as reason_code
    from days
    group by program, site, semester
),

-- Every day in the field counts once, whatever the number of its readings; where windows differ, with its last water.
field_days as (
    select
        program,
        site,
        semester,
        date,
        max_by(modelled_relative_water, rain_window_end) as relative_water
    from {{ ref('observations') }}
    group by program, site, semester, date
),

fields as (
    select
        program,
        site,
        semester,
        count(*) as n_field_days,
        case when count(relative_water) = count(*) then avg(relative_water) end as relative_water_at_field
    from field_days
    group by program, site, semester
),

seasons as (
    select
        s.*,
        coalesce(f.n_field_days, 0) as n_field_days,
        f.relative_water_at_field
    from semesters as s
    left join fields as f on s.program = f.program and s.site = f.site and s.semester = f.semester
)

select
    s.*,
    reason_text(s.reason_code) as reason,
    soil_season_sentence(
        i.site_name, s.semester, s.total_available_water_mm, s.n_known_days, s.n_days_below_30_percent,
        s.lowest_relative_water, cast(s.lowest_date as {{ text_type() }}), s.n_field_days, s.relative_water_at_field,
        s.reason_code
    ) as sentence
from seasons as s
left join {{ received('sites') }} as i on s.site = i.site
