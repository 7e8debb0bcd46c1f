-- What each model's yml states of it holds: see the macro `soundness`. One query over all models, since each further
-- test of dbt costs a build more than its scan does.
{%- set names = [
    'stg_readings', 'int_gauge_days', 'int_rain_spans', 'int_rain_sums', 'rain_days', 'rain_months',
    'observations', 'plant_values', 'site_season', 'taxon_season', 'cohort_quality', 'set_aside',
    'observer_agreement', 'int_cohort_trust', 'predawn_midday_pairs', 'hydroscape', 'rain_response',
    'int_contrasts', 'int_contrast_plants', 'int_contrast_mixed', 'int_contrast_estimates', 'fair_contrasts',
    'int_rain_indices', 'rain_indices', 'dry_spells', 'soil_days', 'soil_seasons', 'stress_index',
    'variance_components', 'field_days', 'assessment_scores', 'rubric_levels', 'int_student_sittings', 'int_student_outcomes',
    'int_outcome_counts', 'learning_gains', 'learning_outcomes', 'learning_items',
] %}
{%- for name in names %}
    {{ soundness(ref(name), graph.nodes.get('model.' ~ project_name ~ '.' ~ name)) }}
    {{ 'union all' if not loop.last }}
{%- endfor %}
