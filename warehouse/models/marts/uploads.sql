-- One row per upload ever accepted, in use or not, as the ledger leaves it.
select
    program,
    upload_id,
    kind,
    file_name,
    sha256,
    received_at,
    status,
    replaced_by,
    recipe,
    semesters,
    sections,
    gauges,
    date_first,
    date_last,
    rows_in_file,
    rows_accepted,
    rows_flagged,
    rows_set_aside,
    sequence
from {{ received('uploads') }}
