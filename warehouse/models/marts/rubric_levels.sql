-- One row per level that a rubric in use holds: one student, by pseudonym, on one outcome.
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
    outcome,
    level,
    level_as_written,
    flags,
    coalesce(usable, false) and not coalesce(is_unscored, false) and level is not null as is_scored
from {{ received('rubric') }}
where status <> 'set_aside'
