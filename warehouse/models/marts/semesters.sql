-- One row per semester, from the register.
select
    semester,
    start_date,
    end_date
from {{ received('semesters') }}
