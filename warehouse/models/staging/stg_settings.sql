-- One row: what the program has settled in tautleaf.toml, as far as the models need it.
select
    program,
    effective_rain_mm,
    antecedent_k
from {{ received('settings') }}
