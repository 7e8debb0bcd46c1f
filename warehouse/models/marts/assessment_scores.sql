-- One row per score that an assessment in use holds: one student, by pseudonym, on one item or on the whole.
-- A score counts where its row is usable, the student was there, and the points that could be had are known.
select
    program,
    upload_id,
    row_number,
    source_sheet,
    source_row,
    source_cell,
    semester,
    cast(split_part(semester, '-', 1) as bigint) as year,
    split_part(semester, '-', 2) as season,
    section,
    student,
    instrument,
    phase,
    item,
    score,
    max_score,
    coalesce(is_absent, false) as is_absent,
    score_as_written,
    flags,
    coalesce(usable, false)
    and not coalesce(is_absent, false)
    and score is not null
    and coalesce(max_score, 0) > 0 as is_scored
from {{ received('assessment') }}
where status <> 'set_aside'
