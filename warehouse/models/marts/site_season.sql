-- One row per program, semester, site, functional group and sampling window.
{%- set keys = ['program', 'semester', 'site', 'functional_group', 'sampling_window'] %}
{%- set place = ['year', 'season', 'site_name', 'topographic_position', 'gauge'] %}
{{ season_summary('functional_group', keys, place, 'functional_group') }}
