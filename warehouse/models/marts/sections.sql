-- One row per lab section of a semester, from the register.
select
    semester,
    section,
    aliases
from {{ received('sections') }}
