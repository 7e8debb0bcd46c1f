"""What the Rain view asks of a published file: points over a predictor, or cells of many points, and the lines fitted to them."""

OVER_RAIN = """
select functional_group, topographic_position, site_name, scientific_name as who, semester, date, {column} as x, n_plants,
       water_potential_mpa, below_limit
from field_days
where sampling_window = $1 and list_contains($2, functional_group) and ($3 = '' or taxon = $3) and ($4 = '' or site = $4)
"""
OVER_RAIN_OF = {
    "days_since_rain": OVER_RAIN.format(column="days_since_rain"),
    "antecedent_index_mm": OVER_RAIN.format(column="antecedent_index_mm"),
    "modelled_relative_water": OVER_RAIN.format(column="modelled_relative_water"),
}
CELLS = """
with points as ({points}),
placed as (
    select *, case when semester = ${n} then semester else '' end as of_semester, floor(x / {x_step}) as across,
           floor(water_potential_mpa / {y_step}) as down
    from points where x is not null
)
select functional_group, topographic_position, of_semester as semester, below_limit, avg(x) as x,
       avg(water_potential_mpa) as water_potential_mpa, count(*) as n_points, sum(n_plants)::bigint as n_plants,
       (select count(distinct date) from placed) as n_dates
from placed group by functional_group, topographic_position, of_semester, below_limit, across, down
order by n_points, functional_group, topographic_position, x, water_potential_mpa
"""
"""Points in cells of the figure, those of one semester apart from the others and bounds from values; each cell at its points' mean."""
INDEX_ON = """
select min(antecedent_index_mm) as low_mm, max(antecedent_index_mm) as high_mm
from field_days
where sampling_window = $1 and list_contains($2, functional_group) and ($3 = '' or taxon = $3) and ($4 = '' or site = $4)
  and list_contains($5::date[], date)
"""
RAIN_LINES = """
select functional_group, topographic_position, n_dates, slope, slope_ci_low, slope_ci_high, predictor_low as x_low,
       predictor_high as x_high, middle_mpa + slope * (predictor_low - predictor_middle) as y_low_mpa,
       middle_mpa + slope * (predictor_high - predictor_middle) as y_high_mpa, sentence
from rain_response
where predictor = $1 and sampling_window = $2 and list_contains($3, functional_group) and taxon = case when $4 = '' then 'all' else $4 end
order by functional_group, topographic_position
"""
OVER_PREDAWN = """
select p.functional_group, p.topographic_position, s.site_name, coalesce(p.common_name, p.taxon) as who, p.semester, p.date,
       p.predawn_mpa as x, 1 as n_plants, p.midday_mpa as water_potential_mpa, p.midday_below_limit as below_limit
from predawn_midday_pairs p left join sites s on s.site = p.site
where not p.predawn_below_limit and list_contains($1, p.functional_group) and ($2 = '' or p.taxon = $2) and ($3 = '' or p.site = $3)
"""
THE_FIRST = "order by date, site_name, who limit {most}"
PREDAWN_LINES = """
select h.functional_group, h.topographic_position, h.n_dates, h.slope, h.slope_ci_low, h.slope_ci_high,
       e.driest_mpa as x_low, e.wettest_mpa as x_high, h.intercept_mpa + h.slope * e.driest_mpa as y_low_mpa,
       h.intercept_mpa + h.slope * e.wettest_mpa as y_high_mpa, h.sentence
from hydroscape h
left join (
    select functional_group, topographic_position, min(predawn_mpa) as driest_mpa, max(predawn_mpa) as wettest_mpa
    from predawn_midday_pairs where not predawn_below_limit and ($2 = '' or taxon = $2) group by all
) e on e.functional_group = h.functional_group and e.topographic_position = h.topographic_position
where list_contains($1, h.functional_group) and h.taxon = case when $2 = '' then 'all' else $2 end and h.topographic_position <> 'all'
order by h.functional_group, h.topographic_position
"""
