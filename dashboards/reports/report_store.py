"""What the reports ask of a published file beside what the views ask: field days, chambers, files, outcomes, method."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dashboards.store import Store

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices

_FIELD_DAYS = """
select date, min(days_since_rain) as days_since_rain, min(rain_30d_mm) as rain_30d_mm
from observations where usable and semester = $1 and sampling_window = $2 group by date order by date
"""
_CHAMBERS = """
select c.chamber, c.gauge_unit, c.resolution, c.maximum_pressure
from chambers c
where c.chamber in (select chamber from observations where usable and semester = $1 and sampling_window = $2)
order by c.chamber
"""
_N_FILES = "select count(distinct upload_id) as n from observations where usable and semester = $1 and sampling_window = $2"

_LEARNING = {
    "learning_gains": "select * from learning_gains order by rowid",
    "learning_outcomes": "select * from learning_outcomes order by rowid",
    "learning_items": "select * from learning_items order by rowid",
}
"""In the order in which they were published, in which items stand as their instrument has them."""
_METHOD = """
select semester, sum(n_rows)::bigint as n_rows, sum(n_usable)::bigint as n_usable, sum(n_flagged)::bigint as n_flagged,
       sum(n_set_aside)::bigint as n_set_aside, sum(n_accepted)::bigint as n_accepted,
       sum(n_doubtful_endpoint)::bigint as n_doubtful_endpoint, sum(n_late)::bigint as n_late
from cohort_quality where semester like '%-%' group by semester
"""


class ReportStore(Store):
    """The store of one published file, for reports."""

    def field_days(self, choices: Choices) -> pd.DataFrame:
        """One row per date of the semester and window: days since effective rain, and rain of the 30 days before, mm."""
        return self._published.query(_FIELD_DAYS, [choices.semester, choices.window])

    def chambers(self, choices: Choices) -> pd.DataFrame:
        """The chambers that were read in the semester and window: the gauge's unit, its step and highest pressure in that unit."""
        return self._published.query(_CHAMBERS, [choices.semester, choices.window])

    def n_files(self, choices: Choices) -> int:
        """From how many received files the readings of the semester and window come."""
        return int(self._published.query(_N_FILES, [choices.semester, choices.window])["n"].iloc[0])

    def learning(self, table: str) -> pd.DataFrame:
        """All rows of `learning_gains`, `learning_outcomes` or `learning_items`; none where the file has no such table."""
        import pandas as pd

        return self._published.query(_LEARNING[table], []) if table in self.tables else pd.DataFrame()

    def method(self) -> pd.DataFrame:
        """Counts of rows and readings per semester; a count is missing where the role's file hides it."""
        return self._published.query(_METHOD, [])
