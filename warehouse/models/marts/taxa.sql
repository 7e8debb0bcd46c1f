-- One row per taxon, from the register.
select
    taxon,
    scientific_name,
    common_names,
    aliases,
    functional_group
from {{ received('taxa') }}
