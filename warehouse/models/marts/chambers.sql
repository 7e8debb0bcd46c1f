-- One row per pressure chamber, from the register.
select
    chamber,
    aliases,
    gauge_unit,
    resolution,
    maximum_pressure
from {{ received('chambers') }}
