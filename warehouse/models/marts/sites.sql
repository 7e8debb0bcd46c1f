-- One row per site, from the register.
select
    site,
    site_name,
    topographic_position,
    aliases,
    latitude_deg,
    longitude_deg,
    elevation_m,
    soil_depth_m,
    gauge
from {{ received('sites') }}
