"""The table of the Years view: one row per season, site and group, the latest first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dashboards.answer import ROWS_IN_A_TABLE, Table
from dashboards.views.years_figure import kind_words
from dashboards.words import GROUPS, is_missing, number, semester_words, sentence

if TYPE_CHECKING:
    import pandas as pd

_NUMERIC = frozenset({"value", "low", "high", "n_plants", "n_leaves", "n_below", "rain", "percentile"})


def seasons_table(seasons: pd.DataFrame, decimals: int) -> Table:
    """The seasons shown, with how dry each was among its own earlier ones; an estimate that is a bound says so."""
    ordered = seasons.iloc[::-1].head(ROWS_IN_A_TABLE)
    rows = list(ordered.itertuples())
    shown = ordered.assign(
        when=[semester_words(row.semester) for row in rows],
        group=[sentence(GROUPS[row.functional_group]) for row in rows],
        kind=["" if is_missing(row.estimate_mpa) else kind_words(row) for row in rows],
        value=[number(row.estimate_mpa, decimals) for row in rows],
        low=[number(row.ci_low_mpa, decimals) for row in rows],
        high=[number(row.ci_high_mpa, decimals) for row in rows],
        n_below=ordered["n_plants_below_limit"],
        rain=[number(row.rain_30d_mm, 0) for row in rows],
        percentile=["" if is_missing(row.percentile) else number(float(row.percentile), 0) for row in rows],
    )
    headings = {
        "when": "Semester",
        "group": "Group",
        "site_name": "Site",
        "kind": "Kind",
        "value": "Estimate, MPa",
        "low": "95 % interval from, MPa",
        "high": "to, MPa",
        "n_plants": "Plants",
        "n_leaves": "Leaves",
        "n_below": "Plants that are bounds",
        "percentile": "Drier than so many of 100 earlier",
        "rain": "Rain of 30 days, mm",
        "reason": "Note",
    }
    return Table("Seasons, the latest first", shown, headings, _NUMERIC, frozenset({"reason"}), n_rows=len(seasons))
