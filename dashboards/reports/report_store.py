"""What the reports ask of a published file beside what the views ask: field days, chambers, files."""

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
