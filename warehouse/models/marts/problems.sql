-- One row per problem that the receipt of an upload in use lists.
select
    program,
    upload_id,
    sheet,
    row,
    "column",
    cell,
    value,
    code,
    severity,
    message,
    suggestion,
    count
from {{ received('problems') }}
