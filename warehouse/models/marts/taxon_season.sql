-- One row per program, semester, site, taxon and sampling window.
{%- set keys = ['program', 'semester', 'site', 'taxon', 'sampling_window'] %}
{%- set plant = ['scientific_name', 'common_name', 'functional_group'] %}
{%- set place = ['year', 'season', 'site_name', 'topographic_position', 'gauge'] %}
{{ season_summary('taxon', keys, plant + place, 'coalesce(common_name, scientific_name, taxon)') }}
