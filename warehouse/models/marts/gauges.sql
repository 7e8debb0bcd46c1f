-- One row per rain gauge or weather station, from the register.
select
    gauge,
    gauge_name,
    aliases,
    latitude_deg,
    longitude_deg,
    elevation_m,
    day_ends
from {{ received('gauges') }}
