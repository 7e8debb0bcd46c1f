"""A panel over the cohorts: one mark per semester, its interval, and the line of a target where there is one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dashboards.figures import marks
from dashboards.figures.panel import Panel
from dashboards.words import semester_words

HEIGHT = 170


@dataclass(frozen=True)
class Point:
    """One cohort's value with its interval, in the unit of the panel; `says` is what the mark says on hover.

    Of a bound, the interval is where the value itself may lie.
    """

    semester: str
    value: float
    low: float | None
    high: float | None
    says: str
    is_bound: bool = False


def cohort_panel(
    name: str,
    title: str,
    points: Sequence[Point],
    semesters: Sequence[str],
    chosen: str,
    *,
    top: float,
    target: float | None = None,
    hidden: Sequence[str] = (),
) -> Panel:
    """Draw one measure over the semesters, in their order; the chosen one strong.

    Args:
        name: code of the panel, one of its kind in a figure.
        title: what is drawn, with its unit.
        points: at most one per semester; a semester without one stays blank.
        semesters: codes from first to last, those without a point included.
        chosen: the semester that the report is of.
        target: where a level line stands.
        hidden: semesters whose value is hidden in the data: a question mark stands at half the height, never a mark at 0.
        top: where the scale ends at least; it begins at 0, or at the lowest value below.
    """
    values = [0.0, *(value for point in points for value in (point.value, point.low, point.high) if value is not None)]
    low, high = min(values), max(*values, top)
    step = marks.round_step(high - low, 4)
    ticks = [i * step for i in range(int(low // step), int(-(-high // step)) + 1)]
    panel = Panel(
        name=name,
        title=title,
        height=HEIGHT,
        x_range=(-0.7, len(semesters) - 0.3),
        y_range=(ticks[0] - 0.18 * step, ticks[-1] + 0.15 * step),
        x_ticks=_ticks(semesters),
        y_ticks=marks.tick_words(ticks),
        is_in_mpa=False,
    )
    if target is not None:
        panel.add("ink_bars", x0=-0.7, y0=target, x1=len(semesters) - 0.3, y1=target, width=1.2, alpha=0.6)
    places = {semester: float(place) for place, semester in enumerate(semesters)}
    for point in points:
        x, is_chosen = places[point.semester], point.semester == chosen
        alpha = 1.0 if is_chosen else 0.55
        if point.low is not None and point.high is not None:
            panel.add("ink_bars", x0=x, y0=point.low, x1=x, y1=point.high, width=2 if is_chosen else 1.2, alpha=alpha)
        says = f"{semester_words(point.semester)}: {point.says}"
        shape, size = ("dash", 14) if point.is_bound else ("circle", 9 if is_chosen else 6)
        panel.add("ink_marks", x=x, y=point.value, shape=shape, size=size, alpha=alpha, says=says)
    for semester in hidden:
        panel.add("words", x=places[semester], y=(ticks[0] + ticks[-1]) / 2, text="?")
    return panel


def _ticks(semesters: Sequence[str]) -> dict[float, str]:
    """A tick per semester where few are shown, else one per year, in the middle of its semesters."""
    if len(semesters) <= 8:
        return {float(i): semester_words(semester) for i, semester in enumerate(semesters)}
    places: dict[int, list[int]] = {}
    for place, semester in enumerate(semesters):
        places.setdefault(int(semester[:4]), []).append(place)
    middles = {year: sum(at) / len(at) for year, at in sorted(places.items())}
    return {middles[year]: marks.year_words(year, len(places)) for year in marks.years_told(middles)}
