"""The Years view: the same groups season by season over rain and drought index, or one year over all the others."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from dashboards.answer import Answer
from dashboards.figures import marks
from dashboards.figures.time_axis import Span, span_of
from dashboards.views import rain_strips, years_figure, years_over
from dashboards.views.rain_strips import DRY_SPI
from dashboards.views.years_table import seasons_table
from dashboards.words import (
    GROUPS,
    POSITIONS,
    WINDOWS,
    count,
    is_missing,
    listed,
    number,
    semester_order,
    semester_words,
    sentence,
    those_in,
)

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.answer import Picked
    from dashboards.choices import Choices
    from dashboards.figures.panel import Panel

LAID: Mapping[str, str] = {"season after season": "", "one year over the others": "over"}
"""Words of the choice and its code: how the seasons are laid out."""


def draw(
    seasons: pd.DataFrame,
    rain: pd.DataFrame,
    choices: Choices,
    *,
    decimals: int = 2,
    why_empty: str = "There is nothing to show.",
    picked: Picked | None = None,
) -> Answer:
    """Draw the seasons of the chosen groups.

    Args:
        seasons: rows of `site_season` or `taxon_season` with their `date`, potentials in MPa.
        rain: rows of `rain_months` of one gauge, mm.
        choices: what the reader chose; its semester is drawn strong, and its `since` and `until` say which days are shown.
        decimals: decimals in MPa that the gauges support.
        why_empty: the sentence to show where there are no seasons.
        picked: the readings behind the mark that the reader picked.

    Returns:
        Title, a figure per group and strips of rain and drought index on the same axis, with words and tables.
    """
    if seasons.empty:
        return Answer(title="Nothing to show here", reading=why_empty)
    is_over = choices.laid == "over"
    since, until = ("", "") if is_over else (choices.since, choices.until)
    span = span_of(since, until, int(seasons["year"].min()), int(seasons["year"].max()))
    shown = seasons[span.holds_each(seasons["date"])]
    dry = dry_semesters(shown, rain)
    if is_over:
        panels = years_over.panels(seasons, rain, choices, dry, decimals)
    else:
        panels = [*years_figure.panels(seasons, choices, dry, decimals, span), *rain_strips.strips(rain, span)]
    return Answer(
        title=_title(shown, choices, dry, span),
        reading=_reading(shown, choices, decimals, span),
        fair=_like_with_like(shown, rain, choices, dry, span),
        counts=_counts(shown),
        panels=panels,
        key=marks.key_html(positions_of(seasons), has_bounds=bool(shown["estimate_is_bound"].fillna(False).any()), plants=False),
        source=_source(panels, is_over=is_over),
        tables=[seasons_table(shown, decimals)],
        picked=picked,
    )


def positions_of(seasons: pd.DataFrame) -> list[str]:
    """The positions that seasons were read at, from high to low ground."""
    return those_in(POSITIONS, seasons["topographic_position"])


def _source(panels: list[Panel], *, is_over: bool) -> str:
    under = {"rain": "the rain of each month (hanging, mm)", "index": "the drought index (0 is usual, −1 and less is dry)"}
    there = listed(words for name, words in under.items() if any(panel.name in (name, f"over-{name}") for panel in panels))
    there += "; strokes are the normal rain" if is_over and there else ""
    return f"Water potential of plants (MPa), down is drier{'; under it ' + there if there else ''}."


def dry_semesters(seasons: pd.DataFrame, rain: pd.DataFrame) -> dict[str, float]:
    """Semesters whose three months up to the month before the readings were dry, with that SPI."""
    spi = {(int(year), int(month)): value for year, month, value in zip(*_lists(rain, "year", "month", "spi_3"), strict=True)}
    found: dict[str, float] = {}
    for semester, day in zip(*_lists(seasons, "semester", "date"), strict=True):
        year, month = (day.year, day.month - 1) if day.month > 1 else (day.year - 1, 12)
        value = spi.get((year, month))
        if not is_missing(value) and float(str(value)) <= DRY_SPI:
            found[str(semester)] = float(str(value))
    return found


def _lists(frame: pd.DataFrame, *names: str) -> list[list[Any]]:
    return [frame[name].tolist() for name in names]


def _title(seasons: pd.DataFrame, choices: Choices, dry: dict[str, float], span: Span) -> str:
    if seasons.empty:
        return "No season lies in these days"
    n = seasons["semester"].nunique()
    named = [semester_words(semester) for semester in sorted(dry, key=semester_order)]
    start = f"{sentence(choices.who())} {WINDOWS.get(choices.window, '')} over {count(n, 'season')}"
    if choices.laid == "over":
        start = f"{sentence(choices.who())} {WINDOWS.get(choices.window, '')}: {choices.semester[:4]} among {count(n, 'season')}"
    if not named:
        return start
    return f"{start}; dry before {listed(named[-3:])}" + (" and earlier" if len(named) > 3 else "")


def _reading(seasons: pd.DataFrame, choices: Choices, decimals: int, span: Span) -> str:
    if seasons.empty:
        return f"Nothing was read {span.words()}. Show the whole record, or choose another year to begin with."
    known = seasons[seasons["estimate_mpa"].notna()]
    if known.empty:
        return "No season has an estimate to show; the table says why."
    most = str(known.groupby("functional_group")["n_plants"].sum().idxmax())
    mine = known[known["functional_group"] == most]
    driest = next(mine.loc[[mine["estimate_mpa"].idxmin()]].itertuples())
    after = "" if is_missing(driest.rain_30d_mm) else f", after {number(float(driest.rain_30d_mm), 0)} mm of rain in 30 days"
    text = (
        f"The {GROUPS[most]} were driest at {driest.site_name} in {semester_words(str(driest.semester))}: "
        f"{years_figure.value_words(driest, decimals)} ({count(int(driest.n_plants), 'plant')}){after}"
    )
    now = mine[mine["semester"] == choices.semester]
    if now.empty:
        return text + "."
    sites = years_figure.sites_in_order(now)
    rows = sorted(now.itertuples(), key=lambda row: sites.index(str(row.site)))
    told = listed(f"{row.site_name} {years_figure.value_words(row, decimals)} ({row.n_plants})" for row in rows)
    return f"{text}. In {semester_words(choices.semester)}: {told}.{years_over.against_history(now)}"


def _like_with_like(seasons: pd.DataFrame, rain: pd.DataFrame, choices: Choices, dry: dict[str, float], span: Span) -> list[str]:
    caveats = ["Compare a group with itself over the years, at the same part of the day; not one group with another."]
    kinds = {semester.rpartition("-")[2] for semester in seasons["semester"]}
    if len(kinds) > 1:
        caveats.append(f"{sentence(listed(sorted(kinds)))} are different times of growth: compare a season with the same season.")
    if not choices.taxon:
        caveats.append("The kinds of plant within a group may differ between years; choose a taxon to hold them still.")
    if dry:
        named = listed(f"{semester_words(s)} ({number(dry[s], 1)})" for s in sorted(dry, key=semester_order))
        caveats.append(f"Called dry, by the three-month SPI of the months before: {named}.")
    if not span.is_whole:
        caveats.append(f"Shown here: {span.words()}. The record is longer.")
    n_hidden = int((seasons["n_plants"].isna()).sum())
    if n_hidden:
        caveats.append(f"{count(n_hidden, 'summary is', 'summaries are')} hidden, because so few plants or people stand behind them.")
    return caveats + _about_rain(rain[span.holds_each(rain["month_start"])], has_record=not rain.empty)


def _about_rain(months: pd.DataFrame, *, has_record: bool) -> list[str]:
    n_missing, n_provisional = int(months["rain_mm"].isna().sum()), int((months["spi_3_basis"] == "provisional").sum())
    said = []
    if not has_record:
        said.append("No rain record has been loaded, so there is no strip of rain.")
    elif n_missing:
        said.append(f"{count(n_missing, 'month of the rain record lacks', 'months of the rain record lack')} days: not drawn.")
    if n_provisional:
        said.append(f"The drought index of {count(n_provisional, 'month')} is provisional: fewer than 30 years stand behind it.")
    return said


def _counts(seasons: pd.DataFrame) -> str:
    n_bounds = int(seasons["n_plants_below_limit"].sum())
    bounds = f" {count(n_bounds, 'plant')} are bounds." if n_bounds else ""
    n = seasons["semester"].nunique()
    plants, leaves = int(seasons["n_plants"].sum()), int(seasons["n_leaves"].sum())
    return f"{count(n, 'season')}, {count(plants, 'plant')}, {count(leaves, 'leaf', 'leaves')}.{bounds}"
