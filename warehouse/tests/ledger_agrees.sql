-- Every row that the ledger has counted arrived, and nothing arrived that it has not counted; and every row in use is
-- an observation. Both directions: a full outer join by upload.
with staged as (
    select
        upload_id,
        status
    from {{ ref('stg_readings') }}
    union all
    select
        upload_id,
        status
    from {{ received('weather') }}
    union all
    select
        upload_id,
        status
    from {{ received('assessment') }}
    union all
    select
        upload_id,
        status
    from {{ received('rubric') }}
),

arrived as (
    select
        upload_id,
        count(case when status = 'accepted' then 1 end) as n_accepted,
        count(case when status = 'flagged' then 1 end) as n_flagged,
        count(case when status = 'set_aside' then 1 end) as n_set_aside
    from staged
    group by upload_id
),

observed as (
    select
        upload_id,
        count(*) as n_observed
    from {{ ref('observations') }}
    group by upload_id
)

select
    concat(
        'upload ', coalesce(u.upload_id, a.upload_id, o.upload_id), ': the ledger counts ',
        coalesce(concat_ws('/', u.rows_accepted, u.rows_flagged, u.rows_set_aside), 'no rows'),
        ' rows accepted/flagged/set aside, the models hold ',
        coalesce(concat_ws('/', a.n_accepted, a.n_flagged, a.n_set_aside), 'none'),
        coalesce(concat(' and ', o.n_observed, ' observations'), '')
    ) as problems
from (
    select * from {{ received('uploads') }}
    where status = 'active' and rows_in_file > 0
) as u
full outer join arrived as a on u.upload_id = a.upload_id
full outer join observed as o on coalesce(u.upload_id, a.upload_id) = o.upload_id
where
    u.upload_id is null
    or a.upload_id is null
    or u.rows_accepted <> a.n_accepted
    or u.rows_flagged <> a.n_flagged
    or u.rows_set_aside <> a.n_set_aside
    or (u.kind = 'readings' and u.rows_accepted + u.rows_flagged <> coalesce(o.n_observed, 0))
