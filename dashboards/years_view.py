"""The Years view: the same groups season by season, over the rain that fell, on one time axis."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dashboards import marks, years_figure
from dashboards.answer import Answer, Table
from dashboards.words import GROUPS, POSITIONS, WINDOWS, count, is_missing, listed, mpa, number, semester_order, semester_words, sentence

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.choices import Choices

DRY_SPI = -1.0
"""At and below this three-month SPI a season is called dry (moderately dry: McKee, Doesken and Kleist 1993)."""


def draw(
    seasons: pd.DataFrame, rain: pd.DataFrame, choices: Choices, *, decimals: int = 2, why_empty: str = "There is nothing to show."
) -> Answer:
    """Draw every season of the chosen groups.

    Args:
        seasons: rows of `site_season` or `taxon_season` with their `date`, potentials in MPa.
        rain: rows of `rain_months` of one gauge, mm.
        choices: what the reader chose; its semester is drawn strong.
        decimals: decimals in MPa that the gauges support.
        why_empty: the sentence to show where there are no seasons.

    Returns:
        Title, a figure per group and one of the rain, all on the same time axis, with words and tables.
    """
    if seasons.empty:
        return Answer(title="Nothing to show here", reading=why_empty)
    dry = dry_semesters(seasons, rain)
    rain = rain[rain["year"].between(seasons["year"].min(), seasons["year"].max())]
    positions = [position for position in POSITIONS if position in set(seasons["topographic_position"])]
    return Answer(
        title=_title(seasons, choices, dry),
        reading=_reading(seasons, choices, decimals),
        fair=_like_with_like(seasons, rain, choices, dry),
        counts=_counts(seasons),
        panels=years_figure.panels(seasons, choices, dry, decimals),
        rain=rain if rain["rain_mm"].notna().any() else None,
        key=marks.key_html(positions, has_bounds=bool(seasons["median_is_bound"].fillna(False).any()), plants=False),
        source="Mean water potential of plants (MPa), down is drier; under it the rain of each month (mm), hanging.",
        tables=[_table(seasons, decimals)],
    )


def dry_semesters(seasons: pd.DataFrame, rain: pd.DataFrame) -> dict[str, float]:
    """Semesters whose three months up to the month before the readings were dry, with that SPI."""
    spi = {(int(row.year), int(row.month)): row.spi_3 for row in rain.itertuples()}
    found: dict[str, float] = {}
    for row in seasons.itertuples():
        year, month = (row.date.year, row.date.month - 1) if row.date.month > 1 else (row.date.year - 1, 12)
        value = spi.get((year, month))
        if not is_missing(value) and float(str(value)) <= DRY_SPI:
            found[str(row.semester)] = float(str(value))
    return found


def _title(seasons: pd.DataFrame, choices: Choices, dry: dict[str, float]) -> str:
    n = seasons["semester"].nunique()
    named = [semester_words(semester) for semester in sorted(dry, key=semester_order)]
    start = f"{sentence(choices.who())} {WINDOWS.get(choices.window, '')} over {count(n, 'season')}"
    if not named:
        return start
    return f"{start}; dry before {listed(named[-3:])}" + (" and earlier" if len(named) > 3 else "")


def _reading(seasons: pd.DataFrame, choices: Choices, decimals: int) -> str:
    known = seasons[seasons["mean_mpa"].notna()]
    if known.empty:
        return "No season has a mean to show; the table says why."
    most = str(known.groupby("functional_group")["n_plants"].sum().idxmax())
    mine = known[known["functional_group"] == most]
    driest = mine.loc[mine["mean_mpa"].idxmin()]
    now = mine[mine["semester"] == choices.semester]
    rain = driest["rain_30d_mm"]
    after = f", after {number(float(rain), 0)} mm of rain in 30 days" if not is_missing(rain) else ""
    text = (
        f"The {GROUPS[most]} were driest at {driest['site_name']} in {semester_words(str(driest['semester']))}: "
        f"{mpa(float(driest['mean_mpa']), decimals)} ({count(int(driest['n_plants']), 'plant')}){after}"
    )
    if now.empty:
        return text + "."
    told = listed(f"{row.site_name} {mpa(row.mean_mpa, decimals)} ({row.n_plants})" for row in now.itertuples())
    return f"{text}; {semester_words(choices.semester)} read {told}."


def _like_with_like(seasons: pd.DataFrame, rain: pd.DataFrame, choices: Choices, dry: dict[str, float]) -> list[str]:
    caveats = ["Compare a group with itself over the years, at the same part of the day; not one group with another."]
    kinds = {semester.rpartition("-")[2] for semester in seasons["semester"]}
    if len(kinds) > 1:
        caveats.append(f"{sentence(listed(sorted(kinds)))} are different times of growth: compare a season with the same season.")
    if not choices.taxon:
        caveats.append("The kinds of plant within a group may differ between years; choose a taxon to hold them still.")
    if dry:
        named = listed(f"{semester_words(s)} ({number(dry[s], 1)})" for s in sorted(dry, key=semester_order))
        caveats.append(f"Called dry, by the three-month SPI of the months before: {named}.")
    n_hidden = int((seasons["n_plants"].isna()).sum())
    if n_hidden:
        caveats.append(f"{count(n_hidden, 'summary is', 'summaries are')} hidden, because so few plants or people stand behind them.")
    n_missing = int(rain["rain_mm"].isna().sum())
    if rain.empty:
        caveats.append("No rain record has been loaded, so the strip of rain is empty.")
    elif n_missing:
        caveats.append(f"{count(n_missing, 'month of the rain record lacks', 'months of the rain record lack')} days: not drawn.")
    return caveats


def _counts(seasons: pd.DataFrame) -> str:
    n_bounds = int(seasons["n_plants_below_limit"].sum())
    bounds = f" {count(n_bounds, 'plant')} are bounds." if n_bounds else ""
    n = seasons["semester"].nunique()
    plants, leaves = int(seasons["n_plants"].sum()), int(seasons["n_leaves"].sum())
    return f"{count(n, 'season')}, {count(plants, 'plant')}, {count(leaves, 'leaf', 'leaves')}.{bounds}"


def _table(seasons: pd.DataFrame, decimals: int) -> Table:
    ordered = seasons.iloc[::-1]
    shown = ordered.assign(
        when=[semester_words(semester) for semester in ordered["semester"]],
        group=[sentence(GROUPS[group]) for group in ordered["functional_group"]],
        mean=[number(value, decimals) for value in ordered["mean_mpa"]],
        low=[number(value, decimals) for value in ordered["ci_low_mpa"]],
        high=[number(value, decimals) for value in ordered["ci_high_mpa"]],
        rain=[number(value, 0) for value in ordered["rain_30d_mm"]],
    )
    headings = {
        "when": "Semester",
        "group": "Group",
        "site_name": "Site",
        "mean": "Mean, MPa",
        "low": "95 % interval from, MPa",
        "high": "to, MPa",
        "n_plants": "Plants",
        "n_leaves": "Leaves",
        "rain": "Rain of 30 days, mm",
        "reason": "Note",
    }
    return Table(
        "Seasons, the latest first",
        shown,
        headings,
        frozenset({"mean", "low", "high", "n_plants", "n_leaves", "rain"}),
        frozenset({"reason"}),
    )
