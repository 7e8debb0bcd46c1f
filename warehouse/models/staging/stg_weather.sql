-- One row per entry of a weather record in use, as checked: accepted, flagged or set aside.
select
    program,
    upload_id,
    row_number,
    status,
    flags,
    gauge,
    date,
    element,
    amount_mm,
    temperature_c,
    days,
    is_trace,
    obs_time
from {{ received('weather') }}
