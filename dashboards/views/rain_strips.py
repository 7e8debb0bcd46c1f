"""The strips under a figure on time: the rain of each month, hanging, and the drought index, on the figure's own axis."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from dashboards.figures import marks
from dashboards.figures.panel import Panel
from dashboards.figures.time_axis import Span
from dashboards.words import is_missing, number

if TYPE_CHECKING:
    import pandas as pd

RAIN_HEIGHT, INDEX_HEIGHT = 110, 150
RAIN_TITLE = "Rain of each month, mm"
INDEX_TITLE = "Drought index, SPI of three months"
DRY_SPI = -1.0
"""At and below this three-month SPI a season is called dry (moderately dry: McKee, Doesken and Kleist 1993)."""


def strips(rain: pd.DataFrame, span: Span, title_year: int | None = None) -> list[Panel]:
    """Rain and drought index of the months within a span; a strip without a known month is left out.

    Args:
        rain: rows of `rain_months` of one gauge: `month_start`, `rain_mm` (mm; null where days lack), `spi_3`.
        span: the days shown, with their ticks.
        title_year: the year whose months these are, where the axis is that of every year and moves with no other.
    """
    columns = [name for name in ("year", "month_start", "rain_mm", "spi_3", "normal_mm") if name in rain]
    months = [row for row in rain[columns].itertuples(index=False) if span.holds(_middle(row.month_start))]
    drawn = []
    if any(not is_missing(row.rain_mm) for row in months):
        drawn.append(_rain(months, span, title_year))
    if any(not is_missing(row.spi_3) for row in months):
        drawn.append(_index(months, span, title_year))
    return drawn


def _rain(months: list[Any], span: Span, year: int | None) -> Panel:
    known = [row for row in months if not is_missing(row.rain_mm)]
    normal = [] if year is None else [float(row.normal_mm) for row in known if not is_missing(row.normal_mm)]
    most = max([1.0, *(float(row.rain_mm) for row in known), *normal])
    step = marks.round_step(most, 4)
    ticks = [i * step for i in range(int(most // step) + 1)]
    words = {tick: number(tick, 0) for tick in ticks}
    panel = _strip(("rain", RAIN_TITLE), RAIN_HEIGHT, span, year, y_range=(most * 1.03, 0.0), y_ticks=words, x_ticks={})
    for row in known:
        says = f"{row.month_start:%B} {row.year}: {number(float(row.rain_mm), 0)} mm of rain"
        panel.add("blocks", **_month(row.month_start, span), bottom=0.0, top=float(row.rain_mm), colour=marks.RAIN, alpha=1.0, says=says)
    return panel


def _index(months: list[Any], span: Span, year: int | None) -> Panel:
    known = [row for row in months if not is_missing(row.spi_3)]
    reach = max([2.2, *(1.05 * abs(float(row.spi_3)) for row in known)])
    ticks = marks.tick_words([-2.0, -1.0, 0.0, 1.0, 2.0], sign=True)
    panel = _strip(("index", INDEX_TITLE), INDEX_HEIGHT, span, year, y_range=(-reach, reach), y_ticks=ticks, x_ticks=span.ticks())
    for row in known:
        value = float(row.spi_3)
        is_dry = value <= DRY_SPI
        says = f"{row.month_start:%B} {row.year}: SPI of three months {number(value, 1, sign=True)}" + (", dry" if is_dry else "")
        look = {"colour": marks.NEUTRAL, "alpha": 1.0 if is_dry else 0.45}
        panel.add("blocks", **_month(row.month_start, span), bottom=min(value, 0.0), top=max(value, 0.0), says=says, **look)
    left, right = span.x_range
    panel.add("ink_bars", x0=left, y0=0.0, x1=right, y1=0.0, width=1.2, alpha=1.0)
    return panel


def _strip(named: tuple[str, str], height: int, span: Span, year: int | None, **ranges: Any) -> Panel:
    name, title = named if year is None else (f"over-{named[0]}", f"{named[1]} · {year}")
    return Panel(name=name, title=title, height=height, x_range=span.x_range, is_on_time=year is None, is_in_mpa=False, **ranges)


def _middle(month_start: Any) -> dt.date:
    return dt.date(month_start.year, month_start.month, 15)


def _month(start: Any, span: Span) -> dict[str, float]:
    """Where a month begins and ends on a time axis, as far as it is shown."""
    first = dt.date(start.year, start.month, 1)
    left, right = span.x_range
    after = dt.date(first.year + first.month // 12, first.month % 12 + 1, 1)
    return {"left": max(left, marks.on_time(first)), "right": min(right, marks.on_time(after))}
